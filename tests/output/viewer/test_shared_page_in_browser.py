"""The page that turns a joint, seen in a browser without a network.

Map of what must hold:
  it draws: the wire's pixels differ from the bench; it asks for nothing and complains of nothing
  the wire's silhouette is that of the computed centre line, within 2 % of its area, from several sides, in a drag frame too
  a shadow only takes light away; a label's dot is hollow where wire lies before it, and only there
  every button, key and step of the slider does what it says; labels and flags stand at their places, within the window
  without WebGL, and without scripts, the drawing stands in its place and the numbers are there
  on a phone nothing runs past the edge
"""

from __future__ import annotations

import base64
import io
import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from helix.findings import Severity
from helix.model.recipe.recipe import read_recipe
from helix.output.link.link_page import link_scene
from helix.output.link.link_parts import link_parts
from helix.output.picture.view import VisiblePart, shown_part
from helix.output.viewer.shared_page import page_html
from helix.studies.link.link_result import Ring
from helix.studies.link.linking import link_joints
from helix.studies.shape.shape import ShapeResult, shape
from tests.tools.browser import NO_WEBGL, Visit

ROOT = Path(__file__).resolve().parents[3]
GOOD = ROOT / "docs" / "examples" / "logger-tether.toml"
SHARP = ROOT / "docs" / "examples" / "faults" / "overbent-120.toml"
PHONE = (390, 800)
FINER = 4


@pytest.fixture(scope="module")
def sharp() -> ShapeResult:
    return shape(read_recipe(SHARP))


