"""What is seen, without a caliper: angles, evenness in words and counts to where the tag leaves give the recipe's own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from helix.errors import ValidationError
from helix.model.measured.readings import BY_EYE
from helix.output.words.assumptions import inspection_notes
from helix.output.words.findings.reading_words import doubt_text
from helix.studies.shape.shape import shape
from tests.studies.inspect.inspected_joints import D, inspected, recipe, seen


def test_angles_that_are_seen() -> None:
    assert inspected(exit="85 deg").made.exit == recipe().exit
    assert inspected(exit="100 deg").made.exit.peak_angle_rad == pytest.approx(math.radians(100.0))
    assert inspected(exit="100 deg").judgement.code == "steep-exit"
    steep = inspected(first_bend="95 deg")
    assert steep.made.eye.throat_rad == pytest.approx(math.radians(95.0))
    assert steep.judgement.code == "steep-first-bend"
    # what to do next time is told of the joint that is to be made, whatever lay this one came out with
    longer = inspected(first_bend="95 deg", turns="4", twist_length="12.6 mm").judgement.findings
    own = [
        finding.values["own_deg"] for finding in (*steep.judgement.findings, *longer) if finding.remedy == "own-angle"
    ]
    assert (
        own
        == [pytest.approx(2.0 * math.degrees(math.atan2(math.pi, recipe().twist.lay_mm / recipe().wire.diameter_mm)))]
        * 2
    )
    # the twist's own angle is 76 deg: what is seen as near that by eye says nothing new
    assert inspected(first_bend="78 deg").made.eye.throat_rad is None
    flat = inspected(exit="30 deg")
    assert (flat.verdict, [doubt.code for doubt in flat.doubts]) == ("caution", ["flatter-than-wraps"])
    assert "deg of the wraps themselves" in doubt_text(flat.doubts[0])
    assert inspected(first_bend="170 deg").verdict == "impossible"


def test_counts_to_where_the_tag_leaves_come_back() -> None:
    """The recipe's own counts, counted on the finished joint, give the recipe's counts."""
    plain = inspected(turns="5", wraps="5")
    counts = shape(recipe()).counts
    assert plain.turns_to_tag == pytest.approx(counts.turns + counts.swing - counts.swing_after_leg)
    assert plain.wraps_from_tag == pytest.approx(counts.wraps_from_bend)
    for turns, wraps in (("5 3/4", "5 1/2"), (f"{plain.turns_to_tag:.3f}", f"{plain.wraps_from_tag:.3f}")):
        again = seen(recipe(), "tag", turns=turns, wraps=wraps)
        assert (again.turns, again.wraps) == (5.0, 5.0)
    # ten crossings and three more halves are counted as turns too
    assert seen(recipe(), "tag", crossings="9 1/2").turns == pytest.approx(4.0)
    for texts in ({"turns": "0.5"}, {"wraps": "0.4"}, {"turns": "0"}):
        with pytest.raises(ValidationError, match="counted to where the tag leaves"):
            seen(recipe(), "tag", **texts)


@pytest.mark.parametrize("word", list(BY_EYE))
def test_evenness_by_eye(word: str) -> None:
    result = inspected(evenness=word)
    assert result.made.twist.evenness == BY_EYE[word][0]
    assert result.evenness.read
    assert result.evenness.value == pytest.approx(BY_EYE[word][0], abs=1e-6)
    severities = {"even": "good", "nearly-even": "caution", "uneven": "remake", "one-straight": "remake"}
    assert result.verdict == severities[word]
    assert any("no source" in note for note in inspection_notes(result))


@pytest.mark.parametrize("lay_d", [3.4, 3.6, 4.4])
def test_counts_to_where_the_tag_leaves_a_tighter_or_looser_twist(lay_d: float) -> None:
    """The transition is that of the joint as made: a twist of 3.4 d takes 1.43 turns for it, one of 4 d 0.76."""
    made = recipe().variant(twist=replace(recipe().twist, lay_mm=lay_d * D, length_mm=None))
    counts = shape(made).counts
    told = {
        "turns": f"{round(4.0 * (counts.turns + counts.swing - counts.swing_after_leg)) / 4.0:g}",
        "wraps": f"{round(4.0 * counts.wraps_from_bend) / 4.0:g}",
        "twist_length": f"{counts.turns * lay_d * D:.3f} mm +- 0.1 mm",
    }
    result = seen(recipe(), "tag", **told)
    assert (result.turns, result.wraps) == (5.0, 5.0)
    assert result.lay_mm.value == pytest.approx(lay_d * D, rel=1e-3)
