"""The head, the findings and the labels of `helix page` on windows of three widths, metric and inch: one visit.

Map of what must hold:
  nothing in the head, in the findings or on the stage is cut, runs over something else, or leaves its box; nor does the window scroll sideways
  labels leave the scale its place, and the words of the faint joint of before, as soon as they are drawn
  in inches no number has five decimals, a new joint and a reset are round, what was typed stays, and the page stays in inches
  with more room for a pane, a film has room still
  no console error, no request off the machine
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.page.answers.test_panes_in_browser import ANSWERED, NAMES, READY, pane
from tests.page.boxes import boxes, inside, meeting
from tests.tools.browser import COARSE, Visit

WIDTHS = {1440: 900, 1024: 768, 390: 844}
GOOD: dict[str, Any] = {"wire.size": "MWG 12", "wire.material": "302 stainless", "eye.pin": "6 mm", "twist.turns": 5}
JOINTS: dict[str, dict[str, Any]] = {
    "good": {},
    "sharp": {"exit.style": "bench", "exit.peak_angle": "120 deg"},
    "faulty": {"twist.turns": 3, "eye.throat": "100 deg"},
}
CUT = """() => [...document.querySelectorAll(".answer :is(.big, .small, .finding, .interval), .findings, .findings *, #stage .note, #stage .note b, .tabs button, #tools button")]
  .filter((one) => one.checkVisibility() && !one.closest("svg") && getComputedStyle(one).display !== "inline"
    && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 3)).map((one) => `${one.className || one.tagName}: ${one.textContent}`)"""
HEAD = ".answer dl > dt, .answer dl > dd"
STAGE = "#stage .note, #stage #ruler, #stage .before"
LONG = re.compile(r"[1-9]\d*\.\d{5,}|\.0*[1-9]\d{4,}")  # more digits than a caliper shows


@pytest.fixture(scope="module")
def visit(browser: Any, page_address: str) -> Iterator[Visit]:
    made = Visit(browser, f"{page_address}#{urlencode(GOOD)}", (1440, 900), **COARSE)
    made.page.wait_for_function(READY)
    yield made
    assert made.said == []
    assert made.elsewhere == []
    made.context.close()


def show(visit: Visit, width: int, keys: dict[str, Any], units: str = "metric", name: str = "shape") -> None:
    """A joint in hand, on a window of a width."""
    page = visit.page
    page.set_viewport_size({"width": width, "height": WIDTHS[width]})
    address = "#" + urlencode(GOOD | keys | {"units": units, "pane": name})
    page.evaluate(
        "(address) => { location.hash = address; scrollTo(0, 0); helixPage.viewer.look('three-quarter'); }", address
    )
    page.wait_for_function("(address) => location.hash === address", arg=address)
    page.wait_for_function(READY)
    visit.settle()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize(("joint", "units"), [("good", "metric"), ("sharp", "inch"), ("faulty", "inch")])
def test_nothing_is_cut_or_meets(visit: Visit, joint: str, units: str, width: int) -> None:
    page = visit.page
    for name in ("shape", "hold") if width == 1024 else ("shape",):
        show(visit, width, JOINTS[joint], units, name)
        assert page.evaluate(CUT) == []
        head = boxes(page, HEAD)
        assert meeting(head) == []
        assert all(inside(box, page.locator(".answer").bounding_box()) for _, box in head)
        labels, stage = boxes(page, STAGE), page.locator("#stage").bounding_box()
        assert meeting(labels) == []
        assert all(inside(box, stage) for _, box in labels)
        assert len(labels) > 6, "labels have no room"
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", WIDTHS)
def test_what_has_moved_is_said_beside_what_stands(visit: Visit, width: int) -> None:
    page = visit.page
    show(visit, width, {}, "inch", "knobs" if width < 400 else "shape")
    slider = page.locator('[data-key="barrel.wraps"] input[type=range]')
    slider.focus()
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "() => !helixPage.asker.busy && !helixPage.answer.draft && !document.querySelector('.before').hidden"
    )
    visit.settle()
    assert page.locator(".answer .cut .big[data-moved]").count() == 1
    assert page.evaluate(CUT) == []
    assert meeting(boxes(page, HEAD)) == []
    shown = boxes(page, STAGE)
    assert any("faint" in words for words, _ in shown) and meeting(shown) == []
    if width < 400:  # all in one row there
        row = page.locator(".answer .cut .big").bounding_box()
        assert row["height"] < 30


@pytest.mark.slow
def test_inches_are_round_where_nothing_is_given(visit: Visit) -> None:
    page = visit.page
    show(visit, 1440, {"finish.handle": "61 mm"})
    page.get_by_role("button", name="Inch", exact=True).click()
    page.wait_for_function("() => helixPage.units === 'inch'")
    page.wait_for_function(READY)
    kept = page.evaluate("() => helixPage.state.kept")
    assert kept["eye"]["pin"] == "0.23622 in"  # as long as it was
    for name in NAMES:
        pane(visit, name)
        page.wait_for_function(READY)
        seen = page.evaluate(
            "() => [...document.querySelectorAll('.knobs, [role=tabpanel]:not([hidden])')].map((one) => one.innerText"
            " + [...one.querySelectorAll('input:not(.link), select, textarea')].map((field) => `\\n${field.value} ${field.placeholder ?? ''}`).join('')).join('\\n')"
        )
        assert LONG.findall(seen.replace(kept["wire"]["size"], "")) == [], name
    assert page.locator('[data-key="eye.pin"] .typed').input_value() == "0.2362 in"
    page.locator('[data-key="eye.pin"]').get_by_role("button", name="Reset Pin or ring to 0.24 in").click()
    page.wait_for_function(ANSWERED)
    assert page.evaluate("() => helixPage.state.kept.eye.pin") == "0.24 in"
    pane(visit, "learn").locator(".lesson summary").first.click()
    page.get_by_role("button", name="Take it in hand").first.click()
    page.wait_for_function("() => helixPage.state.done.at(-1).say.startsWith('Lesson')")
    assert page.evaluate("() => helixPage.units") == "inch"
    page.wait_for_function(ANSWERED)
    page.get_by_role("button", name="New", exact=True).click()
    page.wait_for_function(ANSWERED)
    lengths = page.evaluate(
        "() => Object.values(helixPage.state.kept).flatMap((table) => Object.values(table)).filter((value) => / in$/.test(value))"
    )
    assert lengths == ["0.24 in", "2.4 in", "12 in"]


def test_a_length_that_was_typed_stays_when_units_change(visit: Visit) -> None:
    page = visit.page
    show(visit, 1440, {}, "metric", "cut")
    length = page.locator("#panel-cut").get_by_role("textbox", name="Finished length", exact=True)
    length.fill("500 mm")
    length.blur()
    many = page.locator("#panel-cut").get_by_role("textbox", name="How many").first
    many.fill("12")
    many.blur()
    page.get_by_role("button", name="Inch", exact=True).click()
    page.wait_for_function("() => helixPage.units === 'inch'")
    page.wait_for_function(ANSWERED)
    assert length.input_value() == "500 mm"


@pytest.mark.parametrize("width", [1440, 1024])
def test_more_room_leaves_a_film_its_own(visit: Visit, width: int) -> None:
    page = visit.page
    show(visit, width, {}, "metric", "learn")
    panel = page.locator("#panel-learn")
    panel.get_by_role("button", name="Show the making").click()
    page.wait_for_function("() => helixPage.above?.film?.hands")
    page.locator(".taller").click()
    page.evaluate("() => helixPage.above.toStep(4)")
    visit.settle()
    try:
        stage = page.locator("#stage").bounding_box()
        assert stage["height"] > 150
        words = boxes(page, "#stage .making-caption p")
        seen = page.evaluate("""() => { const { viewer, above } = helixPage, { matrix, width, height } = viewer.projection, points = above.film.around(above.frame), found = [];
          for (let k = 0; k < points.length; k += 3) { const at = (row) => matrix[row] * points[k] + matrix[row + 4] * points[k + 1] + matrix[row + 8] * points[k + 2] + matrix[row + 12];
            found.push([(at(0) / at(3) + 1) / 2 * width, (1 - at(1) / at(3)) / 2 * height]); }
          return found; }""")
        assert all(
            0 <= x <= stage["width"] and 0 <= y <= stage["height"] for x, y in seen
        )  # all of it that is worked on
        assert all(inside(box, stage) for _, box in words) and meeting(words) == []
    finally:
        page.locator(".taller").click()
        page.get_by_role("group", name="The making", exact=True).get_by_role("button", name="Close", exact=True).click()
