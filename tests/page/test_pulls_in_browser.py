"""Simulated pulls on the stage of `helix page`, on windows of three widths: one visit.

Map of what must hold:
  two joints: each has its own name, load and fate at itself, the first above the second
  what has broken is in two, with a gap; no load is shown above that of the break; what slips has an arrow round the pin
  the colours have a scale that says "simulated, not tested"; on the slider the moments without a way back are marked where they are
  no label, no button and no word runs over another, out of the stage or off the window, whatever the width
  the joint in hand is pulled too, and its film is its own
  hands that form two joints are played in the same way, coloured by how hard the wire is bent
  no console error, no request off the machine
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlencode

import pytest

from helix.mechanics.rod.compiling import is_installed
from tests.page.answers.test_panes_in_browser import READY, pane
from tests.page.boxes import boxes, inside, meeting
from tests.tools.browser import COARSE, Visit

WIDTHS = {1440: 900, 1024: 768, 390: 844}
LOOSE = {"wire.size": "MWG 12", "wire.material": "302 stainless", "eye.pin": "4 d", "twist.turns": 2, "barrel.wraps": 0}
FRAME = """(wanted) => { const made = helixPage.above, { film } = made;
  made.show(wanted === "end" ? film.frames - 1 : wanted === "broken" ? film.ends.at(-1) : Math.round(wanted * film.ends[0])); }"""
ON_STAGE = "#stage .note:not(.bare), #stage .making-caption p, #stage #ruler"
IN_BAR = ".making-bar > :not(.unseen)"
DETAILS = ".making-marks p, .making-legend :is(strong, .ramp, .ticks span, small)"
CUT = """() => [...document.querySelectorAll("#stage .note, .making-caption p, .making-bar button, .making-marks p, .making-legend *")]
  .filter((one) => one.offsetParent && one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== "inline").map((one) => one.textContent)"""


@pytest.fixture(scope="module")
def visit(browser: Any, page_address: str) -> Iterator[Visit]:
    made = Visit(browser, f"{page_address}#{urlencode(LOOSE)}", (1440, 900), **COARSE)
    made.page.wait_for_function(READY)
    yield made
    assert made.said == []
    assert made.elsewhere == []
    made.context.close()


def play(visit: Visit, pair: str) -> Any:
    """Have a pair of pulls on the stage; its slider."""
    panel = pane(visit, "learn")
    visit.page.evaluate("() => (window.shownBefore = helixPage.above?.film)")
    panel.get_by_role("button", name=pair).click()
    visit.page.wait_for_function("() => helixPage.above?.film?.two && helixPage.above.film !== shownBefore")
    visit.settle()
    return visit.page.get_by_role("slider", name="The pull", exact=True)


def labels(visit: Visit) -> list[str]:
    return [
        " ".join(part.inner_text() for part in label.locator("b, strong").all())
        for label in visit.page.locator("#stage .note:not(.bare)").all()
    ]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("pair", ["Five turns beside two", "A throat that was spread"])
def test_what_is_said_stands_clear_and_inside(visit: Visit, pair: str, width: int) -> None:
    page = visit.page
    page.set_viewport_size({"width": width, "height": WIDTHS[width]})
    play(visit, pair)
    for moment in (0.8, "end"):
        page.evaluate(FRAME, moment)
        visit.settle()
        stage = page.locator("#stage").bounding_box()
        shown = boxes(page, ON_STAGE)
        assert len(shown) >= 3 and all(inside(box, stage) for _, box in shown), (moment, shown)
        assert meeting(shown) == [], moment
        bar = page.get_by_role("group", name="The pull", exact=True).bounding_box()
        for parts in (boxes(page, IN_BAR), boxes(page, DETAILS)):
            assert all(inside(box, bar) for _, box in parts)
            assert meeting(parts) == [], moment
        assert page.evaluate(CUT) == []
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width
    assert "simulated, not tested" in page.locator(".making-legend:visible").inner_text()


def test_each_joint_has_its_own_load_and_fate(visit: Visit) -> None:
    page = visit.page
    page.set_viewport_size({"width": 1440, "height": 900})
    slider = play(visit, "Five turns beside two")
    page.evaluate(FRAME, "end")
    visit.settle()
    first, second = labels(visit)
    assert "wire 0.737 mm" in first and "wire 0.737 mm" in second
    assert first.startswith("5 turns, 5 wraps") and first.endswith("broke")
    assert second.startswith("2 turns, 5 wraps") and second.endswith("slips")
    heights = [box["y"] for _, box in boxes(page, "#stage .note:not(.bare)")]
    pins = page.evaluate("""() => { const { viewer, above } = helixPage, { matrix } = viewer.projection;
      return above.film.wires.map(({ pin, aside }) => { const [x, y, z] = pin.middle, at = (row) => matrix[row] * (x + aside) + matrix[row + 4] * y + matrix[row + 8] * z + matrix[row + 12];
        return at(1) / at(3); }); }""")
    assert heights[0] < heights[1] and pins[0] > pins[1]  # each label on its own side
    pieces, first_ring, second_ring = (
        page.evaluate("""() => { const { pieces, middle, radius } = helixPage.viewer.rings;
      const z = (ring) => middle[3 * ring + 2] / radius; return [pieces.length, z(pieces[0][1] - 1), z(pieces[1][0])]; }""")
    )
    assert pieces == 3 and first_ring - second_ring > 6.0  # wires: in two, with a gap of three of its diameters
    said = page.evaluate(
        "() => { const { film } = helixPage.above; return film.wires.map(({ said }) => said.map(([load]) => parseFloat(load))); }"
    )
    assert max(said[0]) == said[0][-1] and max(said[1]) > said[1][-1]  # never above the load of the break
    slips = page.evaluate(
        "() => { const { film } = helixPage.above, [broke, slips] = film.wires; return [broke.props(0, film.paint).length, broke.props(broke.last, film.paint).length, broke.props(broke.frames - 1, film.paint).length, slips.props(slips.last, film.paint).length]; }"
    )
    assert slips == [3, 4, 3, 5]  # pin and its mark; an arrow that pulls, until it breaks; one round the pin
    thumb = "() => [...document.querySelectorAll('.making-marks p')].map((one) => { const box = one.getBoundingClientRect(); return one.className ? box.right : box.left; })"
    track = slider.bounding_box()
    marks = page.evaluate("() => helixPage.above.film.marks.map(({ at }) => at / (helixPage.above.film.frames - 1))")
    assert page.evaluate(thumb) == pytest.approx(
        [track["x"] + 8 + share * (track["width"] - 16) for share in marks], abs=1.5
    )
    slider.focus()
    page.keyboard.press("Home")
    assert page.evaluate("() => helixPage.viewer.rings.pieces.length") == 2
    page.keyboard.press("End")
    assert "breaks at the standing leg" in slider.get_attribute("aria-valuetext")
    assert "simulated" in slider.get_attribute("aria-valuetext")
    pane(visit, "shape")
    page.wait_for_function("() => !helixPage.viewer.framed")
    assert page.locator("#tools").is_visible()


def test_what_decides_stands_on_the_picture(visit: Visit) -> None:
    """Failed once: five turns beside four at a friction of 0.08 both broke, and that four unwind stood under the picture."""
    page, panel = visit.page, pane(visit, "learn")
    page.set_viewport_size({"width": 1440, "height": 900})
    fields = panel.get_by_role("region", name="Pull it")
    fields.get_by_label("This joint", exact=True).select_option("turns-5")
    fields.get_by_label("beside this joint", exact=True).select_option("turns-4")
    fields.get_by_role("button", name="Pull them").click()
    page.wait_for_function("() => helixPage.above?.film?.names?.[1] === '4 turns, 5 wraps'")
    visit.settle()
    first, second = (note.inner_text() for note in page.locator("#stage .note.part").all())
    assert "by the estimate" in first and second.endswith("but by the estimate 8 in 10 joints unwind")
    assert page.locator("#stage .note.warned").count() == 1
    for width, height in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate(FRAME, "end")
        visit.settle()
        shown, stage = boxes(page, ON_STAGE), page.locator("#stage").bounding_box()
        assert page.evaluate(CUT) == [] and meeting(shown) == [], width  # failed once on a phone: it ran over the scale
        assert all(inside(box, stage) for _, box in shown), width
    page.set_viewport_size({"width": 1440, "height": 900})
    fields.get_by_label("beside this joint", exact=True).select_option("")
    fields.get_by_role("button", name="Pull them").click()
    page.wait_for_function("() => helixPage.above?.film && !helixPage.above.film.two")
    visit.settle()
    assert "by the estimate about 1 in 100 joints unwinds" in page.locator("#stage .note.part").inner_text()
    shown = boxes(page, ON_STAGE)
    assert meeting(shown) == []


def test_hands_form_two_joints_side_by_side(visit: Visit) -> None:
    page, panel = visit.page, pane(visit, "learn")
    page.set_viewport_size({"width": 1440, "height": 900})
    page.evaluate("() => helixPage.above?.close()")
    panel.get_by_role("button", name="Hands 75 deg apart beside 105").click()
    page.wait_for_function("() => helixPage.above?.film?.starts")
    slider = page.get_by_role("slider", name="The forming", exact=True)
    slider.focus()
    for key, said in (("Home", "Twist"), ("End", "Let go")):
        page.keyboard.press(key)
        visit.settle()
        told = [note.inner_text() for note in page.locator("#stage .note:not(.bare)").all()]
        assert all(said in one for one in told), told
        stage = page.locator("#stage").bounding_box()
        shown = boxes(page, ON_STAGE)
        assert len(shown) >= 3 and all(inside(box, stage) for _, box in shown) and meeting(shown) == []
        assert page.evaluate(CUT) == []
    assert "5 turns, 5 wraps" in slider.get_attribute("aria-valuetext")
    assert "past the 0.50 of the wrapping test" in page.locator("#stage .note.part").last.inner_text()
    spans = page.evaluate("""() => { const { projection: { matrix, width }, rings } = helixPage.viewer;
      const x = (i) => { const at = (row) => matrix[row] * rings.middle[i] + matrix[row + 4] * rings.middle[i + 1] + matrix[row + 8] * rings.middle[i + 2] + matrix[row + 12];
        return (at(0) / at(3)) * 0.5 * width; };
      const all = []; for (let i = 0; i < 3 * rings.count; i += 3) all.push(x(i)); return (Math.max(...all) - Math.min(...all)) / width; }""")
    assert spans > 0.4  # let go, the joints are seen large: they took a fifth of the stage
    assert "simulated, not tested" in page.locator(".making-legend:visible").inner_text()
    assert panel.locator(".output", has_text="the lay is").inner_text().count("the lay is") == 2
    # alone on the whole screen, nothing of what is counted is cut off
    panel.get_by_label("These hands", exact=True).select_option(label="hands 105 deg apart, 5 turns, 5 wraps")
    panel.get_by_role("button", name="Form them").click()
    page.wait_for_function("() => helixPage.above?.film?.starts && !helixPage.above.film.two")
    page.evaluate("() => helixPage.above.wide.change()")
    page.wait_for_function("() => document.fullscreenElement")
    slider.focus()
    page.keyboard.press("End")
    visit.settle()
    count = page.locator(".making-count:visible")
    assert "past the 0.50 of the wrapping test" in count.inner_text() and page.evaluate(CUT) == []
    assert inside(boxes(page, ".making-count")[0][1], page.locator("#stage").bounding_box())
    page.evaluate("() => document.exitFullscreen()")
    page.wait_for_function("() => !document.fullscreenElement")
    # colours of the bend: many shades in the last picture
    rings, shades = (
        page.evaluate("""() => { const { rings } = helixPage.viewer, { tension } = helixPage.above.film.wires[0].rings(helixPage.above.film.wires[0].frames - 1).colours;
      const shades = new Set(); for (let i = 0; i < tension.length; i += 3) shades.add([tension[i], tension[i + 1], tension[i + 2]].join()); return [rings.count, shades.size]; }""")
    )
    assert rings > 1000 and shades > 8


@pytest.mark.slow
@pytest.mark.skipif(not is_installed(), reason="needs helix[simulate]")
def test_the_joint_in_hand_is_pulled(visit: Visit) -> None:
    page, panel = visit.page, pane(visit, "learn")
    panel.get_by_role("button", name="Pull the joint in hand").click()
    page.wait_for_function("() => helixPage.above?.film && !helixPage.above.film.two")
    visit.settle()
    assert page.evaluate("() => helixPage.above.film.wires[0].radius") == pytest.approx(0.5 * 0.7366, rel=1e-3)
    report = panel.locator(".job .output", has_text="Simulated")
    assert "Simulated, not tested" in report.inner_text() and "slips" in report.inner_text()
    page.evaluate(FRAME, "end")
    visit.settle()
    assert "slips" in page.locator(".making-caption:visible").inner_text()
    assert "not the one shown" not in page.locator(".answer").inner_text()  # it is the one in hand
    shown = boxes(page, ON_STAGE)
    assert meeting(shown) == []
    page.get_by_role("group", name="The pull", exact=True).get_by_role("button", name="Close", exact=True).click()
    page.get_by_role("group", name="The pull", exact=True).wait_for(state="hidden")
