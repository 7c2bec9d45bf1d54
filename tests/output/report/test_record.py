"""Results as plain data.

Map of what must hold:
  every key that the record promises is there, finite or null, whatever the recipe
  the numbers are those of the result, in mm, N and degrees, whatever units people chose
  the record's own sums agree: sections and handle make the cut
  the centre line reads back bit for bit
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from helix.output.report.record import POINTS_HEADER, points_text, result_to_dict, to_json
from helix.studies.shape.shape import ShapeResult

PROMISED = {
    "": ("schema", "version", "recipe", "wire", "counts", "sections", "cut", "finished", "contact",
         "clearance", "bends", "judgement", "caution"),
    "wire": ("diameter_mm",),
    "counts": ("turns", "swing", "wraps", "total"),
    "cut": ("total_mm", "low_mm", "high_mm", "joint_mm"),
    "finished": ("length_mm", "twist_diameter_mm", "barrel_diameter_mm", "eye_inside_length_mm",
                 "eye_inside_width_mm"),
    "contact": ("leg_on_leg_mm", "wrap_on_core_mm", "wrap_on_wrap_mm"),
    "clearance": ("least_d", "between"),
}  # fmt: skip
IN_SECTION = ("name", "wire_mm", "axial_mm", "min_bend_radius_d", "max_strain", "lay_deg")
IN_BEND = ("name", "turn_deg", "visible_angle_deg", "min_radius_d", "length_d", "advance_deg", "strain",
           "severity", "governing")  # fmt: skip
SOME = ("logger-tether", "faults/short-exit", "faults/wraps-only", "faults/twist-only", "faults/uneven-zero")


@pytest.mark.parametrize("name", SOME)
def test_every_promised_key_is_there_and_is_json(example: Callable[[str], ShapeResult], name: str) -> None:
    data = json.loads(to_json(result_to_dict(example(name))))
    for group, keys in PROMISED.items():
        assert set(keys) <= set(data[group] if group else data)
    assert all(set(IN_SECTION) <= set(row) for row in data["sections"])
    assert all(set(IN_BEND) <= set(bend) for bend in data["bends"])
    assert [bend["name"] for bend in data["bends"]] == ["entry_standing", "entry_tag", "exit_standing", "exit_tag"]
    assert len(data["clearance"]["between"]) == 2


@pytest.mark.parametrize("name", SOME)
def test_sections_and_handle_make_the_cut(example: Callable[[str], ShapeResult], name: str) -> None:
    data = result_to_dict(example(name))
    wire = {row["name"]: row["wire_mm"] for row in data["sections"]}
    handle = data["recipe"]["finish"]["handle_mm"]
    assert sum(wire.values()) + handle == pytest.approx(data["cut"]["total_mm"], rel=1e-12)
    assert data["cut"]["joint_mm"] + wire["standing"] + handle == pytest.approx(data["cut"]["total_mm"], rel=1e-12)
    assert data["cut"]["low_mm"] <= data["cut"]["total_mm"] <= data["cut"]["high_mm"]


def test_units_for_people_change_nothing(good: ShapeResult) -> None:
    in_inches = replace(good, recipe=replace(good.recipe, units="inch"))
    a, b = result_to_dict(good), result_to_dict(in_inches)
    assert a["recipe"].pop("units") != b["recipe"].pop("units")
    assert a == b


def test_numbers_are_those_of_the_result(short_exit: ShapeResult) -> None:
    data = json.loads(to_json(result_to_dict(short_exit)))
    assert data["cut"]["total_mm"] == short_exit.cut.total_mm
    assert data["clearance"]["least_d"] == short_exit.clearance.least_d
    assert [bend["severity"] for bend in data["bends"]] == [bend.severity.word for bend in short_exit.bends]
    assert data["bends"][3]["point_mm"] == list(short_exit.bends[3].point_mm)
    judgement, told = short_exit.judgement, data["judgement"]
    assert (told["severity"], told["code"]) == (judgement.severity.word, judgement.code) == ("fault", "overlap")
    assert [(f["code"], f["place"], f["values"]) for f in told["findings"]] == [
        (f.code, f.place, dict(f.values)) for f in judgement.findings
    ]
    assert all(f["message"] and f["remedy"] for f in told["findings"])
    assert sum(share["plus_minus_mm"] ** 2 for share in data["cut"]["shares"]) ** 0.5 == pytest.approx(
        (data["cut"]["high_mm"] - data["cut"]["low_mm"]) / 2, rel=1e-9
    )


def test_what_is_not_finite_is_null(good: ShapeResult) -> None:
    bends = (replace(good.bends[0], min_radius_d=float("inf"), strain=float(np.float64("nan"))), *good.bends[1:])
    data = json.loads(to_json(result_to_dict(replace(good, bends=bends))))
    assert data["bends"][0]["min_radius_d"] is None
    assert data["bends"][0]["strain"] is None


def test_points_read_back_bit_for_bit(good: ShapeResult) -> None:
    line = good.joint.sample(0.02)
    names = good.joint.section_names
    rows = points_text([line], names).splitlines()
    assert rows[0] == POINTS_HEADER == "s_mm,x_mm,y_mm,z_mm,curvature_per_mm,section"
    cells = [row.split(",") for row in rows[1:]]
    numbers = np.array([[float(cell) for cell in row[:5]] for row in cells])
    assert np.array_equal(numbers[:, 0], line.s_mm)
    assert np.array_equal(numbers[:, 1:4], line.points_mm)
    assert np.array_equal(numbers[:, 4], line.curvature_per_mm)
    assert [row[5] for row in cells] == [names[k] for k in line.section]
    assert np.diff(numbers[:, 0]).max() <= 0.02 * good.recipe.wire.diameter_mm * (1 + 1e-12)
