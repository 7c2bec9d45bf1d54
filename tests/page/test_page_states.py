"""A hand that turns knobs, undoes, redoes, reloads and changes units, in any order: the page always shows one joint.

After each step the joint of the address, judged and shaped by Python, is the one that the head of the page tells; undo and
redo walk along the joints that were there, whatever lies between.
"""

from __future__ import annotations

import os
import re
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from helix.errors import ValidationError
from helix.output.words.words import cut_words, shown_severity
from tests.page.test_page_in_browser import GOOD, NO_HOLD, computed, knob, told
from tests.tools.browser import COARSE, Visit

pytestmark = pytest.mark.slow

SLIDERS = (
    "twist.turns",
    "twist.lay_length",
    "twist.evenness",
    "eye.pin",
    "barrel.wraps",
    "barrel.pitch",
    "finish.stub",
)
RUNS = int(os.environ.get("HELIX_PAGE_RUNS", "3"))
STEPS = int(os.environ.get("HELIX_PAGE_STEPS", "12"))
QUIET = "() => window.helixPage && !helixPage.asker.busy && helixPage.answer && !helixPage.answer.draft"


def keys_of(address: str) -> dict[str, Any]:
    """The recipe in an address."""
    pairs = [(key, value) for key, value in parse_qsl(urlsplit(address).fragment) if "." in key or key == "units"]
    return {key: float(value) if re.fullmatch(r"-?\d+(\.\d+)?", value) else value for key, value in pairs}


class Hand(RuleBasedStateMachine):
    """What a hand may do to the page."""

    browser: Any
    address: str

    @initialize()
    def open(self) -> None:
        from urllib.parse import urlencode

        self.made = Visit(self.browser, f"{self.address}#{urlencode(GOOD)}", (1200, 800), before=NO_HOLD, **COARSE)
        self.settled()
        self.joints, self.at = [self.recipe()], 0

    def settled(self) -> None:
        self.made.page.wait_for_function(QUIET)
        self.made.page.wait_for_timeout(50)
        self.made.page.wait_for_function(QUIET)

    def recipe(self) -> dict[str, Any]:
        return keys_of(self.made.page.url)

    def moved(self) -> None:
        """Note the joint that is there now as the newest, unless nothing changed."""
        self.settled()
        now = self.recipe()
        if now != self.joints[self.at]:
            self.joints = [*self.joints[: self.at + 1], now]
            self.at += 1

    @rule(key=st.sampled_from(SLIDERS), presses=st.integers(1, 6), way=st.sampled_from(["ArrowLeft", "ArrowRight"]))
    def turn(self, key: str, presses: int, way: str) -> None:
        slider = knob(self.made, key)
        if slider.count() and slider.is_visible() and slider.is_enabled():
            slider.focus()
            for _ in range(presses):
                self.made.page.keyboard.press(way)
            self.made.page.evaluate("() => document.activeElement.blur()")
            self.moved()

    @rule()
    def undo(self) -> None:
        self.made.page.keyboard.press("Control+z")
        self.settled()
        self.at = max(0, self.at - 1)

    @rule()
    def redo(self) -> None:
        self.made.page.keyboard.press("Control+y")
        self.settled()
        self.at = min(len(self.joints) - 1, self.at + 1)

    @rule()
    def reload(self) -> None:
        self.made.page.reload()
        self.settled()
        # what was done before is known still: undo and redo go on from here

    @rule(name=st.sampled_from(["Inch", "Metric"]))
    def measure(self, name: str) -> None:
        self.made.page.get_by_role("button", name=name, exact=True).click()
        self.made.page.wait_for_function("(units) => helixPage.answer.scene.units === units", arg=name.lower())
        self.moved()  # a change of units is a step too, its lengths written anew

    @invariant()
    def the_address_is_the_joint_at_hand(self) -> None:
        assert self.recipe() == self.joints[self.at]

    @invariant()
    def the_head_tells_that_joint(self) -> None:
        keys = self.recipe()
        units = keys.pop("units", "metric")
        try:
            result = computed(keys)
        except ValidationError:
            assert not re.search(r"\d", told(self.made, "cut"))
            return
        length, verdict = self.made.page.evaluate(
            "() => [helixPage.answer.answer.cut_mm, helixPage.answer.answer.verdict]"
        )
        assert length == pytest.approx(result.cut.total_mm, abs=1e-9)
        assert cut_words(result, units)[0] in told(self.made, "cut")
        assert verdict == shown_severity(result.judgement).word

    @invariant()
    def nothing_complains(self) -> None:
        assert self.made.said == [] and self.made.elsewhere == []

    def teardown(self) -> None:
        if hasattr(self, "made"):
            self.made.context.close()


def test_any_order_of_knobs_undo_redo_reload_and_units(browser: Any, page_address: str) -> None:
    Hand.browser, Hand.address = browser, page_address
    run_state_machine_as_test(
        Hand,
        settings=settings(
            max_examples=RUNS, stateful_step_count=STEPS, deadline=None, derandomize=True, database=None,
            suppress_health_check=list(HealthCheck), phases=(Phase.generate, Phase.shrink),
        ),
    )  # fmt: skip