@pytest.fixture(scope="module")
def file(sharp: ShapeResult, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pages") / "joint.html"
    path.write_text(page_html(sharp), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def plain(sharp: ShapeResult, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same page without the steps of making the joint."""
    path = tmp_path_factory.mktemp("pages") / "plain.html"
    path.write_text(page_html(sharp, steps=False), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def visit(browser: Any, file: Path) -> Iterator[Visit]:
    """One visit for the tests that leave the page as it was; it must end without a complaint or a request."""
    made = Visit(browser, file)
    made.page.wait_for_selector(".live #stage canvas")
    made.settle()
    yield made
    assert made.said == []
    assert made.elsewhere == []


def wire_pixels(visit: Visit) -> NDArray[np.float64]:
    """How much of each pixel of the stage the wire covers, 0 to 1."""
    address = visit.page.evaluate("() => helix.viewer.picture()")
    fine = Image.open(io.BytesIO(base64.b64decode(address.partition(",")[2]))).convert("RGBA").getchannel("A")
    seen = visit.page.evaluate("() => helix.viewer.projection")
    whole, rest = divmod(fine.width, int(seen["width"]))
    assert rest == 0 and whole >= 2, "the edges of the wire would be ragged"
    return np.asarray(fine.reduce(whole), dtype=float) / 255.0


def computed_silhouette(visit: Visit, *wires: VisiblePart) -> NDArray[np.float64]:
    """The same from centre lines: discs and the strips between them, as the page's camera sees them."""
    seen = visit.page.evaluate("() => helix.viewer.projection")
    width, height = int(seen["width"]), int(seen["height"])
    matrix = np.reshape(seen["matrix"], (4, 4)).T
    mask = Image.new("L", (width * FINER, height * FINER), 0)
    pen = ImageDraw.Draw(mask)
    for shown in wires:
        _paint_wire(pen, shown, matrix, width, height)
    return np.asarray(mask.resize((width, height), Image.Resampling.BOX), dtype=float) / 255.0


def _paint_wire(
    pen: ImageDraw.ImageDraw, shown: VisiblePart, matrix: NDArray[np.float64], width: int, height: int
) -> None:
    at = np.column_stack((shown.points_mm, np.ones(len(shown.points_mm)))) @ matrix.T
    flat = np.column_stack(((at[:, 0] / at[:, 3] + 1) * width, (1 - at[:, 1] / at[:, 3]) * height)) / 2 * FINER
    rows = matrix[1, :3]
    half = shown.d_mm / 2 * np.linalg.norm(rows) / at[:, 3] * height / 2 * FINER
    half -= 0.5  # Pillow paints every pixel that an edge runs through
    for run in shown.pieces:
        for k in range(run.start, run.stop - 1):
            step = flat[k + 1] - flat[k]
            long = float(np.hypot(*step))
            if long > 1e-9:
                across = np.array([-step[1], step[0]]) / long
                corners = [flat[k] + across * half[k], flat[k + 1] + across * half[k + 1],
                           flat[k + 1] - across * half[k + 1], flat[k] - across * half[k]]  # fmt: skip
                pen.polygon([tuple(corner) for corner in corners], fill=255)
            if k > run.start:
                (x, y), r = flat[k], half[k]
                pen.ellipse((x - r, y - r, x + r, y + r), fill=255)


def press(visit: Visit, name: str) -> None:
    visit.page.get_by_role("button", name=name, exact=True).click()
    visit.settle()


def key(visit: Visit, name: str) -> None:
    visit.page.locator("#stage").press(name)
    visit.settle()


def test_the_page_draws_the_joint(visit: Visit) -> None:
    shot = Image.open(io.BytesIO(visit.page.locator("#stage").screenshot())).convert("RGB")
    pixels = np.asarray(shot, dtype=float)
    bench = np.median(pixels.reshape(-1, 3), axis=0)
    differs = np.abs(pixels - bench).max(axis=2) > 60
    covered = wire_pixels(visit) > 0.5
    rows, columns = np.minimum(
        differs.shape, covered.shape
    )  # a stage of a broken number of pixels is rounded either way
    differs, covered = differs[:rows, :columns], covered[:rows, :columns]
    assert 0.02 < covered.mean() < 0.5
    rows, columns = covered.shape  # the stage may end within a pixel, which a screenshot takes whole
    assert 0 <= differs.shape[0] - rows <= 1 and 0 <= differs.shape[1] - columns <= 1
    assert differs[:rows, :columns][covered].mean() > 0.5
    assert not visit.page.locator("#drawing").is_visible()


@pytest.mark.parametrize("view", ["Side", "Top", "From the eye", "Slanted"])
def test_silhouette_is_the_computed_one(visit: Visit, sharp: ShapeResult, view: str) -> None:
    press(visit, view)
    seen, ours = wire_pixels(visit), computed_silhouette(visit, shown_part(sharp.joint, 0.05))
    assert ours.sum() > 3000  # pixels: a joint is there, end on too
    assert abs(seen.sum() / ours.sum() - 1.0) < 0.02
    assert np.abs(seen - ours).sum() / ours.sum() < 0.02


def test_a_drag_frame_has_the_same_silhouette(visit: Visit, sharp: ShapeResult) -> None:
    press(visit, "Side")
    visit.page.evaluate("() => helix.viewer.show(helix.viewer.scene, { keepView: true, quick: true })")
    seen, ours = wire_pixels(visit), computed_silhouette(visit, shown_part(sharp.joint, 0.05))
    visit.page.evaluate("() => helix.viewer.show(helix.viewer.scene, { keepView: true })")
    assert np.abs(seen - ours).sum() / ours.sum() < 0.02


def test_a_wire_beside_the_joint_is_drawn_as_thick_as_it_is_and_within_the_picture(visit: Visit) -> None:
    hung = link_joints(read_recipe(GOOD), ring=Ring(diameter_mm=3.0, inside_mm=15.0))
    visit.page.evaluate("(scene) => { window.kept = helix.viewer.scene; helix.viewer.show(scene); }", link_scene(hung))
    press(visit, "Top")
    seen, ours = wire_pixels(visit), computed_silhouette(visit, *(part.shown for part in link_parts(hung, step_d=0.05)))
    visit.page.evaluate("() => helix.viewer.show(kept)")
    press(visit, "Slanted")
    assert np.abs(seen - ours).sum() / ours.sum() < 0.02
    assert not (seen[0].any() or seen[-1].any() or seen[:, 0].any() or seen[:, -1].any())
    assert visit.page.evaluate("() => helix.viewer.others.length") == 0


def test_a_shadow_only_takes_light_away(visit: Visit) -> None:
    press(visit, "Slanted")
    shown = []
    for shaded in ("true", "false"):
        address = visit.page.evaluate(f"() => {{ helix.viewer.shaded = {shaded}; return helix.viewer.picture(); }}")
        image = Image.open(io.BytesIO(base64.b64decode(address.partition(",")[2]))).convert("RGB")
        shown.append(np.asarray(image, dtype=int).sum(axis=2))
    visit.page.evaluate("() => { helix.viewer.shaded = true; }")
    assert (shown[0] <= shown[1]).all()
    assert 0.02 < np.mean((shown[1] - shown[0])[shown[1] > 0] > 30) < 0.5


@pytest.mark.parametrize("view", ["Side", "From the eye"])
def test_a_dot_behind_wire_is_hollow(visit: Visit, sharp: ShapeResult, view: str) -> None:
    press(visit, view)
    shown = shown_part(sharp.joint, 0.05)
    eye = np.array(visit.page.evaluate("() => helix.viewer.projection.eye"))
    notes = visit.page.evaluate("""() => helix.viewer.notes.notes.flatMap(({ places, marks }) =>
      places.map((place, k) => [place, marks[k].classList.contains("behind")]))""")
    found = []
    for place, hollow in notes:
        way = np.array(place) - eye
        far = np.linalg.norm(way)
        ahead = (shown.points_mm - eye) @ way / far
        beside = np.linalg.norm(shown.points_mm - eye - ahead[:, None] * way / far, axis=1)
        surely, perhaps = (
            ((beside < (0.5 + by) * shown.d_mm) & (ahead < far - (0.75 - by) * shown.d_mm)).any() for by in (-0.1, 0.1)
        )  # not just at the edge of what hides it
        if surely or not perhaps:
            assert hollow == surely, place
            found.append(hollow)
    assert len(found) >= 5
    assert any(found) or view == "Side"


def test_side_view_is_the_joint_as_drawn(visit: Visit) -> None:
    """Seen from the side the joint lies along the window, eye to the left, wider than high."""
    press(visit, "Side")
    rows, columns = np.nonzero(wire_pixels(visit) > 0.5)
    assert np.ptp(columns) > 3 * np.ptp(rows)
    left = columns < columns.min() + np.ptp(columns) * 0.2
    assert np.ptp(rows[left]) > 2 * np.ptp(rows[~left])
    press(visit, "Slanted")


@pytest.mark.parametrize("colour", ["Verdict", "Strain", "Parts"])
def test_colours_change_the_wire_and_bring_their_legend(visit: Visit, colour: str) -> None:
    press(visit, "Bare wire")
    before = visit.page.evaluate("() => helix.viewer.picture()")
    assert "standing leg" in visit.page.locator("#legend").inner_text()  # the two tones
    press(visit, colour)
    assert visit.page.evaluate("() => helix.viewer.picture()") != before
    assert visit.page.locator("#legend").is_visible()
    words = {"Verdict": "tag", "Strain": "0.75", "Parts": "barrel"}
    assert words[colour] in visit.page.locator("#legend").inner_text()


def test_keys_turn_move_zoom_and_come_back(visit: Visit) -> None:
    key(visit, "2")
    home = wire_pixels(visit)
    for name, sign in (("+", 1), ("-", -1)):
        key(visit, name)
        assert sign * (wire_pixels(visit).sum() - home.sum()) > 0
        key(visit, "2")
    for name in ("ArrowLeft", "ArrowUp"):
        for _ in range(3):
            key(visit, name)
        assert np.abs(wire_pixels(visit) - home).sum() > 0.05 * home.sum()
        key(visit, "2")
    key(visit, "Shift+ArrowRight")
    moved = np.average(np.arange(home.shape[1]), weights=wire_pixels(visit).sum(axis=0))
    assert moved > np.average(np.arange(home.shape[1]), weights=home.sum(axis=0)) + 20
    key(visit, "2")
    assert np.array_equal(wire_pixels(visit), home)
    key(visit, "0")


def test_keys_change_colour_and_labels(visit: Visit) -> None:
    press(visit, "Bare wire")
    key(visit, "c")
    pressed = visit.page.locator("#colours [aria-pressed=true]")
    assert pressed.inner_text() == "Verdict"
    key(visit, "l")
    assert visit.page.locator("#labels").get_attribute("aria-pressed") == "false"
    assert visit.page.locator(".note:visible").count() == 0
    key(visit, "l")
    assert visit.page.locator(".note:visible").count() > 5


def test_dragging_turns_the_joint_and_the_wheel_zooms(visit: Visit) -> None:
    press(visit, "Side")
    before = wire_pixels(visit)
    box = visit.page.locator("#stage").bounding_box()
    x, y = box["x"] + 20, box["y"] + box["height"] - 130
    visit.page.mouse.move(x, y)
    visit.page.mouse.down()
    visit.page.mouse.move(x + 90, y - 40, steps=4)
    visit.page.mouse.up()
    visit.settle()
    turned = wire_pixels(visit)
    assert np.abs(turned - before).sum() > 0.2 * before.sum()
    far = visit.page.evaluate("() => helix.viewer.turning.far")
    visit.page.mouse.wheel(0, -300)
    visit.page.wait_for_function("(far) => helix.viewer.turning.far < far", arg=far)
    visit.settle()
    assert wire_pixels(visit).sum() > turned.sum()
    press(visit, "Slanted")


@pytest.mark.parametrize("view", ["Slanted", "Side", "From the eye"])
def test_labels_keep_clear_of_each_other_and_within_the_window(visit: Visit, view: str) -> None:
    press(visit, view)
    stage = visit.page.locator("#stage").bounding_box()
    boxes = [note.bounding_box() for note in visit.page.locator(".note:visible").all()]
    assert len(boxes) >= 6
    for k, one in enumerate(boxes):
        assert stage["x"] <= one["x"] and one["x"] + one["width"] <= stage["x"] + stage["width"]
        assert stage["y"] <= one["y"] and one["y"] + one["height"] <= stage["y"] + stage["height"]
        for other in boxes[k + 1 :]:
            apart_x = max(one["x"], other["x"]) >= min(one["x"] + one["width"], other["x"] + other["width"])
            apart_y = max(one["y"], other["y"]) >= min(one["y"] + one["height"], other["y"] + other["height"])
            assert apart_x or apart_y
    press(visit, "Slanted")


def test_a_flag_is_marked_on_the_bend_and_leads_there(visit: Visit, sharp: ShapeResult) -> None:
    press(visit, "Side")
    worst = next(bend for bend in sharp.bends if bend.severity is Severity.SHARP)
    seen = visit.page.evaluate("() => helix.viewer.projection")
    at = np.reshape(seen["matrix"], (4, 4)).T @ [*worst.point_mm, 1.0]
    box = visit.page.locator("#stage").bounding_box()
    where = ((at[0] / at[3] + 1) / 2 * box["width"], (1 - at[1] / at[3]) / 2 * box["height"])
    mark = visit.page.locator(".notes path.mark.sharp").bounding_box()
    middle = (mark["x"] - box["x"] + mark["width"] / 2, mark["y"] - box["y"] + mark["height"] / 2)
    assert np.hypot(middle[0] - where[0], middle[1] - where[1]) < 2.0
    visit.page.locator(".note.sharp").click()
    visit.page.wait_for_function("() => helix.viewer.turning.flight === null")
    visit.settle()
    mark = visit.page.locator(".notes path.mark.sharp").bounding_box()
    assert abs(mark["x"] + mark["width"] / 2 - box["x"] - box["width"] / 2) < 3
    assert abs(mark["y"] + mark["height"] / 2 - box["y"] - box["height"] / 2) < 3
    assert visit.page.locator("aside .told.chosen").count() == 1
    press(visit, "Slanted")


def form(visit: Visit, step: str) -> None:
    visit.page.locator("#step").press(step)
    visit.settle()


def test_going_to_a_part_seen_end_on_turns_the_joint(visit: Visit) -> None:
    """Along the joint the eye and the twist would hide the barrel."""
    axis = "() => { const m = helix.viewer.turning.camera.matrixWorldInverse.elements; return Math.abs(m[10]); }"
    press(visit, "From the eye")
    assert visit.page.evaluate(axis) > 0.95
    visit.page.locator(".note.part").filter(has_text="barrel").click()
    visit.page.wait_for_function("() => helix.viewer.turning.flight === null")
    visit.settle()
    assert visit.page.evaluate(axis) < 0.75
    press(visit, "Slanted")


def test_the_slider_goes_through_the_steps_of_making_it(visit: Visit) -> None:
    finished = wire_pixels(visit)
    last = int(visit.page.locator("#step").get_attribute("max") or "")
    steps = json.loads(visit.page.locator("#helix-scene").text_content() or "")["steps"]
    assert last == len(steps) > 10
    form(visit, "Home")
    assert steps[0]["kind"] == "mark"
    assert steps[0]["sentence"] in visit.page.locator("#said").inner_text()
    rows, columns = np.nonzero(wire_pixels(visit) > 0.5)
    assert np.ptp(columns) > 50 * np.ptp(rows)  # a straight wire
    labels = [note.inner_text().split()[0] for note in visit.page.locator(".note:visible").all()]
    assert sorted(labels) == list("ABCDEFGH")
    seen = []
    for step in steps[1:4]:
        form(visit, "ArrowRight")
        assert step["sentence"] in visit.page.locator("#said").inner_text()
        seen.append(wire_pixels(visit))
    assert all(np.abs(a - b).sum() > 0.1 * a.sum() for a, b in pairwise(seen))
    key(visit, ".")
    assert steps[4]["sentence"] in visit.page.locator("#said").inner_text()
    form(visit, "End")
    assert np.array_equal(wire_pixels(visit), finished)
    assert visit.page.locator(".note.sharp:visible").count() == 1


def test_every_control_can_be_reached_by_keyboard(visit: Visit) -> None:
    visit.page.locator("body").press("Tab")
    reached = set()
    for _ in range(40):
        reached.add(visit.page.evaluate("() => document.activeElement.id || document.activeElement.textContent"))
        visit.page.keyboard.press("Tab")
    assert {"stage", "labels", "brightness", "Side", "Strain", "step", "play"} <= reached


def test_light_and_dark(browser: Any, plain: Path) -> None:
    made = Visit(browser, plain, color_scheme="dark")
    paper = "() => getComputedStyle(document.body).backgroundColor"
    dark = made.page.evaluate(paper)
    made.page.locator("#brightness").click()
    light = made.page.evaluate(paper)
    assert sum(map(int, dark[4:-1].split(","))) < 150
    assert sum(map(int, light[4:-1].split(","))) > 600
    assert made.said == []
    made.context.close()


def test_on_a_phone_nothing_runs_past_the_edge_and_the_joint_stands_upright(browser: Any, plain: Path) -> None:
    made = Visit(browser, plain, PHONE, has_touch=True, is_mobile=True, device_scale_factor=2)
    made.page.wait_for_selector(".live #stage canvas")
    made.settle()
    assert made.page.evaluate("() => document.documentElement.scrollWidth") <= PHONE[0]
    rows, columns = np.nonzero(wire_pixels(made) > 0.5)
    assert np.ptp(rows) > 1.5 * np.ptp(columns)
    assert made.said == [] and made.elsewhere == []
    made.context.close()


def test_without_scripts_the_drawing_and_the_numbers_are_there(browser: Any, plain: Path) -> None:
    made = Visit(browser, plain, scripts=False)
    assert made.page.locator("#drawing svg #drawing-wire").is_visible()
    assert "Bends" in made.page.locator("aside").inner_text()
    assert not made.page.locator("#tools").is_visible()
    made.context.close()


def test_without_webgl_the_drawing_stands_in_its_place(browser: Any, plain: Path) -> None:
    made = Visit(browser, plain, before=NO_WEBGL)
    assert made.page.locator("#drawing svg #drawing-wire").is_visible()
    assert made.page.locator("#no-3d").is_visible()
    assert not made.page.locator("#tools").is_visible()
    assert "Bends" in made.page.locator("aside").inner_text()
    assert made.said == []
    assert made.elsewhere == []
    made.context.close()
