"""Curves of any machine by a small mapping: units, decimal commas, and faults with row and column."""

from __future__ import annotations

import pytest

from helix.errors import ValidationError
from helix.model.measured.curve_file import MAPPING_TEMPLATE, CurveMapping, curve_from_text, mapping_from_text

MAPPING = mapping_from_text(MAPPING_TEMPLATE)


def rows(count: int = 40, shape: str = "{t},{x:.2f},{f:.1f}") -> str:
    return "".join(shape.format(t=k, x=k * 0.01, f=k * 2.5) + "\n" for k in range(count))


def test_columns_by_heading_and_by_number_give_the_same() -> None:
    text = "Time,Extension,Force\n" + rows()
    numbered = mapping_from_text(MAPPING_TEMPLATE.replace('"Force"', "3").replace('"Extension"', "2"))
    for mapping in (MAPPING, numbered):
        curve = curve_from_text(text, mapping)
        assert curve.load_n[-1] == pytest.approx(97.5)
        assert curve.extension_mm[-1] == pytest.approx(0.39)


def test_units_semicolons_commas_rows_above_and_a_row_of_units() -> None:
    mapping = mapping_from_text(
        '[load]\ncolumn = "F"\nunit = "kN"\n[extension]\ncolumn = "s"\nunit = "in"\n[file]\nskip = 1\nunits_row = true\n'
    )
    text = "Machine 7; 2,0\nt;s;F\ns;in;kN\n" + rows(shape="{t};{x:.2f};{f:.1f}").replace(".", ",")
    curve = curve_from_text(text, mapping)
    assert curve.load_n[-1] == pytest.approx(97_500.0)
    assert curve.extension_mm[-1] == pytest.approx(0.39 * 25.4)
    assert [(note.code, note["by"]) for note in curve.notes] == [("curve-decimal-commas", "semicolons")]


def test_bad_cells_name_row_and_column_all_at_once() -> None:
    text = "Time,Extension,Force\n" + rows() + "40,x,1\n41,1,\n42\n"
    with pytest.raises(ValidationError) as told:
        curve_from_text(text, MAPPING)
    assert [fault.place for fault in told.value.faults] == [
        "curve row 42, column Extension",
        "curve row 43, column Force",
        "curve row 44, column Force",
        "curve row 44, column Extension",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it is empty"),
        ("Time,Travel,Force\n" + rows(), 'column "Extension" of the mapping is missing; its columns are Time, Travel'),
        ("Force,Extension,Force\n" + rows(), 'column "Force" of the mapping is there twice'),
        ("Time,Extension,Force\n" + rows(5), "at least 20 points; got 5"),
        ("Time,Extension,Force\n# a remark\n\n", "at least 20 points; got 0"),
        ("Time;Extension;Force\n" + rows().replace(",", ";") + "1;4,58;0,1e309\n", "too large"),
        ("Time,Extension,Force\n" + rows() + "1,4.58,-1e305\n", "too large"),
        ("Time,Extension,Force\n" + rows() + "1,nan,4\n", 'got "nan"'),
    ],
)
def test_curves_that_cannot_be_used(text: str, said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        curve_from_text(text, MAPPING)


def test_a_mapping_tells_all_its_faults() -> None:
    with pytest.raises(ValidationError) as told:
        mapping_from_text(
            '[load]\ncolumn = 0\nunit = "mm"\n[extension]\nspalte = 2\n[file]\nskip = -1\nunits_row = 1\n[x]\n'
        )
    assert sorted((fault.path.name, fault.code) for fault in told.value.faults) == [
        ("extension.column", "wrong-type"),
        ("extension.spalte", "unknown-key"),
        ("extension.unit", "not-a-choice"),
        ("file.skip", "out-of-range"),
        ("file.units_row", "wrong-type"),
        ("load.column", "wrong-type"),
        ("load.unit", "not-a-choice"),
        ("x", "unknown-key"),
    ]
    with pytest.raises(ValidationError, match="is not TOML"):
        mapping_from_text("[load\n")
    assert isinstance(MAPPING, CurveMapping)
