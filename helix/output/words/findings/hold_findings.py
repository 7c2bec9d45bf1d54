"""Findings of a joint's hold in words: whether it unwinds, where it breaks, what pieces showed; what to do, and what to look at where one broke."""

from __future__ import annotations

import math
from typing import Final

from helix.findings import Finding
from helix.output.words.sentence_format import among, odds_words, of_all
from helix.units import UnitSystem, format_force, format_length

BROKE_OF: Final = {"own": "own {pieces}", "bent": "{pieces} with other counts", "better": "{pieces} made no worse"}
"""Whose pieces broke below the models' load."""
HOLD_WORDS: Final[dict[str, tuple[str, str, str]]] = {
    "unwinds": (
        "{unwinds_by}unwinds",
        "{unwinds_by}it unwinds before the wire breaks ({chance:joints}{or_more})",
        "{unwinds_why}",
    ),
    "may-unwind": (
        "{unwinds_by}may unwind",
        "{unwinds_by}it may unwind before the wire breaks ({chance:joints}{or_more}{by_model})",
        "{unwinds_why}",
    ),
    "own-unwound": (
        "own pieces unwound",
        "{which}{on_pin} unwound",
        "trust the pieces, not what the models expect of such joints",
    ),
    "like-unwound": (
        "{which}{alike:choose: like it|} unwound",
        "{which} of {turns:g} turns and {wraps:g} wraps{on_pin} unwound",
        ("{no_better}; trust the pieces"),
    ),
    "not-pulled": (
        "no pull tests of this joint yet",
        "no pull tests of this joint yet; {turns:g} turns and {wraps:g} wraps{in_wire} unwound in {among}",
        "{not_counted}pieces of another joint say nothing sure of this one, which is judged by the models alone",
    ),
    "two-wires": ("no model says whether it unwinds", "no model says whether four strands unwind (all know two)", ""),
    "no-model": ("no estimate of the hold", "no model of the hold knows a joint made like this", "{because}"),
    "unwinds-in-practice": (
        "unwinds in practice",
        "{turns:g} turns and {wraps:g} wraps do not hold in the heaviest wire (common practice, no source)",
        "practice does not say from which size on",
    ),
    "breaks-early": (
        "breaks early",
        "it breaks at {share:.0%} of what the same joint made right is expected to hold (limit {limit:.0%}: {assumed})",
        "a bend takes off more of the wire than it need",
    ),
    "pieces-below": (
        "your pieces broke below the models' load",
        "{which} broke at {mean_n:force}{average}, the models expect {models_n:force}{here}",
        (
            "with them in it, it is expected at {share:.0%} of that (limit {limit:.0%}: {assumed}); trust the pieces: the wire may be thinner or weaker than its table "
            "has it, or breaks where no model looks"
        ),
    ),
    "rated-not-held": (
        "rated load",
        "expected to hold {load}less than the rated load of {rated_n:force}",
        "it is expected to fail below its rating",
    ),
    "rated-not-held-by-all": (
        "rated load",
        "{load} less than the rated load of {rated_n:force}",
        "some pieces are expected to fail below the rating",
    ),
}
"""As `shape_findings.SHAPE_WORDS`."""
HOLD_ADVICE: Final[dict[str, str]] = {
    "add-turns": "make {usual:g} turns, or prove it with pull tests",
    "turns-and-lay": "make {usual:g} turns, wound steeper, to a lay of about {usual_lay_d:g} d",
    "add-turns-first": "make {usual:g} turns, then {usual:g} wraps, or prove it with pull tests",
    "check-rating": "check size, material and rated load",
    "check-rating-or-test": "check size, material and rated load, or test straight wire of the batch",
    "turns-above": "make {make:g} turns{beside}, {pulled:choose:which your pieces held|none of these pulled yet: pull such pieces before you rely on it}",
    "turns-above-first": (
        "make {make:g} turns, then {usual:g} wraps, {pulled:choose:which your pieces held|none of these pulled yet: pull such pieces before you rely on it}"
    ),
    "turns-above-lay": (
        "make {make:g} turns, wound steeper, to a lay of about {usual_lay_d:g} d, {pulled:choose:which your pieces held|"
        "none of these pulled yet: pull such pieces before you rely on it}"
    ),
    "pull-these": "pull pieces of this joint before you rely on it",
    "measure-wire": "measure the wire's diameter and look where the pieces broke",
    "measure-wire-or-pull": "measure the wire's diameter, pull straight pieces of its coil, and look where the pieces broke",
    "see-why": "look under why for what would help",
    "pull-tests": "prove it with pull tests",
}
BREAK_WORDS: Final[dict[str, str]] = {
    "break-here": "{usual:choose:a usual place|an unusual place: look for damage or a slip in making first}; by the estimate "
    "{odds:chance} of the joints that break do so here",
    "break-load": "its load: near the expected {expected_n:force} nothing is wrong; below {plan_n:force} something is (an estimate)",
    "exit-sharp": "the bend is sharper than in a good joint (strain {strain:.2f} against {usual:.2f}): let it come out "
    "over a longer way",
    "leg-bent-back": "the standing leg was bent and straightened again while the barrel was wound: hold the twist, not the leg",
    "tag-past-square": "the tag was bent past square: bent so hard it may crack as it is made, though it carries little in the pull; "
    "go straight from the twist to the first wrap",
    "tag-bent-back": "the tag was bent, opened and bent again: make the bend once",
    "legs-wide": "the legs stood {angle_deg:.0f} deg apart: keep under 90 (common practice, no source)",
    "hands-unlike": "one leg was bent harder than the other: hold both hands alike, to {alike_deg:.0f} deg (simulated, not tested)",
    "thin-pin": "the pin is thin, {pin_d:.1f} d: use {usual_d:g} d or more",
    "pin-edge": "an edge or a burr on the pin or ring where the wire lay",
    "twist-uneven": "the twist is uneven, so one leg carries more: open the legs to the same angle and turn both",
    "lay-tight": "the lay is tight, {lay_d:.1f} d: twist to {sound_d:g} d or more",
    "wraps-scratch": "a wrap or the cut end of the tag has scratched the standing leg",
    "tool-marks": "marks of pliers or a vice at the break: a nick in hard wire starts a crack",
    "near-grip": "how far from the grip: within some ten diameters it is the grip's break and says nothing of the joint",
    "straight-pulls": "straight wire of the same coil, pulled: if it breaks as low, the coil is weak and the joint is not",
    "wire-damage": "kinks, rust and nicks in the wire away from the joint",
}
"""What to look at when a joint broke somewhere: one line a code of `helix.studies.hold.places.broke_at`."""


