"""The page of `helix page`, seen in a browser that reaches nothing but the server of the page.

Map of what must hold:
  the answer's numbers are those of helix.studies.shape.shape for the same recipe
  a slider that moves changes the picture and the numbers, by pointer and by keys; let go, it is kept, the joint of before seen faintly
  a sharp exit is told; pressed, it brings its place to the middle of the stage; its remedy cures it
  undo and redo, back and forward, an address, a reload: each brings the joint back
  a file that is saved and opened again is the same joint
  what cannot be made is said at its knob and at the head, without a number; the last joint that can stays, greyed
  what the joint holds follows by itself; a program that has ended is missed, and asked anew when it is back
  a part that is pointed at tells its length, radius and strain as helix shape does
  metric and inch, light and dark; the keyboard reaches everything
  no console error, and no request off the machine
"""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from helix.findings import Severity
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.output.hold.hold_answers import load_head
from helix.output.words.answer_words import headline
from helix.output.words.findings.finding_words import capital
from helix.output.words.words import answer_line
from helix.page.answers.knobs import NOT_FOR_TWO
from helix.studies.hold.holding import hold
from helix.studies.shape.shape import ShapeResult, shape
from helix.units import format_length
from tests.tools.browser import COARSE, Visit

SIZE = (1440, 900)
PATIENCE_MS = 60_000
GOOD = {"wire.size": "MWG 12", "wire.material": "302 stainless", "eye.pin": "6 mm", "twist.turns": 5}
STEEP = GOOD | {"exit.style": "bench", "exit.peak_angle": "120 deg"}
NO_HOLD = """window.fetch = ((own) => (place, how) => place === "/api/pane/hold" && !window.holdAsked
  ? new Promise((_, fail) => how.signal.addEventListener("abort", () => fail(new DOMException("", "AbortError")))) : own(place, how)
)(window.fetch);"""
ANSWERED = "(draft) => window.helixPage?.answer && !window.helixPage.asker.busy && helixPage.answer.draft === draft"


@pytest.fixture(scope="module")
def open_page(browser: Any, page_address: str) -> Iterator[Visit]:
    """One page for all tests; what the joint holds is worked out for nobody but the test of it."""
    made = Visit(browser, f"{page_address}#{urlencode(GOOD)}", SIZE, before=NO_HOLD, **COARSE)
    answered(made)
    yield made
    made.context.close()


@pytest.fixture
def visit(open_page: Visit, request: pytest.FixtureRequest) -> Iterator[Visit]:
    """The page at the joint of the test's parameter (GOOD); it must end without a complaint."""
    address = f"#{urlencode(getattr(request, 'param', GOOD) | {'pane': 'shape', 'light': 'light'})}"
    open_page.said.clear()
    open_page.page.evaluate(
        "(address) => { helixPage.viewer.look('three-quarter'); location.hash = address; }", address
    )
    open_page.page.wait_for_function("(address) => location.hash === address && !helixPage.asker.busy", arg=address)
    answered(open_page)
    yield open_page
    _no_complaint(open_page)


def _no_complaint(made: Visit) -> None:
    assert made.said == []
    assert made.elsewhere == []


def answered(visit: Visit, draft: bool = False) -> None:
    visit.page.wait_for_function(ANSWERED, arg=draft)
    visit.settle()


def computed(keys: dict[str, Any]) -> ShapeResult:
    """What helix shape works out for the same recipe."""
    tables: dict[str, list[str]] = {}
    for key, value in keys.items():
        table, _, name = key.partition(".")
        tables.setdefault(table, []).append(f"{name} = {value!r}".replace("'", '"'))
    return shape(recipe_from_text("\n".join(f"[{name}]\n" + "\n".join(rows) for name, rows in tables.items())))


def told(visit: Visit, field: str) -> str:
    return str(visit.page.locator(f".answer .{field}").inner_text())


def knob(visit: Visit, key: str, part: str = "input[type=range]") -> Any:
    return visit.page.locator(f'[data-key="{key}"] {part}')


def picture(visit: Visit) -> NDArray[np.float64]:
    """The wire's share of each pixel of the stage."""
    found = visit.page.evaluate("() => helixPage.viewer.picture()")
    image = Image.open(io.BytesIO(base64.b64decode(found.partition(",")[2]))).convert("RGBA")
    return np.asarray(image.resize((400, 200)), dtype=float)[..., 3] / 255.0


