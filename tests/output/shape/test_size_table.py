"""Wire sizes by material: the table, and the same as data."""

from __future__ import annotations

import math
import re

import pytest

from helix.data.materials import materials
from helix.data.wire_sizes import wire_sizes
from helix.errors import ValidationError
from helix.output.shape.shape_table import WIDTH
from helix.output.shape.size_table import sizes_text
from helix.studies.shape.size_list import list_sizes


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("material", [None, *(material.name for material in materials())])
def test_every_size_of_every_family_is_listed(material: str | None, units: str) -> None:
    text = sizes_text(list_sizes(None, material), units)
    assert text.isascii() and max(map(len, text.splitlines())) <= WIDTH
    listed = re.findall(r"^  ([A-Z]+ \d+) ", text, re.MULTILINE)
    assert listed == [size.name for size in wire_sizes()] * (1 if material else 2)
    for each in materials() if material is None else [m for m in materials() if m.name == material]:
        assert f"[{each.strength_mark}]" in text


def test_the_data_are_strength_times_area() -> None:
    data = list_sizes().to_dict()
    count = 0
    for size in data["sizes"]:
        area = math.pi * size["diameter_mm"] ** 2 / 4
        for row in size["materials"]:
            assert row["strength_low_mpa"] <= row["strength_mpa"] <= row["strength_high_mpa"]
            for which in ("_low", "", "_high"):
                load = row[f"breaking_load{which}_n"]
                assert load == pytest.approx(row[f"strength{which}_mpa"] * area, rel=1e-12)
            assert row["mark"] in ("pub", "rep", "mem", "assumed") and row["source"]
            count += 1
    assert count > 200


def test_table_and_data_agree() -> None:
    listed = list_sizes("MWG", "302 stainless")
    (strength,) = next(row for row in listed.sizes if row.size == "MWG 12").materials
    low, high = strength.breaking_load_low_n, strength.breaking_load_high_n
    line = next(line for line in sizes_text(listed).splitlines() if "MWG 12 " in line)
    assert line.split() == ["MWG", "12", "0.737", "mm", "1965-2172", f"{low:.0f}-{high:.0f}"]


def test_unknown_names_are_told_together() -> None:
    with pytest.raises(ValidationError) as caught:
        list_sizes("XYZ", "string")
    assert [fault.place for fault in caught.value.faults] == ["family", "material"]
