"""The three stories of a bend at fault in words: what it is, why that weakens the joint, what it costs, what hands should do."""

from __future__ import annotations

import math
from typing import Final

from helix.data.practice import practice
from helix.output.words.findings.finding_words import capital
from helix.output.words.sentence_format import TESTED
from helix.studies.hold.bend_stories import BendStory
from helix.units import UnitSystem, format_force, format_turns

GRADES: Final = {
    "B": "closed form and simulation agree, not tested",
    "C": "simulated only, not tested",
    "D": "an argument only",
}
HEADINGS: Final = {
    "first-bend-wound": "The first bend, wound too wide",
    "first-bend-spread": "The first bend, spread too wide",
    "first-bend-edge": "The first bend, made over a sharp edge",
    "leg-exit": "The exit of the standing leg, too short",
    "tag-exit": "The exit of the tag, bent too hard",
}


def story_lines(story: BendStory, units: UnitSystem = "metric") -> tuple[str, ...]:
    """A story as sentences: what it is, why, what it costs, what hands should do, how sure."""
    lines = {
        "first-bend-wound": _wound,
        "first-bend-spread": _spread,
        "first-bend-edge": _edge,
        "leg-exit": _leg,
        "tag-exit": _tag,
    }[story.code](story, units)
    return (*lines, f"How sure: {GRADES[story.grade]}.")


def story_line(story: BendStory, units: UnitSystem = "metric") -> str:
    """A story in one line, for a short answer."""
    value = story.values
    match story.code:
        case "first-bend-wound":
            if math.isnan(_number(story, "cost_most_n")):
                return "The first bend was wound too wide and opens under load: what it costs nobody has simulated."
            most = format_force(_number(story, "cost_most_n"), units)
            return f"The first bend opens under load: wound so, it costs up to {most} (simulated only)."
        case "first-bend-spread":
            return f"The first bend, spread after winding, does not break early up to {value['simulated_to_deg']:.0f} deg (simulated only)."
        case "first-bend-edge":
            return "The first bend was made over too sharp an edge: it may crack as it is made."
        case "leg-exit":
            return "The load pulls the leg's short exit straight again: that stretches and thins it."
    return (
        f"The tag may crack as it is bent; in the pull it carries about {value['carries']:.2f} of the load (simulated)."
    )


def _wound(story: BendStory, units: UnitSystem) -> tuple[str, ...]:
    value = story.values
    lines = [
        (
            f"Why {value['limit_deg']:.0f} deg ({practice().mark}): two touching legs wound at 90 deg to each other are bent exactly as hard as wire that is "
            f"wrapped round its own diameter, the test that spring wire has to pass (strain {value['strain_limit']:.2f}). These were wound at "
            f"{value['angle_deg']:.0f} deg: strain {value['strain']:.2f}."
        ),
        (
            "The load pulls a wide throat open and straightens what was bent hardest, both legs at once. "
            f"{capital(_peeled(story))} peels off the twist as well."
        ),
    ]
    if not math.isnan(_number(story, "load_low_n")):
        low, high, most = (
            format_force(_number(story, key), units) for key in ("load_low_n", "load_high_n", "cost_most_n")
        )
        lines.append(
            f"What it costs: nothing to {most}. It breaks at {low} to {high} in nominal wire, where up to {value['free_deg']:.0f} deg it breaks "
            f"at {high}. How often the wire can be bent back decides, and nobody has measured that."
        )
    else:
        lines.append("What it costs is not known: nobody has simulated so wide a first bend.")
    own = _number(story, "own_deg")
    what = f"cross the legs at the twist's own {own:.0f} deg" if own <= 90.0 else "use a longer lay"
    lines.append(
        f"What hands should do: {what}, and keep the first crossing no wider than the rest. Hands that hold wide have to be alike, or the twist "
        f"comes out uneven: to {value['hands_alike_deg']:.0f} deg at {value['angle_deg']:.0f} deg between the legs, to "
        f"{value['hands_alike_own_deg']:.0f} deg at {min(own, 90.0):.0f} deg."
    )
    return tuple(lines)


