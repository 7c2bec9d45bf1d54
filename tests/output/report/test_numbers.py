"""The numbers beside a picture: what is counted is counted one way everywhere."""

from __future__ import annotations

import pytest

from helix.output.picture.view import shown_part
from helix.output.report.numbers import counts_block
from helix.output.shape.labels import part_callouts
from helix.output.words.words import quarters
from helix.studies.shape.shape import ShapeResult
from helix.units import format_turns


@pytest.mark.parametrize("name", ["logger-tether", "faults/overbent-120"])
def test_the_swing_and_the_turns_are_counted_one_way(example, name: str) -> None:
    """Failed once: 1 1/4 turns of swing in the table beside "swung out over 1/2 turn" in the picture."""
    result: ShapeResult = example(name)
    counts = result.counts
    told = dict(counts_block(result).rows)
    assert told["swing of the tag"] == format_turns(counts.swing_after_leg)
    callout = next(call for call in part_callouts(result, shown_part(result.joint), "metric") if call.name == "exit")
    assert callout.lines[-1].endswith(told["swing of the tag"])
    leg = counts.swing - counts.swing_after_leg
    assert told["leg comes straight"] == format_turns(leg)
    assert told["turns till the tag leaves"] == quarters(counts.turns + leg)


def test_wraps_alone_have_no_leg_that_comes_straight(example) -> None:
    told = dict(counts_block(example("faults/wraps-only")).rows)
    assert "leg comes straight" not in told and "turns till the tag leaves" not in told
