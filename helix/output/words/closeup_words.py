"""What a close-up of a twist or a barrel says below it: counts, gaps and hands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from helix.mechanics import limits
from helix.output.words.words import plain_count
from helix.studies.shape.along import eye_strain

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

GUIDE_WORDS: Final[dict[str, str]] = {
    "closer": "closer together",
    "kink": "no kink here",
    "too-short": "too short",
    "slowly": "slowly",
    "same-way": "same way",
    "wrong-way": "wrong way",
    "no-wraps": "wraps missing",
    "gap": "gap",
    "touch": "wraps touch",
    "crowded": "no room for them",
    "tight": "wind tight",
    "no-twist": "the twist is missing here",
    "turn-both": "turn both legs",
    "one-turn": "1 turn",
    "wanted": "1 turn should be",
    "tighter": "wind it steeper",
    "back": "stop sooner",
    "more-turns": "more turns here",
    "square": "square",
}
"""A word or two for each thing that is drawn into a close-up; what hands should do, where they should."""
_QUARTERS: Final = {0.25: "1/4", 0.5: "1/2", 0.75: "3/4"}


def count_words(count: float) -> str:
    """A count as hands count it, in quarters.

    >>> count_words(0.5), count_words(2.5), count_words(3.0), count_words(1.4)
    ('1/2', '2 1/2', '3', '1.4')
    """
    whole, part = divmod(count, 1.0)
    if part and part not in _QUARTERS:
        return plain_count(count)
    return " ".join(text for text in (f"{whole:.0f}" if whole or not part else "", _QUARTERS.get(part, "")) if text)


def hand_words(result: ShapeResult) -> tuple[str, str]:
    """Hand of the twist and of the barrel: "right-hand" or "left-hand" each."""
    sizes = result.joint.layout.sizes
    twist = result.recipe.twist.hand
    other = "left" if twist == "right" else "right"
    return f"{twist}-hand", f"{twist if sizes.barrel_sign > 0.0 else other}-hand"


def gap_d(result: ShapeResult) -> float:
    """Room between neighbouring wraps [d], 0 where they touch."""
    return max(result.joint.layout.sizes.wrap_gap, 0.0)


def wire_ratio(result: ShapeResult) -> float:
    """How many times the leg's wire the tag takes in the twist."""
    return result.joint.section_mm("twist_tag") / result.joint.section_mm("twist_standing")


def part_caption(result: ShapeResult, part: str) -> tuple[str, ...]:
    """What is to be read below the close-up of a part: "eye", "twist", "hand" or "barrel"."""
    counts = result.counts
    if part == "eye":
        wide = result.finished.eye_inside_width_mm / result.joint.diameter_mm
        return f"{wide:.2g} d wide inside", f"the wire is bent to a strain of {eye_strain(result):.2f}"
    if part == "twist":
        if not counts.turns:
            return ("the wraps begin at the eye: no turn before them",)
        turns = f"{plain_count(counts.turns)} {'turn' if counts.turns == 1 else 'turns'}"
        lay = result.joint.layout.sizes.lay
        ratio = wire_ratio(result)
        uneven = (f"the tag takes {ratio:.2f} times the leg's wire",) if abs(ratio - 1.0) >= 0.005 else ()
        return f"{turns}, lay {lay:.1f} d", *uneven
    if not counts.wraps:
        return ("no wraps",)
    wraps = f"{plain_count(counts.wraps)} {'wrap' if counts.wraps == 1 else 'wraps'}"
    overlapping = result.joint.layout.sizes.wrap_gap < -limits.OVERLAP_D
    gap = f"gaps of {gap_d(result):.2f} d" if gap_d(result) > 1e-6 else "in each other" if overlapping else "touching"
    if part == "hand" and counts.turns:
        twist, barrel = hand_words(result)
        words = f"twist and barrel {twist}" if twist == barrel else f"twist {twist}, barrel {barrel}"
        return (words, f"{wraps}, {gap}")
    return (f"{wraps}, {gap}",)
