"""Findings of a joint's shape in words: bends, overlaps, twist, barrel, eye and counts; what cures them."""

from __future__ import annotations

import math
from typing import Final

from helix.findings import Finding, Severity
from helix.model.joint.section_names import section_name
from helix.output.words.sentence_format import ASSUMED, TESTED, beyond
from helix.units import format_turns

# code: (short, what, why); values are put in as {value:format}, and {radius} is the radius where it can be trusted
SHAPE_WORDS: Final[dict[str, tuple[str, str, str]]] = {
    "steep-first-bend": (
        "first bend",
        "first bend of {angle_deg:over:limit_deg} deg (limit {limit_deg:.0f}: {practice})",
        "{bent_open}",
    ),
    "spread-throat": (
        "first bend",
        "first bend of {angle_deg:over:limit_deg} deg (limit {limit_deg:.0f}: {practice}), spread after the twist was wound",
        "{spread_apart}; it counts as sharp all the same",
    ),
    "tight-first-bend": (
        "first bend, {leg}",
        "first bend, {leg}: {bent}",
        (
            "it turns from the eye into the twist{and_radius}; the outside of the bend is stretched past what the wire is "
            "tested for"
        ),
    ),
    "hard-crossing": (
        "first crossing",
        "without pull ({held_deg:.0f} deg) the first crossing is bent too hard ({strain:.2f}; the {tested} {strain_limit:.2f})",
        (
            "simulated, within 0.1; the limit of {limit_deg:.0f} deg ({practice}) is of legs as they cross once let go, here at {free_deg:.0f}: hands stand wider, as hard wire springs "
            "back, and only the first crossing has no twist yet to spring it back. Hands that pull along the legs come to the same lay closer together, the first "
            "crossing no harder than the turns"
        ),
    ),
    "tight-leg-exit": (
        "exit bend, standing leg",
        "exit bend, standing leg: {bent}",
        (
            "the leg comes onto the axis in {length_d:.1f} d of wire{and_radius}; all of the load passes here and pulls the "
            "bend straight again, which stretches and thins the wire"
        ),
    ),
    "tight-exit": (
        "exit bend, tag",
        "exit bend, tag: {bent}",
        "the tag is swung out over {length_d:.1f} d of wire{and_radius}; it may crack as it is bent; in the pull it carries little",
    ),
    "steep-exit": (
        "exit bend, tag",
        "exit bend, tag, of {angle_deg:over:limit_deg} deg (limit {limit_deg:.0f}: {practice})",
        "the tag points back at the eye{and_radius}; {bent_made}in the pull it carries little",
    ),
    "exit-overlaps": (
        "exit bend, tag",
        "exit bend, tag, runs through the leg",
        (
            "swung out before the leg is straight, the tag would have to run through it, and pushes the leg into a shorter, "
            "sharper bend"
        ),
    ),
    "overlap": (
        "overlap",
        "overlap of {overlap_mm:length} ({overlap_d:.3g} d): {between}",
        "two parts cannot be in one place: the wire will lie differently from this shape",
    ),
    "wraps-overlap": (
        "overlap",
        "overlap of {overlap_mm:length} ({overlap_d:.4f} d) between neighbouring wraps",
        "wraps that just touch have a pitch of {touching_pitch_d:.4f} d",
    ),
    "lift-off": (
        "lift-off",
        "lift-off at the exit: the tag stands off the leg by up to {lift_d:.3f} d",
        "the leg straightens so fast that the tag cannot stay in touch with it",
    ),
    "legs-apart": (
        "lift-off",
        "lift-off at the exit: the legs stand {apart_d:.3f} d apart where the tight lay opens",
        "a lay this tight cannot open with the legs in touch",
    ),
    "wraps-only": (
        "wraps without twists",
        "wraps without twists: no twist, the wraps alone hold the tag",
        (
            "nothing but the barrel's stiffness holds the tag; it is known to pull out far below the wire's strength "
            "(common practice, no source)"
        ),
    ),
    "over-twist": (
        "over-twist",
        "over-twist: a lay of {lay_d:under:limit_d} d (limit {limit_d:.2f} d)",
        "below {limit_d:.2f} d more twisting takes in wire without adding turns, the legs stand apart and bend harder",
    ),
    "tight-lay": (
        "tight lay",
        "tight lay of {lay_d:under:limit_d} d",
        "below {limit_d:.2f} d (an even twist) the legs touch off the axis and cross at more than 90 deg",
    ),
    "loose-lay": (
        "loose twist",
        "loose twist: a lay of {lay_d:.1f} d (limit {limit_d:g} d: {assumed})",
        "a long lay grips little and unwinds",
    ),
    "uneven-twist": (
        "uneven twist",
        "uneven twist: the tag takes {wire_ratio:.2f} times the standing leg's wire (even: 1)",
        "the tag winds round a leg that stays straighter, so the legs lock each other less or not at all",
    ),
    "no-barrel": ("no barrel", "a twist without a barrel", "nothing keeps the tag from turning back out of the twist"),
    "open-barrel": (
        "open barrel",
        "open barrel: the wraps stand {gap_mm:length} ({gap_d:.2g} d) apart",
        (
            "{within_tolerance:choose:within the recipe's own tolerance of a touching barrel|"
            "the wraps do not bear on each other and can shift along the leg}"
        ),
    ),
    "opposite-hand": (
        "barrel of the opposite hand",
        "the barrel is wound the opposite hand to the twist",
        (
            "the tag turns {turn_deg:.0f} deg instead of {same_deg:.0f} between twist and barrel, which its visible angle "
            "hides"
        ),
    ),
    "few": (
        "few {short}",
        "only {counts}",
        "practice makes {usual:g} full turns and {usual:g} wraps in hard stainless wire (common practice, no source); {fewer}",
    ),
    "many": (
        "many turns",
        "{turns:g} turns are {crossings:g} crossings",
        "practice makes about {usual:g} turns ({practice}); a turn is 360 deg, a crossing half of it",
    ),
    "tight-eye": (
        "tight eye",
        "the eye bends the wire to a strain of {strain:over:limit} (limit {limit:.2f}: {tested})",
        "the pin is too small for this wire",
    ),
    "rated-above-breaking": (
        "rated load",
        "the rated load of {rated_n:force} is above what the straight wire breaks at, {breaking_n:force}",
        "a rating lies below the breaking load",
    ),
    "rated-above-least": (
        "rated load",
        (
            "the rated load of {rated_n:force} is above the least breaking load of this size and material, "
            "{breaking_n:force}"
        ),
        "weak wire of this size may break below its rating",
    ),
}
SHAPE_ADVICE: Final[dict[str, str]] = {
    "own-angle": "let the legs run into the twist at its own angle, {own_deg:.0f} deg between them",
    "lay-for-angle": "use a longer lay, {sound_lay_d:g} d or more, so that the legs leave the twist at less than 90 deg to each other",
    "lay-for-entry": "use a longer lay, {sound_lay_d:g} d or more: a twist this tight cannot be entered more gently",
    "lay-for-exit": "use a longer lay, {sound_lay_d:g} d or more: a twist this tight cannot be left more gently",
    "round-edge": "bend the leg round a rounder edge (1.5 d or more), or let it leave at the twist's own angle",
    "not-past-square": "never bend the tag past square; go straight from the twist to the first wrap",
    "not-past-square-longer-lay": (
        "never bend the tag past square; go straight from the twist to the first wrap, and use a longer lay, {sound_lay_d:g} d or more"
    ),
    "gradual-exit": "{steps}",
    "no-overbend": "go straight from the twist to the first wrap, the tag bent no further than the wraps lie",
    "open-what-presses": "make room: a longer lay, a longer exit, or a wider pitch",
    "touching-pitch": "wind the wraps so that they just touch",
    "longer-leg": "let the leg come onto the axis over a longer way",
    "longer-lay": "twist with a longer lay",
    "sound-lay": "twist to a lay of {sound_lay_d:g} d or more",
    "usual-lay": "wind the twist steeper, to a lay of about {usual_lay_d:g} d",
    "twist-first": "make the even twist first, then the barrel",
    "turn-both": "open the legs to the same angle and turn both",
    "add-barrel": "add touching wraps",
    "wind-touching": "wind each wrap against the last",
    "same-hand": "wind the barrel the same way round as the twist",
    "add-wraps": "make {usual:g} wraps, or prove it with pull tests",
    "count-crossings": "if you counted crossings, they are half as many turns",
    "larger-pin": "use a larger pin or a thimble",
    "check-recipe": "check the recipe",
    "pull-along": "pull {pull_n:force} along each leg, {pulled_deg:.0f} deg apart",
}


