"""Wire sizes, tensile strength and units, against libraries, a published law and the standards' own steps."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from helix.data.materials import find_material, strength_mpa
from helix.data.tables import table
from helix.data.wire_sizes import find_size, wire_sizes
from helix.quantities import parse
from helix.units import MPA_PER_KSI
from validation.rows import Row, ids

ROUNDED_4 = "their table is rounded to 0.0001 in"
ROUNDED_5 = "their table is rounded to 0.00001 in"
FLUIDS = "fluids.piping.t_from_gauge, schedule {}, after Machinery's Handbook"
LAW = "Shigley, chapter on mechanical springs, table of A and m: strength = A/d^m in ksi and in, A = 169, m = 0.146 for 302, 0.013 to 0.10 in"
MUSIC_LAW = "Shigley, chapter on mechanical springs, table of A and m: strength = A/d^m in ksi and in, A = 201, m = 0.145 for music wire"
FITTED = "the law is one curve through a table of steps: 3 % of the strength"


def fluids_in(number: int, family: str) -> float:
    """Return the diameter in inches that the library fluids has for a gauge number."""
    from fluids.piping import t_from_gauge

    return float(t_from_gauge(number, SI=False, schedule=family))


def ours_in(number: int, family: str) -> float:
    return find_size(f"{family} {number}").diameter_mm / 25.4


def law_ksi(diameter_in: float, a: float = 169.0, m: float = 0.146) -> float:
    return a / diameter_in**m


def low_ksi(material: str, diameter_in: float) -> float:
    return strength_mpa(material, diameter_in * 25.4).low / MPA_PER_KSI


@cache
def pint_value(text: str, unit: str) -> float:
    """Return a quantity in another unit, by the library pint."""
    import pint

    return float(pint.UnitRegistry()(text).to(unit).magnitude)


ROWS = [
    *(
        Row(
            f"diameter of MWG {number}, in", FLUIDS.format("MWG"), "calc",
            lambda n=number: fluids_in(n, "MWG"), lambda n=number: ours_in(n, "MWG"), 1e-12, "rounding",
        )
        for number in (2, 8, 12, 16, 20)
    ),
    *(
        Row(
            f"diameter of AWG {number}, in, by the gauge's formula", FLUIDS.format("AWG"), "calc",
            lambda n=number: fluids_in(n, "AWG"), lambda n=number: ours_in(n, "AWG"), tolerance, why,
        )
        for number, tolerance, why in (
            (0, 5e-5, ROUNDED_4), (12, 5e-5, ROUNDED_4), (20, 5e-5, ROUNDED_4), (24, 5e-5, ROUNDED_4),
            (30, 5e-5, ROUNDED_4), (36, 5e-6, ROUNDED_5), (40, 5e-6, ROUNDED_5),
        )
    ),
    *(
        Row(
            f"least strength of 302 wire of {d} in, ksi", LAW, "pub",
            lambda d=d: law_ksi(d), lambda d=d: low_ksi("302 stainless", d),
            round(0.03 * law_ksi(d), 1), FITTED,
        )
        for d in (0.013, 0.018, 0.031, 0.041, 0.058, 0.080)
    ),
    *(
        Row(
            f"least strength of music wire of {d} in, ksi", MUSIC_LAW, "mem",
            lambda d=d: law_ksi(d, 201.0, 0.145), lambda d=d: low_ksi("music wire", d),
            round(0.03 * law_ksi(d, 201.0, 0.145), 1), FITTED,
        )
        for d in (0.010, 0.020, 0.030, 0.040, 0.051)
    ),
    Row(
        "strength law of 302 at 0.080 in, ksi: the form used in the rows above", "Shigley, chapter on mechanical springs, solved example",
        "pub", "244.363", lambda: law_ksi(0.080), 5e-4, "half a unit of the last printed digit",
    ),
    Row(
        "strength law of 302 at 0.0915 in, ksi", "Shigley, chapter on mechanical springs, solved example", "pub",
        "239.618", lambda: law_ksi(0.0915), 5e-4, "half a unit of the last printed digit",
    ),
    *(
        Row(
            f"the quantity {text.replace('force_pound', 'lbf')} in {unit}", "pint, default registry", "calc",
            lambda text=text, unit=unit: pint_value(text, unit),
            lambda text=text, kind=kind: parse(text.replace("force_pound", "lbf"), kind),
            tolerance, "rounding",
        )
        for text, unit, kind, tolerance in (
            ("1 in", "mm", "length", 1e-12), ("1 thou", "mm", "length", 1e-12),
            ("1 force_pound", "N", "force", 1e-12), ("1 ksi", "MPa", "stress", 1e-12),
        )
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


@pytest.mark.parametrize("number", [size.number for size in wire_sizes("MWG")])
def test_every_mwg_size_is_that_of_fluids(number: int) -> None:
    assert ours_in(number, "MWG") == pytest.approx(fluids_in(number, "MWG"), rel=1e-14)


@pytest.mark.parametrize("number", range(41))
def test_every_awg_size_rounds_to_the_table_of_fluids(number: int) -> None:
    """Number 38 is 0.0039652 in by the formula, 0.00396 in their table, which cuts where it should round."""
    digits = 4 if number <= 30 else 5
    if number == 38:
        assert int(ours_in(38, "AWG") * 1e5) == round(fluids_in(38, "AWG") * 1e5) == 396
        return
    assert abs(ours_in(number, "AWG") - fluids_in(number, "AWG")) <= 0.5 * 10.0**-digits * (1 + 1e-9)


@pytest.mark.parametrize(("material", "a", "m"), [("302 stainless", 169.0, 0.146), ("music wire", 201.0, 0.145)])
def test_no_bin_is_off_the_published_law_by_more_than_a_misprint_would_be(material: str, a: float, m: float) -> None:
    """A digit misread by 10 in one bin (3 to 4 %) shows as a kink: neighbours never differ by 1.6 %."""
    off = [
        each.low_mpa / MPA_PER_KSI / law_ksi(each.up_to_mm / 25.4, a, m) - 1.0
        for each in find_material(material).bins
        if each.up_to_mm / 25.4 >= 0.0129
    ]
    assert max(abs(share) for share in off) < 0.03
    assert max(abs(one - other) for one, other in pairwise(off)) < 0.011


def test_the_columns_of_en_10270_3_fit_each_other() -> None:
    """Where normal strength ends, high strength begins; the band of normal strength is 150 MPa."""
    for row in table("en10270_3.csv"):
        normal_min, normal_max = float(row["1.4310_NS_min_MPa"]), float(row["1.4310_NS_max_MPa"])
        assert float(row["1.4310_HS_min_MPa_from_memory"]) == normal_max == normal_min + 150.0
        assert not row["1.4401_min_MPa"] or 0.75 < float(row["1.4401_min_MPa"]) / normal_min < 0.85


def test_the_two_standards_of_one_alloy_agree() -> None:
    """ASTM type 302 and EN 1.4310 are one kind of steel: their least strengths stay within 8 %."""
    for hundredths in range(20, 201, 5):
        d_mm = hundredths / 100
        ratio = strength_mpa("302 stainless", d_mm).low / strength_mpa("1.4310 normal strength", d_mm).low
        assert 0.98 < ratio < 1.08