def on_stage(visit: Visit, point: Any) -> NDArray[np.float64]:
    """Where a place of the joint is seen: -1 to 1 from the left and from the bottom of the stage."""
    seen = visit.page.evaluate("() => helixPage.viewer.projection")
    at = np.reshape(seen["matrix"], (4, 4)).T @ np.append(point, 1.0)
    return np.asarray(at[:2] / at[3])


def test_the_answer_is_that_of_helix_shape(visit: Visit) -> None:
    result = computed(GOOD)
    cut, parts = told(visit, "cut").split("\n")[1:]
    length, low, high = re.findall(r"[\d.]+", cut)
    line = answer_line(result, "metric")
    assert line == f"Cut {length} mm ({low} to {high}): {parts.partition(';')[0]}."
    assert told(visit, "finished").split("\n")[1] == format_length(result.finished.length_mm)
    worst = max(result.bends, key=lambda bend: bend.strain)
    assert f"strain {worst.strain:.2f}" in visit.page.locator(".findings").inner_text()
    rows = visit.page.locator(".pane.shape tr").all_inner_texts()
    assert any(row.startswith("wire\t") and row.endswith(format_length(result.recipe.wire.diameter_mm)) for row in rows)


def test_a_slider_moves_the_joint_under_the_hand(visit: Visit) -> None:
    before, cut = picture(visit), told(visit, "cut")
    slider = knob(visit, "twist.lay_length")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    visit.page.mouse.move(box["x"] + 0.18 * box["width"], middle)
    visit.page.mouse.down()
    visit.page.mouse.move(box["x"] + 0.4 * box["width"], middle, steps=4)
    answered(visit, draft=True)
    drawn, lay = picture(visit), knob(visit, "twist.lay_length", ".typed").input_value()
    assert lay.endswith(" d") and 5.0 < float(lay[:-2]) < 8.0
    assert np.abs(drawn - before).mean() > 0.005
    assert told(visit, "cut") != cut
    rows = visit.page.locator(".pane.shape tr").all_inner_texts()
    assert f"length, eye to last wrap\t{told(visit, 'finished').split(chr(10))[1]}" in rows
    waiting = visit.page.locator(".pane.shape .block.waits h2")
    assert waiting.all_inner_texts() == ["Ink marks", "Parts of the wire"]
    assert "lay_length" not in visit.page.url
    eye = visit.page.evaluate("() => helixPage.viewer.projection.eye")
    assert not visit.page.locator(".before").is_visible()
    visit.page.evaluate("""() => new MutationObserver(([{ target }], watch) => {
      if (!target.hidden) window.joints = ["before", "rings"].map((of) => Math.max(...(helixPage.viewer[of].rings ?? helixPage.viewer[of]).middle));
      if (!target.hidden) watch.disconnect();
    }).observe(document.querySelector(".before"), { attributeFilter: ["hidden"] })""")
    visit.page.mouse.up()
    answered(visit)
    was, now = visit.page.evaluate("() => window.joints")  # how far each reaches along the axis [mm]
    assert was < now - 5.0  # the joint of before the hand moved is seen too, for a while
    assert waiting.count() == 0
    assert visit.page.evaluate("() => helixPage.viewer.projection.eye") == pytest.approx(eye)  # the camera stays
    longer = computed(GOOD | {"twist.lay_length": lay}).cut.total_mm - computed(GOOD).cut.total_mm
    assert visit.page.locator(".answer .cut .big").get_attribute("data-moved") == f"+{longer:.0f} mm"
    assert f"lay_length={lay.replace(' ', '+')}" in visit.page.url
    kept = computed(GOOD | {"twist.lay_length": lay})
    assert f"Cut\n{format_length(kept.cut.total_mm)}" in told(visit, "cut")
    assert visit.page.evaluate("() => helixPage.pace.length") > 0


def test_a_slider_that_comes_back_is_let_go_too(visit: Visit) -> None:
    """A browser tells of no change then; the page went on showing a draft."""
    before = told(visit, "cut")
    slider = knob(visit, "twist.lay_length")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    share = visit.page.evaluate("(one) => (one.value - one.min) / (one.max - one.min)", slider.element_handle())
    home = box["x"] + 8 + share * (box["width"] - 16)
    visit.page.mouse.move(home, middle)
    visit.page.mouse.down()
    visit.page.mouse.move(home + 60, middle, steps=3)
    answered(visit, draft=True)
    assert told(visit, "cut") != before
    visit.page.mouse.move(home, middle, steps=3)
    visit.page.mouse.up()
    answered(visit)
    assert told(visit, "cut") == before


