"""Readings that cannot be, and such as contradict each other, name the count or the reading that would fit."""

from __future__ import annotations

import pytest

from helix.errors import ValidationError
from helix.model.measured.readings import read_readings
from helix.output.words.findings.reading_words import CANNOT, READING_WORDS, cannot_be, doubt_text
from tests.studies.inspect.inspected_joints import found, inspected, recipe


def test_crossings_counted_as_turns() -> None:
    result = inspected(twist_length="14.7 mm +- 0.1 mm", turns="10")
    assert result.verdict == "impossible"
    assert result.made is None
    doubt = result.doubts[0]
    assert (doubt.name, doubt.impossible, doubt.fits) == ("turns", True, 5.0)
    assert "10 crossings, 5 turns" in doubt_text(doubt)
    assert "no even twist is laid shorter than 2 d" in doubt_text(doubt)


def test_a_turn_miscounted() -> None:
    doubt = found(twist_length="14.7 mm +- 0.1 mm", turns="6").doubts[0]
    assert (doubt.name, doubt.code, doubt.impossible, doubt.fits) == ("turns", "lay-far-off", False, 5.0)
    assert doubt_text(doubt).endswith("; 5 turns would fit: a lay of 2.94 mm; count again")
    assert " in 0.579 in give" in doubt_text(doubt, "inch")
    assert found(twist_length="14.7 mm +- 0.1 mm", turns="5").doubts == ()
    # a lay that is off, but that no other count explains
    assert found(twist_length="13.2 mm +- 0.1 mm", turns="5").doubts == ()


def test_a_wrap_miscounted() -> None:
    six = found(barrel_length="4.47 mm +- 0.03 mm", wraps="6").doubts[0]
    assert (six.name, six.code, six.impossible, six.fits) == ("wraps", "wraps-overlap", True, 5.0)
    assert doubt_text(six).endswith(" of touching wraps; 5 wraps would fit; count again")
    four = found(barrel_length="4.47 mm +- 0.03 mm", wraps="4").doubts[0]
    assert (four.name, four.code, four.impossible, four.fits) == ("wraps", "other-wraps", False, 5.0)
    assert doubt_text(four).endswith("; 5 wraps would fit the recipe: count again")
    assert found(barrel_length="4.47 mm +- 0.03 mm", wraps="5").doubts == ()


@pytest.mark.parametrize(
    ("texts", "name", "said"),
    [
        ({"twist_diameter": "1.3 mm"}, "twist_diameter", "less than 2 d"),
        ({"twist_diameter": "2.5 mm"}, "twist_diameter", "more than 3 d"),
        ({"barrel_diameter": "2.0 mm"}, "barrel_diameter", "less than 3 d"),
        ({"wire": "1.0 mm +- 0.01 mm"}, "wire", "is it the right recipe?"),
        ({"wraps": "0", "barrel_length": "4 mm"}, "barrel_length", "cannot be measured where there are no wraps"),
        ({"turns": "0", "lay": "3 mm"}, "lay", "cannot be measured where there are no turns"),
        ({"lay": "1.2 mm +- 0.01 mm"}, "lay", "no even twist is laid shorter than 2 d"),
    ],
)
def test_readings_that_cannot_be(texts: dict[str, str], name: str, said: str) -> None:
    result = found(**texts)
    doubt = next(each for each in result.doubts if each.impossible)
    assert doubt.name == name
    assert said in doubt_text(doubt)
    assert result.made is None


def test_an_eye_that_cannot_close() -> None:
    result = found(eye="0.5 mm +- 0.01 mm")
    assert result.made is None
    assert "too small for the eye to close" in doubt_text(result.doubts[-1])


def test_readings_that_contradict_each_other() -> None:
    lay = found(lay="2.95 mm +- 0.02 mm", twist_length="18 mm +- 0.1 mm", turns="5").doubts
    assert any("than the other readings and the recipe allow" in doubt_text(doubt) for doubt in lay)
    far = found(length="50 mm +- 0.1 mm", turns="5").doubts
    assert any("fits only with" in doubt_text(doubt) and not doubt.impossible for doubt in far)


@pytest.mark.parametrize(("length", "more"), [("300 mm", 8.6), ("100 mm", 2.2)])
def test_a_contradiction_is_told_by_what_the_others_give(length: str, more: float) -> None:
    """Failed once: 300 mm, where the others give 31, were 0.54 % more."""
    (doubt,) = found(length=length, turns="5", wraps="5").doubts
    assert (doubt.name, doubt.code) == ("length", "contradicts")
    assert doubt.values["off"] == pytest.approx(more, abs=0.1)
    assert f"is {100.0 * doubt.values['off']:.0f} % more" in doubt_text(doubt)


@pytest.mark.parametrize("name", ["length", "outside_length"])
@pytest.mark.parametrize(("read", "cannot"), [("10 mm", True), ("17 mm", True), ("19.1 mm", False), ("31 mm", False)])
def test_a_whole_is_no_shorter_than_its_parts(name: str, read: str, cannot: bool) -> None:
    """Failed once: 10 mm over a twist of 14.7 and a barrel of 4.4 was drawn, and had a load to plan with."""
    result = found(**{name: read}, turns="5", wraps="5", twist_length="14.7 mm", barrel_length="4.4 mm")
    told = [doubt for doubt in result.doubts if doubt.code == "shorter-than-parts"]
    assert [doubt.name for doubt in told] == [name] * cannot
    assert (result.made is None) == cannot
    for doubt in told:
        assert "19.1 mm" in doubt_text(doubt) and "0.752 in" in doubt_text(doubt, "inch")


@pytest.mark.parametrize(
    ("texts", "key"),
    [
        ({"first_bend": "0 deg"}, "first_bend"),
        ({"exit": "200 deg"}, "exit"),
        ({"first_bend": "95"}, "first_bend"),
        ({"exit": "95 deg +- 60 deg"}, "exit"),
        ({"evenness": "sloppy"}, "evenness"),
        ({"evenness": "even", "twist_diameter": "1.48 mm"}, "evenness"),
        ({"twist_length": "14.7 mm +- 1e-9 mm"}, "twist_length"),
        ({"eye": "17971 mm"}, "eye"),
        ({"eye_length": "17971 mm"}, "eye_length"),
    ],
)
def test_readings_out_of_range(texts: dict[str, str], key: str) -> None:
    with pytest.raises(ValidationError) as caught:
        read_readings(texts, recipe())
    assert [fault.path.key for fault in caught.value.faults] == [key]


def test_readings_that_once_were_internal_errors() -> None:
    small = found(eye_length="3 mm", twist_length="38 mm")
    assert small.made is None
    assert any(doubt.code == "no-room-for-pin" and doubt.name == "eye_length" for doubt in small.doubts)
    assert set(READING_WORDS) >= {doubt.code for doubt in small.doubts}
    assert set(CANNOT) == set(READING_WORDS)
    for doubt in small.doubts:
        assert cannot_be(doubt)[0].count(".") == 2  # what cannot be, and what to measure again
    for sd in ("0.000001 mm", "0.0001 mm"):
        close = found(twist_length=f"14.7 mm +- {sd}", turns="5").sizes["lay"]
        assert close.value == pytest.approx(2.94, rel=1e-6)
        assert close.sd == pytest.approx(float(sd.split()[0]) / 5, rel=1e-2)
    for texts in ({"twist_length": "0.026 mm"}, {"twist_length": "0.026 mm +- 0.001 mm"}):
        assert inspected(turns="0.001", **texts).verdict in ("remake", "impossible")
