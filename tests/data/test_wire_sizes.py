"""Wire sizes: the tables and the formula, and how a size is written.

The numbers are checked against somebody else's in validation/test_wire_sizes_published.py.

Map of what must hold:
  every size is found by its own name, however it is spaced and spelled
  a family's diameters run one way; AWG grows by one ratio, and its ends are what defines it
  a size within its tolerance can be no other size of its family
  a bare number, an unknown or an ambiguous family, and a number outside the table are refused
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.data.wire_sizes import SIZE_TOLERANCE, awg_diameter_mm, find_size, size_read_as, wire_sizes


@given(st.sampled_from(wire_sizes()), st.sampled_from(["{} {}", "{}{}", "{}-{}", "{} #{}", " {}  {} ", "{}.{}"]))
def test_every_size_is_found_by_its_name(size, form):
    assert find_size(form.format(size.family, size.number)) == size
    assert find_size(form.format(size.family.lower(), size.number)) == size
    assert find_size(size.name) == size


def test_the_families():
    assert wire_sizes() == wire_sizes("MWG") + wire_sizes("AWG")
    assert [size.number for size in wire_sizes("mwg")] == list(range(2, 21))
    assert [size.number for size in wire_sizes("AWG")] == list(range(41))
    assert all("[" in size.source for size in wire_sizes())
    with pytest.raises(ValueError, match='gauge family must be one of MWG, AWG; got "SWG"'):
        wire_sizes("SWG")


def test_the_larger_the_mwg_number_the_thicker_the_wire():
    diameters = [size.diameter_mm for size in wire_sizes("MWG")]
    assert diameters == sorted(set(diameters))


@given(st.integers(0, 39))
def test_awg_shrinks_by_the_thirty_ninth_root_of_ninety_two(number):
    ratio = awg_diameter_mm(number) / awg_diameter_mm(number + 1)
    assert ratio == pytest.approx(92.0 ** (1.0 / 39.0), rel=1e-14)


def test_the_ends_that_define_awg():
    assert awg_diameter_mm(36) == pytest.approx(0.127, rel=1e-15)
    four_naughts = awg_diameter_mm(0) * (awg_diameter_mm(0) / awg_diameter_mm(1)) ** 3
    assert four_naughts == pytest.approx(0.46 * 25.4, rel=1e-13)
    for number in (-1, 41):
        with pytest.raises(ValueError, match="AWG number must be 0 to 40"):
            awg_diameter_mm(number)


@pytest.mark.parametrize("family", ["MWG", "AWG"])
def test_within_its_tolerance_a_size_can_be_no_other(family):
    diameters = sorted(size.diameter_mm for size in wire_sizes(family))
    for thin, thick in pairwise(diameters):
        assert thin * (1 + SIZE_TOLERANCE) < thick * (1 - SIZE_TOLERANCE)


@pytest.mark.parametrize("number", range(2, 21))
def test_mwg_sizes_are_whole_thousandths_of_an_inch(number):
    thousandths = find_size(f"MWG {number}").diameter_mm / 0.0254
    assert math.isclose(thousandths, round(thousandths), rel_tol=1e-12)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("12", "one number means different wire in each family"),
        ("12", 'or "no. 12" for music wire'),
        ("no. 21", "MWG runs from 2 to 20 here"),
        ("no. 12 AWG", "must be a gauge family and a number"),
        ("MWG", "must be a gauge family and a number"),
        ("MWG 12.5", "must be a gauge family and a number"),
        ("MWG -1", "MWG runs from 2 to 20 here"),  # a hyphen between family and number is a space
        ("MWG 1", "MWG runs from 2 to 20 here"),
        ("MWG 21", "MWG runs from 2 to 20 here"),
        ("AWG 41", "AWG runs from 0 to 40 here"),
        ("AWG 4/0", "must be a gauge family and a number"),
        ("SWG 12", "British Standard gauge in others: give the diameter instead"),
        ("gauge 12", "gauges of one number differ by family"),
        ("BWG 12", "of family MWG or AWG"),
        ("MWG \u0661\u0662", "must be a gauge family and a number"),  # Arabic-Indic digits
        ("MWG 99999999999", "must be a gauge family and a number"),
        ("", "must be a gauge family and a number"),
    ],
)
def test_what_is_no_size_is_refused(text, said):
    with pytest.raises(ValueError, match='such as "MWG 12"') as caught:
        find_size(text)
    assert said in str(caught.value)


@given(st.text(max_size=20))
def test_any_text_is_a_size_or_refused_in_one_line(text):
    try:
        assert find_size(text) in wire_sizes()
    except ValueError as error:
        assert str(error).isprintable()


@pytest.mark.parametrize(
    "text", ["no. 12", "No 12", "no.12", "NO. 12", "#12", "# 12", "no. #12", "number 12", "nr 12", " No. 12 "]
)
def test_a_number_as_riggers_say_it_is_music_wire_and_said_so(text):
    assert find_size(text) == find_size("MWG 12")
    assert size_read_as(text).endswith("read as music wire gauge, MWG 12: 0.737 mm, 0.029 in")


@pytest.mark.parametrize("text", ["MWG 12", "mwg#12", "AWG 20"])
def test_a_size_with_its_family_is_read_as_it_stands(text):
    assert size_read_as(text) == ""