def test_arrows_turn_a_knob_and_one_undo_takes_them_back(visit: Visit) -> None:
    slider = knob(visit, "barrel.wraps")
    slider.focus()
    for _ in range(4):
        visit.page.keyboard.press("ArrowRight")
    answered(visit)
    assert "barrel.wraps=6" in visit.page.url
    assert f"Cut\n{format_length(computed(GOOD | {'barrel.wraps': 6}).cut.total_mm)}" in told(visit, "cut")
    visit.page.keyboard.press("Control+z")
    answered(visit)
    assert "barrel.wraps" not in visit.page.url


def test_two_wires_are_a_choice_with_their_own_lay_and_lie(visit: Visit) -> None:
    lie = visit.page.locator('[data-key="eye.pair"]')
    assert not lie.is_visible()
    knob(visit, "wire.count", 'button[value="2"]').click()
    answered(visit)
    assert "wire.count=2" in visit.page.url and "lay_length" not in visit.page.url and lie.is_visible()
    assert "2 x " in told(visit, "cut") and knob(visit, "twist.lay_length", ".typed").input_value() == "6.7 d"
    gone = [visit.page.locator(f'[data-key="{key}"]') for key in NOT_FOR_TWO]
    assert not any(each.is_visible() for each in gone)
    note = visit.page.locator('[data-key="wire.count"] .small')
    assert "Not modelled for two wires" in note.inner_text()
    knob(visit, "wire.count", 'button[value="1"]').click()
    answered(visit)
    assert "2 x " not in told(visit, "cut") and not lie.is_visible() and not note.is_visible()
    assert all(each.is_visible() for each in gone)


@pytest.mark.parametrize("visit", [STEEP], indirect=True)
def test_a_sharp_exit_is_told_shown_and_cured(visit: Visit) -> None:
    sharp = next(bend for bend in computed(STEEP).bends if bend.severity is Severity.SHARP)
    finding = visit.page.locator(".finding.sharp").first
    line = headline(computed(STEEP).judgement).removesuffix(".")  # as `helix shape` and `helix hold` head their answers
    assert re.sub(r"\s+", " ", finding.inner_text()) == line.replace("SHARP", "Sharp")
    assert np.abs(on_stage(visit, sharp.point_mm)).max() > 0.1
    finding.click()
    visit.settle()
    assert np.abs(on_stage(visit, sharp.point_mm)).max() < 0.1
    card = visit.page.locator(".told-card")
    assert "the tag points back at the eye" in card.inner_text().lower()
    assert "What to do" in card.inner_text()
    stage = visit.page.locator("#stage").bounding_box()
    assert card.bounding_box()["x"] >= stage["x"] + stage["width"]  # it covers nothing of what it explains
    assert visit.page.locator("#views [aria-pressed=true]").count() == 0  # it is seen from none of the views
    visit.page.get_by_role("button", name="Fit", exact=True).click()
    visit.settle()
    assert np.abs(on_stage(visit, sharp.point_mm)).max() > 0.05
    card.get_by_role("button", name="Apply").first.click()
    answered(visit)
    assert visit.page.locator(".finding").count() == 0
    assert "No bend is sharp" in told(visit, "worst")
    assert not card.is_visible()
    visit.page.keyboard.press("Control+z")
    answered(visit)
    assert visit.page.locator(".finding.sharp").count() > 0
    visit.page.keyboard.press("Control+Shift+z")
    answered(visit)
    assert visit.page.locator(".finding").count() == 0


def test_a_joint_comes_back_by_undo_back_address_and_reload(visit: Visit, page_address: str) -> None:
    page, first = visit.page, told(visit, "cut")
    typed = knob(visit, "eye.pin", ".typed")
    typed.fill("1/2 in")
    typed.press("Enter")
    answered(visit)
    second, link = told(visit, "cut"), page.url
    assert f"Cut\n{format_length(computed(GOOD | {'eye.pin': '1/2 in'}).cut.total_mm)}" in second
    for act, found in (
        (lambda: page.get_by_role("button", name="Undo").click(), first),
        (lambda: page.keyboard.press("Control+y"), second),
        (page.go_back, first),
        (page.go_forward, second),
    ):
        act()
        answered(visit)
        assert told(visit, "cut") == found
    page.locator("#tab-cut").click()
    length = page.locator("#panel-cut").get_by_role("textbox", name="Finished length", exact=True)
    length.fill("777 mm")
    length.press("Enter")
    page.reload()
    answered(visit)
    assert told(visit, "cut") == second and length.input_value() == "777 mm"
    page.get_by_role("button", name="Undo").click()  # what was done before is known still
    answered(visit)
    assert told(visit, "cut") == first
    page.keyboard.press("Control+y")
    answered(visit)
    page.goto("about:blank")
    page.goto(page_address)
    answered(visit)
    assert told(visit, "cut") == second and page.url == link.replace("pane=shape", "pane=cut")
    page.goto("about:blank")
    page.context.new_cdp_session(page).send(
        "Storage.clearDataForOrigin", {"origin": page_address.rstrip("/"), "storageTypes": "all"}
    )
    page.goto(link)  # as in a browser that was never here
    answered(visit)
    assert told(visit, "cut") == second


