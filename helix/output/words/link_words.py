"""The words of linked joints: what is found of the crossing, what the answer takes for granted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from helix.units import UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.link.link_result import LinkedJoint, LinkResult

LINK_WORDS: Final[dict[str, tuple[str, str, str]]] = {
    "tight-crossing": (
        "crossing",
        "drawn tight over {over_mm:length}, the eye bends to a strain of {strain:over:limit} (limit {limit:.2f}: {tested})",
        "the outside of the bend is stretched past what the wire is tested for",
    ),
    "wire-on-wire": (
        "wire on wire",
        "wire crosses wire in the eyes",
        (
            "joints of one hard fence wire crossing another kept {low:percent} to {high:percent} of the wire ({source}): other "
            "joints than these, so a warning and in no load"
        ),
    ),
}
"""As finding_words.WORDS."""
LINK_ADVICE: Final[dict[str, str]] = {
    "thicker-ring": "let it bear on a ring of {least_mm:length} or thicker",
    "ring-between": "put a ring between them, the thicker the gentler the bend",
}


def other_words(result: LinkResult) -> str:
    """What the eye is drawn over, with its article."""
    return "the other wire" if result.ring is None else "the ring"


def link_title(result: LinkResult, units: UnitSystem) -> str:
    """What is linked with what, in a few words."""
    if result.ring is None:
        return "Eye through eye"
    return f"Eye on a ring of {format_length(result.ring.diameter_mm, units)}"


def named_joints(result: LinkResult) -> tuple[tuple[str, LinkedJoint], ...]:
    """The joints that differ, each with what it is called: nothing where there is but one kind."""
    if len({joint.recipe for joint in result.joints}) == 1:
        return (("", result.joints[0]),)
    names = ("first joint", "second joint")
    return tuple(zip(names, result.joints, strict=True))


def link_assumptions(result: LinkResult) -> tuple[str, ...]:
    """What the answer about a link takes for granted."""
    words = [
        (
            "Pulled tight: the eye drawn down until its wire lies round what is in it. How much load that takes, and how an eye opens "
            "or closes under load, is not modelled."
        ),
        "At rest: each eye as it was bent round its pin. Room and lengths are those of that state; pulled tight the pair is longer.",
        (
            "What the crossing leaves is the share that a bend leaves of limited ductility, as for the eye in every estimate of a hold; "
            "not tested. Wire pressed flat on wire, wear and movement are not in it."
        ),
        "The load is one joint's, the weaker where they differ; of two joints the weaker breaks, so a pair holds a little less.",
    ]
    if result.ring is not None:
        words.append("The ring is round, stiff and stronger than the joint: its own strength is not judged.")
    return tuple(words)
