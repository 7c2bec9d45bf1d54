"""The page of `helix page` on a phone: one visit.

Map of what must hold:
  head, picture, a knob and the caution are in sight at once
  labels keep clear of each other, of the scale and of the edge; what to change stands in the head
  no pane runs past the edge, with everything in it opened
  no console error, no request off the machine
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.page.answers.test_panes_in_browser import NAMES, OPENED, READY, pane
from tests.tools.browser import COARSE, Visit

PHONE = (390, 844)


@pytest.fixture(scope="module")
def phone(browser: Any, page_address: str) -> Iterator[Visit]:
    made = Visit(browser, page_address, PHONE, has_touch=True, **COARSE)
    made.page.wait_for_function(READY)
    yield made
    assert made.said == []
    assert made.elsewhere == []
    made.context.close()


def test_head_picture_and_a_knob_are_in_sight_at_once(phone: Visit) -> None:
    page = phone.page
    assert page.evaluate("() => document.documentElement.scrollWidth") <= PHONE[0]
    slider = page.locator('[data-key="barrel.wraps"] input[type=range]')
    slider.scroll_into_view_if_needed()
    assert slider.is_visible()
    stage = page.locator("#stage").bounding_box()
    assert stage["y"] >= 0 and stage["height"] > 0.3 * PHONE[1]
    for shown in (".answer .worst .big", ".answer .hold .big", ".answer .cut .big", ".foot"):  # while a knob moves
        box = page.locator(shown).bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= PHONE[1], shown
    assert "eye protection" in page.locator(".foot").inner_text()
    page.locator("#tab-shape").click()
    assert page.locator(".pane.shape table").first.is_visible() and not slider.is_visible()


@pytest.mark.parametrize("keys", [{}, {"exit.style": "bench", "exit.peak_angle": "120 deg"}], ids=["good", "sharp"])
def test_labels_keep_clear_of_each_other_and_inside(phone: Visit, keys: dict[str, str]) -> None:
    page = phone.page
    address = urlencode(
        {"wire.size": "MWG 12", "wire.material": "302 stainless", "eye.pin": "6 mm"} | keys | {"pane": "shape"}
    )
    page.evaluate("(address) => { location.hash = address; scrollTo(0, 0); }", address)
    page.wait_for_function(
        "(address) => location.hash === `#${address}` && !helixPage.asker.busy && !helixPage.answer.draft", arg=address
    )
    phone.settle()
    stage = page.locator("#stage").bounding_box()
    shown = [label for label in page.locator("#stage .note").all() if label.is_visible()]
    names = [label.locator("b:visible").inner_text() for label in shown]
    boxes = [label.bounding_box() for label in [*shown, page.locator("#ruler")]]
    assert {"eye", "twist", "barrel", "standing leg"} <= set(names)
    assert all(stage["x"] <= box["x"] and box["x"] + box["width"] <= stage["x"] + stage["width"] for box in boxes)
    assert not any(_meet(one, other) for one, other in combinations(boxes, 2)), names
    worst, cure = page.locator(".answer .worst .big"), page.locator(".answer .worst .small")
    assert cure.is_visible() == bool(keys) and ("SHARP" in " ".join(names)) == bool(keys), worst.inner_text()
    if keys:  # what to change stands in the head
        assert "Change: " in cure.inner_text() and cure.bounding_box()["y"] + 12 < stage["y"]


def test_no_pane_runs_past_the_edge(phone: Visit) -> None:
    wide = """(holder) => [...holder.querySelectorAll("*")].filter((one) => !one.closest(".sideways, .unseen, svg")
      && one.getBoundingClientRect().right > innerWidth + 1 && one.offsetParent).map((one) => one.className || one.tagName)"""
    for name in NAMES:
        panel = pane(phone, name)
        panel.evaluate(OPENED)
        assert phone.page.evaluate("() => document.documentElement.scrollWidth") <= PHONE[0], name
        assert name == "shape" or panel.evaluate(wide) == [], name  # the shape's tables move inside its pane


def _meet(one: dict[str, float], other: dict[str, float]) -> bool:
    return all(
        one[low] < other[low] + other[size] and other[low] < one[low] + one[size]
        for low, size in (("x", "width"), ("y", "height"))
    )


def test_a_chart_is_seen_whole_and_larger_when_that_is_wanted(phone: Visit) -> None:
    """Failed once: of a chart only its left half was in sight, and the rest lay beside it; whole, its letters were 6 pixels high."""
    page, panel = phone.page, pane(phone, "hold")
    page.wait_for_function(READY)
    page.evaluate("() => document.querySelectorAll('#panel-hold details').forEach((one) => (one.open = true))")
    chart = panel.locator("svg.chart").first
    chart.wait_for()
    figure = panel.locator("figure", has=page.locator("svg.chart")).first
    wide = "(one) => { const box = one.querySelector('.sideways'); return [box.scrollWidth, box.clientWidth]; }"
    whole, room = figure.evaluate(wide)
    assert whole <= room
    letters = """(svg) => Math.min(...[...svg.querySelectorAll("text")].map((one) => parseFloat(getComputedStyle(one).fontSize)))
      * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width"""
    assert chart.evaluate(letters) >= 9.0
    figure.get_by_role("button", name="Larger").click()
    large, room = figure.evaluate(wide)
    assert large > 1.5 * room
    figure.get_by_role("button", name="Whole chart").click()
    assert figure.evaluate(wide) == [whole, room]
