"""Readings: numbers with a unit and their uncertainty, counts, and one line for each fault."""

from __future__ import annotations

import pytest

from helix.errors import ValidationError
from helix.model.measured.readings import BY_EYE_D, CALIPER_MM, read_readings
from helix.model.recipe.recipe import recipe_from_text

RECIPE = recipe_from_text('[wire]\ndiameter = "0.8 mm"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n')


def one(name: str, text: str, caliper: str | None = None):
    return read_readings({name: text}, RECIPE, caliper)[name]


@pytest.mark.parametrize(
    ("text", "value", "sd"),
    [
        ("11.6 mm +- 0.1 mm", 11.6, 0.1),
        ("11.6 mm+-0.1 mm", 11.6, 0.1),
        ("11.6 mm +/- 0.1 mm", 11.6, 0.1),
        ("11.6 mm \u00b1 0.1 mm", 11.6, 0.1),
        ("1/2 in +- 4 thou", 12.7, 0.1016),
        ("14 d +- 0.1 d", 11.2, 0.08),
        ("1.16 cm +- 100 um", 11.6, 0.1),
    ],
)
def test_lengths(text: str, value: float, sd: float) -> None:
    found = one("twist_length", text)
    assert (found.value, found.sd, found.stated) == (pytest.approx(value), pytest.approx(sd), True)


def test_uncertainty_where_none_is_stated() -> None:
    assert one("twist_diameter", "1.6 mm").sd == CALIPER_MM
    assert one("twist_length", "11.6 mm").sd == pytest.approx(BY_EYE_D * 0.8)
    assert one("twist_diameter", "1.6 mm", "0.05 mm").sd == 0.05
    # a caliper that is worse than the eye is worse along the joint too
    assert one("twist_length", "11.6 mm", "0.5 mm").sd == 0.5
    assert not one("twist_length", "11.6 mm").stated


def test_counts() -> None:
    assert (one("turns", "5").value, one("turns", "5").sd) == (5.0, 0.0)
    assert (one("turns", "5 +- 0.1").value, one("turns", "5 +- 0.1").sd) == (5.0, 0.1)
    found = read_readings({"crossings": "10 +- 1"}, RECIPE)
    assert set(found) == {"turns"}
    assert (found["turns"].value, found["turns"].sd) == (5.0, 0.5)
    assert found["turns"].words == "turns"


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("twist_length", "11.6", "twist_length: must be a length such as"),
        ("twist_length", "11.6 +- 0.1 mm", "which has no unit"),
        ("twist_length", "11.6 mm +- 0.1", "which has no unit"),
        ("twist_length", "11.6 N", "which is a force"),
        ("twist_length", "-11.6 mm", "must be above 0"),
        ("twist_length", "0 mm", "must be above 0"),
        ("twist_length", "nan mm", "not a finite number"),
        ("twist_length", "1e9 mm", "at most 20000 d"),
        ("eye", "17971 mm", "at most 1000 d"),
        ("twist_length", "11.6 mm +- 12 mm", "must be larger than its uncertainty"),
        ("twist_length", "11.6 mm +- -1 mm", "must be above 0"),
        ("twist_length", "", "empty text"),
        ("turns", "five", "turns: must be a bare number"),
        ("turns", "5 mm", "which is a length"),
        ("turns", "-5", "must be from 0 to 1000"),
        ("turns", "1e9", "must be from 0 to 1000"),
        ("turns", "5 +- 3", "its uncertainty at most half of it"),
        ("wraps", "inf", "not a finite number"),
    ],
)
def test_one_fault_one_line(name: str, text: str, said: str) -> None:
    with pytest.raises(ValidationError) as raised:
        read_readings({name: text}, RECIPE)
    (fault,) = raised.value.faults
    assert said in str(fault) and fault.code != "invalid"


def test_all_faults_at_once_and_nothing_read() -> None:
    with pytest.raises(ValidationError) as raised:
        read_readings({"turns": "5", "crossings": "10", "eye": "6", "wraps": "x"}, RECIPE, "3 N")
    assert [fault.place for fault in raised.value.faults] == ["caliper", "eye", "wraps", "crossings"]
    with pytest.raises(ValidationError, match="readings: must be given, one at least, of turns, crossings"):
        read_readings({"turns": None}, RECIPE)