def _spread(story: BendStory, units: UnitSystem) -> tuple[str, ...]:
    value = story.values
    return (
        (
            f"The twist was wound at its own lay and the legs were spread to {value['angle_deg']:.0f} deg afterwards: no part of them is bent harder "
            f"than the twist (strain {value['strain']:.2f})."
        ),
        (
            f"In no simulated pull, up to {value['simulated_to_deg']:.0f} deg, did such a joint break early. Practice calls more than "
            f"{value['limit_deg']:.0f} deg sharp all the same ({practice().mark}), and that verdict stays: no such joint was tested."
        ),
        f"What it costs: {_peeled(story)} peels off the twist under load.",
        "What hands should do: leave the legs as the twist has them, and use a pin that fits the eye.",
    )


def _edge(story: BendStory, units: UnitSystem) -> tuple[str, ...]:
    value = story.values
    return (
        (
            f"The leg was bent into the twist over an edge, to a radius of {value['radius_d']:.2f} d: its outside is stretched past what spring wire is "
            "tested for, so it may crack as it is made."
        ),
        "What hands should do: bend it round a rounder edge (1.5 d or more), or let it run into the twist at the twist's own angle.",
    )


def _leg(story: BendStory, units: UnitSystem) -> tuple[str, ...]:
    value = story.values
    pushed = (
        "The tag swings out before the leg is straight and pushes it into a short, sharp bend. "
        if value["pushed_by_tag"]
        else ""
    )
    load, right = (format_force(_number(story, key), units) for key in ("load_n", "right_n"))
    lines = [
        (
            f"{pushed}All of the load passes the standing leg's exit, and pulls its bend straight again. Wire that is pulled straight stretches and "
            f"gets thinner, the more the harder it was bent: strain {value['strain']:.2f} (limit {value['strain_limit']:.2f}: {TESTED})."
        )
    ]
    if _number(story, "load_n") < _number(story, "right_n") and load != right:
        lines.append(f"What it costs: it breaks there at about {load} in nominal wire; made right, at {right}.")
    lines.append(
        f"What hands should do: let the leg come straight over {value['leg_d']:.1f} d first, then swing the tag out over "
        f"{format_turns(_number(story, 'swing_turns'))}."
    )
    return tuple(lines)


def _tag(story: BendStory, units: UnitSystem) -> tuple[str, ...]:
    value = story.values
    angle = _number(story, "angle_deg")
    past = f"past square, to {angle:.0f} deg, " if angle > _number(story, "limit_deg") + 1e-7 else ""
    radius = "" if value["radius_d"] is None else f"radius {value['radius_d']:.2f} d, "
    hard = _number(story, "strain") > _number(story, "strain_limit")
    made = (
        f"harder than the wrapping test allows ({radius}strain {value['strain']:.2f}, limit {value['strain_limit']:.2f}). It may crack or be nicked "
        "while it is made." if hard else f"though no harder than the wrapping test allows (strain {value['strain']:.2f})."
    )  # fmt: skip
    return (
        f"The tag was bent {past}{made}",
        (
            f"In the pull it carries little, what the twist leaves: about {value['carries']:.2f} of the load ({value['carries_low']:.2f} to "
            f"{value['carries_high']:.2f} after five turns), and is not straightened. No loss of load is known; practice calls it a fault "
            f"({practice().mark})."
        ),
        "What hands should do: never bend the tag past square as a lever; swing it from the twist straight into the first wrap.",
    )


def _number(story: BendStory, name: str) -> float:
    value = story.values[name]
    return math.nan if value is None else float(value)


def _peeled(story: BendStory) -> str:
    """How much of the twist a wide throat peels off under load."""
    turns = _number(story, "peeled_turns")
    return f"{'about ' if turns >= 0.125 else ''}{format_turns(turns)}"