def test_a_throat_that_is_set_as_the_twist_is_told_so(visit: Visit) -> None:
    own = knob(visit, "eye.throat", ".typed").input_value()
    visit.page.evaluate(
        "() => helixPage.setRecipe({ ...helixPage.state.kept, eye: { ...helixPage.state.kept.eye, throat: 'tangent' } }, 'own')"
    )
    answered(visit)
    assert knob(visit, "eye.throat", ".word-open").inner_text() == "as the twist"
    assert knob(visit, "eye.throat", ".typed").input_value() == own  # the file's own word for it is nobody else's


def test_a_file_saved_and_opened_again_is_the_same(visit: Visit, tmp_path: Path) -> None:
    page = visit.page
    name = page.get_by_role("textbox", name="Name of this joint")
    name.fill("12")
    name.press("Enter")
    answered(visit)
    page.reload()
    answered(visit)
    recipe = page.evaluate("() => helixPage.state.kept")
    assert recipe["title"] == "12"  # text, though it looks like a number
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save").click()
    file = tmp_path / saved.value.suggested_filename
    saved.value.save_as(file)
    assert read_recipe(file).title == "12"
    page.get_by_role("button", name="New").click()
    answered(visit)
    assert page.evaluate("() => helixPage.state.kept") != recipe
    page.locator("header input[type=file]").set_input_files(file)
    page.wait_for_function("() => helixPage.state.kept.title === '12'")
    answered(visit)
    assert page.evaluate("() => helixPage.state.kept") == recipe


def test_what_cannot_be_made_is_said_at_its_knob(visit: Visit) -> None:
    before = told(visit, "cut")
    typed = knob(visit, "twist.lay_length", ".typed")
    typed.fill("1.5")
    typed.press("Enter")
    wrong = knob(visit, "twist.lay_length", ".wrong")
    wrong.wait_for(state="visible")
    assert "above 2 d" in wrong.inner_text()
    assert typed.get_attribute("aria-invalid") == "true"
    assert "Cannot be made: Lay" in told(visit, "worst") and "above 2 d" in told(visit, "worst")
    assert not any(re.search(r"\d", told(visit, field)) for field in ("hold", "cut", "finished"))
    assert not visit.page.locator(".pane.shape table").first.is_visible()
    assert visit.page.locator("#stage.greyed canvas").count() == 1
    visit.page.get_by_role("button", name="Undo").click()
    answered(visit)
    wrong.wait_for(state="hidden")
    assert told(visit, "cut") == before
    assert visit.page.locator("#stage.greyed").count() == 0
    assert all("422" in line for line in visit.said)
    visit.said.clear()


def test_a_part_that_is_pointed_at_tells_of_itself(visit: Visit) -> None:
    result = computed(GOOD)
    row = next(row for row in result.sections if row.name == "eye")
    place = visit.page.evaluate("() => helixPage.placeOf('eye')")
    x, y = on_stage(visit, place)
    box = visit.page.locator("#stage").bounding_box()
    visit.page.mouse.move(box["x"] + (x + 1) / 2 * box["width"], box["y"] + (1 - y) / 2 * box["height"])
    card = visit.page.locator(".part-card")
    card.wait_for(state="visible")
    assert card.locator("b").inner_text() == "eye"
    assert format_length(row.wire_mm) in card.inner_text()
    assert f"{row.gauge_strain:.2f}" in card.inner_text()
    visit.page.mouse.move(box["x"] + 3, box["y"] + 3)
    card.wait_for(state="hidden")


