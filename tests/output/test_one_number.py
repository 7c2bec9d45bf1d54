"""One number in every output: what shape, hold, why, form and pictures say of the same thing, over several recipes."""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path

import pytest

from helix.model.recipe.recipe import Recipe, read_recipe
from helix.output.hold.form_report import form_document
from helix.output.hold.hold_report import hold_document
from helix.output.hold.why_report import why_document
from helix.output.report.document import document_text
from helix.output.shape.shape_table import shape_text
from helix.studies.hold.holding import hold, setting_of, tag_left
from helix.studies.hold.places.bend_places import STRAIGHT
from helix.studies.hold.places.load_path import load_path
from helix.studies.hold.why import why
from helix.studies.shape.along import strain_of
from helix.studies.shape.outline import draft
from helix.studies.shape.shape import shape
from helix.studies.teaching.hand_work import form
from helix.units import format_length
from tests.studies.hold.test_bend_stories import throat

FAULTS = Path(__file__).resolve().parents[2] / "docs" / "examples" / "faults"
RECIPES: dict[str, Recipe] = {
    **{name: read_recipe(FAULTS / f"{name}.toml") for name in
       ("good", "wide-throat", "bench-exit", "overbent-120", "small-entry-radius", "uneven-half", "wraps-only", "over-twist")},
    "100 deg, spread": throat(100.0, "spread"),
    "60 deg": throat(60.0),
}  # fmt: skip
every = pytest.mark.parametrize("name", RECIPES)


@every
def test_a_strain_is_one_number(name: str) -> None:
    recipe = RECIPES[name]
    shown, held = shape(recipe), hold(recipe, draws=200)
    rows = {row.name: row.gauge_strain for row in shown.sections}
    for place in held.breaks:
        if place.strain is not None and place.place not in STRAIGHT:
            assert place.strain == rows[place.place], place.place
    for bend in shown.bends:
        assert bend.strain == rows[bend.name], bend.name
    for one, other in zip(draft(recipe).bends, shown.bends, strict=True):
        assert one.strain == pytest.approx(other.strain, abs=0.02)
    along = strain_of(shown)
    path, names = shown.joint.layout.path, [piece.section for piece in shown.joint.layout.path.pieces]
    for bend in shown.bends[:2]:
        first, last = (path.starts[names.index(bend.name)], path.starts[len(names) - names[::-1].index(bend.name)])
        inside = (along.s_d >= first) & (along.s_d < last - 0.01)  # the last sample belongs to the next section
        assert along.strain[inside].max() == pytest.approx(bend.strain, abs=0.02)


@every
def test_the_table_of_sections_prints_what_the_table_of_bends_prints(name: str) -> None:
    text = shape_text(shape(RECIPES[name]))
    sections, bends = text.split("\nSections,")[1].split("\nBends\n")
    names = {"exit, tag": "exit bend, tag", "entry, tag": "first bend, tag", "exit, standing leg": "exit bend, standing leg",
             "entry, standing leg": "first bend, standing leg"}  # fmt: skip
    for section, bend in names.items():
        said = [next((line.split() for line in part.splitlines() if line.startswith(f"  {key}  ")), None)
                for part, key in ((sections, section), (bends, bend))]  # fmt: skip
        if said[0] and said[1] and said[0][-2] != "-":
            assert said[0][-2] == said[1][-1], section


@every
def test_what_is_left_of_the_load_in_the_tag_is_one_number(name: str) -> None:
    held = hold(RECIPES[name], draws=200)
    if held.model is not None and held.grip.turns:
        assert load_path(held).tag_left_proportion == (tag_left(held) or {"W": 0.5})


@every
def test_what_hands_work_on_is_the_finished_length_without_the_eye(name: str) -> None:
    finished, recipe = shape(RECIPES[name]).finished, RECIPES[name]
    eye = finished.eye_crossing_to_bight_mm + 0.5 * recipe.wire.diameter_mm
    assert form(recipe).grips.worked_mm == pytest.approx(finished.length_mm - eye, rel=1e-12)
    assert math.isfinite(eye)


@cache
def printed(name: str) -> dict[str, str]:
    """What shape, hold, why and form print with --all, by the command."""
    recipe = RECIPES[name]
    because = why(recipe, setting_of(recipe, draws=200))
    documents = {"hold": hold_document(because.hold), "why": why_document(because), "form": form_document(form(recipe))}
    texts = {command: document_text(document) for command, document in documents.items()}
    return {"shape": shape_text(shape(recipe), every=True), **texts}


def rows(text: str, title: str, column: str) -> dict[str, float]:
    """A column of a printed table by the names of its rows; a number is right under the end of its head."""
    _, _, table = text.partition(f"\n{title}")
    head, *lines = table.split("\n\n")[0].split("\n")[1:]
    end = head.index(column) + len(column)
    cells = {re.split(r"  +", line.strip())[0]: line[:end].split()[-1] for line in lines if len(line) >= end}
    return {name: float(cell) for name, cell in cells.items() if re.fullmatch(r"\d+\.\d+", cell)}


@pytest.mark.parametrize("name", ["good", "wide-throat", "bench-exit"])
def test_what_is_printed_under_one_name_is_one_number(name: str) -> None:
    texts = printed(name)
    of_bends, places = rows(texts["shape"], "Bends", "strain"), rows(texts["hold"], "Places", "strain")
    assert places == rows(texts["why"], "Places", "strain")
    shared = of_bends.keys() & places.keys()
    assert len(shared) >= 3 and {key: of_bends[key] for key in shared} == {key: places[key] for key in shared}
    assert places["eye"] == rows(texts["shape"], "Sections", "strain")["eye"]
    flat = {command: " ".join(text.split()) for command, text in texts.items()}
    left = re.findall(r"(\d\.\d\d) by model ([LE])", flat["hold"])
    for share, model in left:  # what the twist leaves in the tag, model by model
        assert re.search(rf"By model {model}, .{{0,130}}? \({share} of the load\)", flat["why"]), model
    assert left or name != "good"
    for same in (r"Weakest point: .*?\. ", r"(?:Plan with|Remake it:) \d+ N", r"Expected to break at \d+ N"):
        found = re.search(same, flat["hold"])
        assert found is not None and found[0] in flat["why"], same
    finished = shape(RECIPES[name]).finished
    worked = finished.length_mm - finished.eye_crossing_to_bight_mm - 0.5 * RECIPES[name].wire.diameter_mm
    assert (
        f"Twist and barrel are {format_length(worked)} long, from where the legs cross to the last wrap" in flat["form"]
    )
    assert float(re.search(r"length, inside of eye to last wrap ([\d.]+) mm", flat["shape"])[1]) > worked
