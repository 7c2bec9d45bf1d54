"""A simulated forming as a page that plays it, a moving picture, a table. What is tested, strongest first:

* the page's and the picture's wire is the run's, without what lies in one place; the pin is within what is shown;
* the table has a row a moment, its strains are the run's hardest;
* each picture says "simulated, not tested", the judgement, what the hands do, and the caution; none of its words meet;
* in a browser the page plays from straight legs to the joint, and that of a pull from whole to broken; nothing is fetched.
"""

from __future__ import annotations

import csv
import io
import itertools
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from helix.commands.main import main
from helix.output.canvas.primitives import Stroke, Text
from helix.output.simulate.form_moving import form_canvas, moving_form
from helix.output.simulate.forming_film import pin_corners
from helix.output.simulate.pull_page import FORM_COLUMNS, form_csv, form_scene, pull_html
from helix.output.words.answer_words import CAUTION, headline
from helix.studies.judge import judge
from helix.studies.simulate.form_result import FormRun, Stage
from helix.studies.simulate.pull_result import PullSimulation
from helix.studies.simulate.shipped import shipped_form
from helix.tasks.simulate import simulate_task
from tests.output.simulate.test_pull_moving import box, simulation
from tests.tools.browser import Visit


def forming(key: str = "small") -> tuple[PullSimulation, FormRun]:
    form = shipped_form(key)
    strength_n = form.recipe.wire.breaking_load_n[1]
    return PullSimulation(recipe=form.recipe, strength_n=strength_n, forming=form.run), form.run


def test_what_lies_in_one_place_is_left_out() -> None:
    _, run = forming()
    for k, points in enumerate(run.frames):
        there = run.there(k)
        steps = np.linalg.norm(np.diff(points[there], axis=0), axis=1)
        assert steps.min() > 0.2 * np.diff(run.s_d).min()
        assert np.ptp(points[: there.start + 1], axis=0).max() < 1e-6 > np.ptp(points[there.stop - 1 :], axis=0).max()
    assert [run.stages[k] for k in run.starts] == list(Stage)


def test_the_scene_is_the_run_with_its_pin() -> None:
    result, run = forming()
    d, pin = result.recipe.wire.diameter_mm, result.recipe.eye.pin_mm
    scene = form_scene(result, run)
    assert scene["formed"]["frames"] == len(run.frames) and set(scene["legends"]) == set(scene["wire"]["colours"])
    ways = np.array(list(itertools.product((-1.0, 0.0, 1.0), repeat=3)))
    views, ends = scene["formed"]["views"], [*(start - 1 for start in run.starts[1:]), len(run.frames) - 1]
    for start, end in zip(run.starts, ends, strict=True):  # at its end a stage has all in the picture that it has moved
        seen = run.frames[end if run.stages[end] is Stage.LET_GO else start : end + 1]
        everything = np.vstack([seen.reshape(-1, 3) * d, pin_corners(pin, d)])
        around = np.reshape(next(view["points"] for view in views if view["frame"] == end), (-1, 3))
        assert np.max(around @ ways.T, axis=0) == pytest.approx(np.max(everything @ ways.T, axis=0), abs=0.02)
    assert [view["frame"] for view in views] == sorted({view["frame"] for view in views}) and views[0]["frame"] == 0
    first, last = (np.ptp(np.reshape(view["points"], (-1, 3)), axis=0)[0] for view in (views[0], views[-1]))
    assert last < 0.6 * first  # across: the legs in the hands are gone; it was seen as small as with them
    json.dumps(scene, allow_nan=False)


def test_the_table_has_a_row_a_moment() -> None:
    result, run = forming()
    rows = list(csv.DictReader(io.StringIO(form_csv(result, run))))
    assert tuple(rows[0]) == FORM_COLUMNS and [row["stage"] for row in rows] == [stage.value for stage in run.stages]
    assert [float(row["strain"]) for row in rows] == pytest.approx(run.strains.max(axis=1), rel=1e-3)
    done = [float(row["turns"]) + float(row["wraps"]) for row in rows]
    assert done == pytest.approx(run.rounds, rel=1e-3) and done[0] == 0.0
    assert rows[-1]["tag"] == "1"  # the barrel is bent hardest


@pytest.mark.parametrize("frame", [0, 20, -1])
def test_each_picture_says_what_it_is(frame: int) -> None:
    result, run = forming("hands-90")
    k = range(len(run.frames))[frame]
    canvas = form_canvas(result, run, k)
    texts = [item for item in canvas.over if isinstance(item, Text)]
    words = [item.text for item in texts]
    assert "Simulated, not tested" in words and CAUTION in words
    assert headline(judge(result.recipe)) in " ".join(words)
    boxes = [box(item) for item in texts]
    assert all(x0 >= 0.0 and x1 <= canvas.width and y1 <= canvas.height for x0, _, x1, y1 in boxes)
    assert not any(
        a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for a, b in itertools.combinations(boxes, 2)
    )
    assert sum(isinstance(item, Stroke) and item.role == "stage" for item in canvas.over) == len(Stage) - 1
    wire = canvas.frames[0].shown
    assert np.isfinite(wire.points_mm).all() and np.isfinite(wire.tangents).all()
    flat, _ = canvas.frames[0].view.project(wire.points_mm)
    x0, y0, x1, y1 = canvas.frames[0].box
    assert np.all((flat >= [x0, y0]) & (flat <= [x1, y1]))


@pytest.mark.slow
@pytest.mark.usefixtures("rendering")
def test_it_is_one_endless_file() -> None:
    result, run = forming()
    picture = Image.open(io.BytesIO(moving_form(result, run, size_px=(300, 200))))
    assert picture.format == "WEBP" and picture.info["loop"] == 0
    assert getattr(picture, "n_frames", 1) == len(run.frames)


@pytest.mark.parametrize("suffix", [".html", ".csv", ".json"])
def test_the_command_writes_it(suffix: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    recipe = Path(__file__).resolve().parents[3] / "docs/examples/logger-tether.toml"
    monkeypatch.setattr(simulate_task, "simulate_form", lambda *_, **__: forming("hands-90")[1])
    made = tmp_path / f"form{suffix}"
    assert main(["simulate", str(recipe), "--form", "-o", str(made)]) == 0
    text = made.read_text(encoding="utf-8")
    assert {".html": "Simulated, not tested", ".csv": "let_go,5,", ".json": '"forming"'}[suffix] in text


@pytest.mark.slow
def test_the_page_of_a_forming_plays_it(browser: Any, tmp_path: Path) -> None:
    for name, result, words in (
        ("form", forming()[0], ("Twist. 0 turns", "Let go. 3 turns, 3 wraps")),
        ("pull", simulation("turns-5"), ("Pulled. ", "It breaks at the standing leg's exit. ")),
    ):
        path = tmp_path / f"{name}.html"
        path.write_text(pull_html(result), encoding="utf-8")
        made = Visit(browser, path)
        slider = made.page.locator("#step")
        for at, begins in zip(("0", slider.get_attribute("max")), words, strict=True):
            slider.fill(at)
            said = made.page.locator("#said").inner_text()
            assert said.startswith(begins) and "Simulated, not tested" in said
        assert made.said == [] and made.elsewhere == []
        made.context.close()