def test_labels_give_way_to_the_wire(visit: Visit) -> None:
    page = visit.page
    lines, titles = page.locator(".note.part span"), page.locator(".note.part b")
    assert lines.first.is_visible()
    page.evaluate("() => helixPage.viewer.turning.zoom(0.4)")
    visit.settle()
    assert not any(line.is_visible() for line in lines.all()) and any(title.is_visible() for title in titles.all())
    page.get_by_role("button", name="More room").click()
    page.evaluate("() => helixPage.viewer.look('side')")
    visit.settle()
    assert page.locator("#stage").bounding_box()["height"] > 90  # however much room the panes take
    assert not any(title.is_visible() for title in titles.all())
    page.get_by_role("button", name="More room").click()
    page.evaluate("() => helixPage.viewer.look('three-quarter')")
    visit.settle()
    assert lines.first.is_visible()


def test_what_it_holds_follows(visit: Visit) -> None:
    page = visit.page
    page.evaluate(
        "() => { window.holdAsked = true; helixPage.setRecipe(structuredClone(helixPage.state.kept), 'again'); }"
    )
    answered(visit)
    assert told(visit, "hold").startswith("Holds\n...")
    visit.page.wait_for_function("() => helixPage.hold.state === 'done'", timeout=PATIENCE_MS)
    head = load_head(hold(computed(GOOD).recipe), "metric")
    assert re.match(
        f"Holds\n{head.short}\nAn estimate. 19 of 20 hold more; not a working load. {capital(head.rest)}. ",
        told(visit, "hold"),
    )
    assert visit.page.locator(f".answer .hold .sign.{head.severity.word}").count() == 1
    visit.context.set_offline(True)  # as when the program has ended
    knob(visit, "barrel.wraps").press("ArrowRight")
    visit.page.get_by_text("helix is not running any more").wait_for(state="visible")
    assert not re.search(r"\d", visit.page.locator(".answer").inner_text())
    visit.context.set_offline(False)
    visit.page.locator(".gone-line").wait_for(state="hidden")
    answered(visit)
    wraps = visit.page.evaluate("() => helixPage.state.kept.barrel.wraps")
    assert wraps > 5 and format_length(computed(GOOD | {"barrel.wraps": wraps}).cut.total_mm) in told(visit, "cut")
    visit.page.evaluate("() => { window.holdAsked = false; }")
    visit.said.clear()  # of the time without a program


def test_inch_and_dark(visit: Visit) -> None:
    page = visit.page
    page.get_by_role("button", name="Inch").click()
    page.wait_for_function("() => helixPage.answer.scene.units === 'inch' && !helixPage.asker.busy")
    assert told(visit, "finished").split("\n")[1] == format_length(computed(GOOD).finished.length_mm, "inch")
    assert knob(visit, "eye.pin", ".typed").input_value().endswith(" in")
    assert "units=inch" in page.url
    page.locator("#tab-cut").click()
    lengths = page.locator("#panel-cut").get_by_label("Finished length")
    assert lengths.input_value() == "20 in"
    page.get_by_role("button", name="Metric").click()
    page.wait_for_function("() => helixPage.answer.scene.units === 'metric' && !helixPage.asker.busy")
    assert lengths.input_value() == "500 mm"
    page.locator("#tab-shape").click()
    paper = "() => getComputedStyle(document.body).backgroundColor"
    light = page.evaluate(paper)
    page.get_by_role("button", name="Change to dark").click()
    assert page.evaluate(paper) != light and "light=dark" in page.url


def test_the_keyboard_reaches_everything(visit: Visit) -> None:
    page = visit.page
    seen: list[str] = []
    name = """() => { const at = document.activeElement;
      return at === document.body ? "" : (at.closest("[data-key]")?.dataset.key || at.id || at.className || at.textContent); }"""
    page.evaluate(
        "() => { document.body.tabIndex = -1; document.body.focus(); document.body.removeAttribute('tabindex'); }"
    )
    for _ in range(120):
        page.keyboard.press("Tab")
        at = page.evaluate(name)
        if not at and seen:
            break
        seen.append(at)
        assert page.evaluate("() => document.activeElement.matches(':focus-visible')"), at
    for wanted in ("skip", "name", "stage", "labels", "tab-shape", "panel-shape"):
        assert wanted in seen
    keys = page.evaluate(
        """() => helixPage.start.knobs.filter((knob) => knob.group !== "tolerance").map((knob) => knob.key)
          .filter((key) => document.querySelector(`[data-key="${key}"]`).offsetParent)"""
    )
    assert [key for key in dict.fromkeys(seen) if key in keys] == keys
    page.locator("#tab-shape").focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("() => document.activeElement.getAttribute('aria-selected')") == "true"
    assert page.evaluate("() => document.activeElement.id") != "tab-shape"
