"""What is found of a joint's hold, what is advised, and what no model knows of it: one row a decision."""

from __future__ import annotations

from typing import Any

import pytest

import helix
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold

USUAL: dict[str, Any] = {"size": "MWG 14", "material": "302 stainless", "pin_mm": 6, "turns": 5, "wraps": 5, "lay_d": 4}


def held(**changes: object) -> HoldResult:
    return hold(helix.make_recipe(USUAL | changes))


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({}, []),
        ({"turns": 4}, [("unwinds", "fault", "add-turns")]),
        ({"turns": 4, "lay_d": 6}, [("unwinds", "fault", "turns-and-lay")]),
        ({"turns": 4, "lay_d": 4.2}, [("unwinds", "fault", "add-turns")]),
        ({"lay_d": 6}, [("may-unwind", "sharp", "usual-lay")]),
        ({"evenness": 0.6}, [("may-unwind", "sharp", "turn-both")]),
        ({"evenness": 0.4}, [("no-model", "caution", "pull-tests"), ("may-unwind", "sharp", "turn-both")]),
        ({"wraps": 1}, [("no-model", "caution", "pull-tests")]),
        ({"wraps": 0}, [("unwinds", "fault", "add-barrel")]),
        ({"turns": 0}, [("unwinds", "fault", "twist-first")]),
        ({"throat_deg": 100}, [("breaks-early", "caution", "see-why")]),
        ({"throat_deg": 100, "throat_made": "spread"}, []),
    ],
)
def test_what_is_found_and_advised(changes: dict[str, object], found: list[tuple[str, str, str]]) -> None:
    assert [(finding.code, finding.severity.word, finding.remedy) for finding in held(**changes).findings] == found


@pytest.mark.parametrize(
    ("changes", "unknown"),
    [
        ({}, {"more-wraps"}),
        ({"wraps": 2}, {"more-wraps"}),
        ({"wraps": 1.5}, {"one-wrap"}),
        ({"wraps": 0}, {"no-barrel"}),
        ({"evenness": 0.4}, {"uneven-twist", "more-wraps"}),
        ({"turns": 0}, {"wraps-only", "more-wraps"}),
        ({"throat_deg": 90}, {"more-wraps"}),
        ({"throat_deg": 100}, {"more-wraps"}),
        ({"throat_deg": 100, "throat_made": "spread"}, {"more-wraps", "spread-throat"}),
        ({"peak_angle_deg": 90}, {"more-wraps"}),
        ({"peak_angle_deg": 100}, {"more-wraps", "steep-exit"}),
    ],
)
def test_what_no_model_knows(changes: dict[str, object], unknown: set[str]) -> None:
    assert set(held(**changes).not_modelled) == unknown