def shape_parts(finding: Finding) -> dict[str, str]:
    """Parts of a text that are there or not by the values."""
    values = finding.values
    radius = values.get("radius_d")
    strained = float(values.get("strain") or 0.0) > float(values.get("strain_limit") or math.inf)
    made = {"and_radius": "" if radius is None or not strained else f", and its radius is {radius:.2f} d"}
    if finding.code == "steep-first-bend":
        bent = beyond(values["strain"], "over", values["strain_limit"]) if strained else ""
        made["bent_open"] = "the eye legs cross beyond square" + (
            f": wound so, they are bent harder than round the wire's own diameter (strain {bent}, limit "
            f"{values['strain_limit']:.2f}: {TESTED}), and the load pulls them open again"
            if strained
            else ""
        )
    if finding.code == "spread-throat":
        made["spread_apart"] = (
            f"the bend is sharper than the wire is tested for{made['and_radius']}"
            if strained
            else "simulated pulls of such joints, up to 140 deg, do not break early there, but none was tested"
        )
    if finding.code == "steep-exit":
        made["bent_made"] = "bent harder than the wire is tested for, it may crack as it is made; " if strained else ""
    if "kink_limit_d" in values:  # a kink may be too short to show in the mean strain
        how = ("strain", "over", "strain_limit") if strained else ("radius_d", "under", "kink_limit_d")
        text = (
            f"strain {{}} (limit {{:.2f}}: {TESTED})"
            if strained
            else f"a kink of radius {{}} d (limit {{:.2f}} d: {ASSUMED})"
        )
        made["bent"] = text.format(beyond(values[how[0]], how[1], values[how[2]]), values[how[2]])
    if finding.code == "tight-first-bend":
        made["leg"] = "standing leg" if finding.place == "entry_standing" else "tag"
    if finding.code == "overlap":
        first, second = (section_name(str(values[key])).replace(", ", " of the ") for key in ("of", "within"))
        made["between"] = f"{first} in {'itself' if first == second else second}"
    if finding.code == "few":
        short = [name for name in ("turns", "wraps") if values[f"few_{name}"]]
        counts = [f"{values[name]:.3g} {name if values[name] != 1.0 else name[:-1]}" for name in short]
        made |= {"short": " and ".join(short), "counts": " and ".join(counts), "fewer": _fewer(finding)}
    if finding.remedy == "gradual-exit":
        steps = [f"let the leg straighten over {values['leg_d']:.1f} d"] if values["leg_d"] else []
        steps += (
            [f"swing the tag out over {format_turns(float(values['swing_turns']))}"] if values["swing_turns"] else []
        )
        made["steps"] = ", then ".join(steps)
    return made


def _fewer(finding: Finding) -> str:
    """What fewer turns or wraps do. Of wraps the models see no difference, once there are enough for a hinge."""
    if finding["few_turns"]:
        return "with fewer a joint may unwind before the wire breaks"
    if finding.severity is Severity.FAULT:
        return "so few wraps make no barrel, and the tag can turn back out"
    return "no pull test shows that fewer wraps hold as well"