def hold_parts(finding: Finding, units: UnitSystem) -> dict[str, str]:
    """Parts of a text that are there or not by the values."""
    values, made = finding.values, dict[str, str]()
    if finding.code == "not-pulled":
        wire_mm = values.get("wire_mm")
        made["among"] = among(int(values["unwound"] or 0), int(values["pieces"] or 0))
        made["in_wire"] = "" if wire_mm is None else f" in another wire ({format_length(float(wire_mm), units)})"
        made["not_counted"] = "" if wire_mm is None else "pieces of another wire are not counted; "
    if finding.code == "pieces-below":
        many = int(values["pieces"] or 0)
        made["which"] = _some(many, BROKE_OF[str(values["of"])])
        made["average"] = "" if many == 1 else " on average"
        made["here"] = " of this joint" if values["of"] == "own" else ""
    if finding.code in (
        "rated-not-held",
        "rated-not-held-by-all",
    ):  # no load is told where pieces of another joint count against it
        load = "" if values["load_n"] is None else format_force(float(values["load_n"]), units)
        plan = f"the load to plan with, {load}, is" if load else "some pieces are expected to hold"
        made["load"] = plan if finding.code == "rated-not-held-by-all" else load and f"{load}, "
    if finding.code in ("own-unwound", "like-unwound"):
        made["which"] = of_all(
            int(values["unwound"] or 0), int(values["pieces"] or 0), own=finding.code == "own-unwound"
        )
        pin_mm = values.get("pin_mm")
        made["on_pin"] = "" if pin_mm is None else f" on a pin of {format_length(float(pin_mm), units)}"
        made["no_better"] = (
            "pin, throat and exit have no part in the grip" if values.get("alike")
            else "more wraps are not shown to cure that: the twist may have let go, and wraps do not hold a twist"
            if values.get("more_wraps")
            else "a joint with no more wound on it is no better"
        )  # fmt: skip
    if finding.remedy == "turns-above":
        lay_d, wraps = values.get("to_lay_d"), values.get("to_wraps")
        made["beside"] = "" if lay_d is None else f" at a lay of {lay_d:g} d"
        made["beside"] += "" if wraps is None else f" and {wraps:g} wraps"
    if finding.code in ("unwinds", "may-unwind"):
        made |= _unwinding(finding)
    return made


def _some(many: int, kind: str) -> str:
    """How many of one's own pieces, which are not all.

    >>> _some(1, "own {pieces}"), _some(10, "{pieces} with other counts")
    ('your own piece', '10 of your pieces with other counts')
    """
    return f"your {kind.format(pieces='piece')}" if many == 1 else f"{many} of your {kind.format(pieces='pieces')}"


def _unwinding(finding: Finding) -> dict[str, str]:
    """Why a joint unwinds or may: what hands did, where the same joint made right does not; and how far the chance is known."""
    values = finding.values
    chance, most = (float(math.nan if value is None else value) for value in (values["chance"], values.get("most")))
    nearest, few = bool(values.get("nearest")), finding.remedy in ("turns-and-lay", "turns-above-lay")
    open_lay = few or finding.remedy == "usual-lay"
    told = not math.isnan(most) and not nearest and odds_words(most) != odds_words(chance)
    why = (
        "few turns of a long lay grip little" if few
        else "a long lay grips little" if open_lay
        else "no model knows the joint itself: that is the chance of the nearest that one does" if nearest
        else "the models of the hold do not agree that it locks" if finding.code == "may-unwind"
        else "twist and barrel together hold less than the wire does"
    )  # fmt: skip
    return {
        "unwinds_by": f"{'few turns, and the ' if few else ''}twist too open, a lay of {values['lay_d']:.3g} d: "
        if open_lay
        else "",
        "unwinds_why": why,
        "or_more": " or more" if nearest else "",
        "by_model": f", up to {odds_words(most)} by model" if told else "",
    }
