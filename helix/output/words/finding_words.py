"""Every finding in words: one table from its code to what it is and why it matters, one from the remedy to the advice.

Terminal, pictures, sheet and page take their sentences from here; values are put in with the unit system asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.model.joint.section_names import section_name
from helix.output.words.break_words import BREAK_WORDS
from helix.output.words.link_words import LINK_ADVICE, LINK_WORDS
from helix.output.words.pull_findings import PULL_WORDS, pull_parts
from helix.output.words.reading_words import reading_parts
from helix.output.words.sentence_format import ASSUMED, MARKS, TESTED, SentenceFormatter, beyond, odds_words
from helix.units import UnitSystem, format_length, format_turns

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Explained:
    """A finding in words: short, without numbers; what it is, why it matters, what to do, and where it can be seen.

    points_mm: the places of the bends, none for a finding about a whole section.
    """

    finding: Finding
    short: str
    what: str
    why: str
    do: str
    points_mm: tuple[Point, ...] = ()

    @property
    def severity(self) -> Severity:
        return self.finding.severity

    @property
    def word(self) -> str:
        """The word that heads it: its severity's; of what is as bad as a sharp bend and no bend, what it is."""
        return (SHARP_WORDS if self.severity is Severity.SHARP else {}).get(self.finding.code, self.severity.name)

    @property
    def place(self) -> str:
        return self.finding.place

    @property
    def key(self) -> str:
        """What tells it from the joint's other findings: its code and its place."""
        return f"{self.finding.code}-{self.place}"

    @property
    def message(self) -> str:
        """What it is and why it matters, in a sentence or two."""
        return " ".join(_sentence(part) for part in (self.what, self.why) if part)

    def sentence(self) -> str:
        """All of it, with what to do."""
        return " ".join(_sentence(part) for part in (self.what, self.why, self.do) if part)


SHARP_WORDS: Final[dict[str, str]] = {
    "own-unwound": "UNWINDS",
    "like-unwound": "UNWINDS",
    "unwinds": "UNWINDS",
    "may-unwind": "MAY UNWIND",
    "unwinds-in-practice": "TOO FEW",
}
"""By code, what heads a finding as severe as a sharp bend that is of no bend."""
# code: (short, what, why); values are put in as {value:format}, and {radius} is the radius where it can be trusted
WORDS: Final[dict[str, tuple[str, str, str]]] = {
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
        "{unwound:.0f} of your own {pieces:.0f} pieces{on_pin} unwound",
        "trust the pieces, not what the models expect of such joints",
    ),
    "like-unwound": (
        "{unwound:.0f} of {pieces:.0f} pieces{alike:choose: like it|} unwound",
        "{unwound:.0f} of {pieces:.0f} pieces of {turns:g} turns and {wraps:g} wraps{on_pin} unwound",
        ("{no_better}; trust the pieces"),
    ),
    "not-pulled": (
        "no pull tests of this joint yet",
        "no pull tests of this joint yet; {turns:g} turns and {wraps:g} wraps{in_wire} unwound in {unwound:.0f} of {pieces:.0f}",
        "{not_counted}pieces of another joint say nothing sure of this one, which is judged by the models alone",
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
        "{pieces:.0f} of your own pieces broke at {mean_n:force} on average, the models expect {models_n:force} of this joint",
        (
            "with them in it, it is expected at {share:.0%} of that (limit {limit:.0%}: {assumed}); trust the pieces: the wire may be thinner or weaker than its table "
            "has it, or breaks where no model looks"
        ),
    ),
    "rated-not-held": (
        "rated load",
        "expected to hold {load_n:force}, less than the rated load of {rated_n:force}",
        "it is expected to fail below its rating",
    ),
    "rated-not-held-by-all": (
        "rated load",
        "the load to plan with, {load_n:force}, is less than the rated load of {rated_n:force}",
        "some pieces are expected to fail below the rating",
    ),
    **LINK_WORDS,
    **dict.fromkeys(("reading", "reading-impossible"), ("{cannot}", "{place}: {text}", "")),
    "off-recipe": (
        "{place} off the recipe",
        "the {place} is {made_mm:length}, not {recipe_mm:length}: the recipe allows {allowed_mm:length} more or less",
        "",
    ),
    **dict.fromkeys(
        ("turns-from-length", "lays-agree", "over-twisted-count", "diameter-off-size", "read-as"),
        ("recipe", "{text}", ""),
    ),
}
ADVICE: Final[dict[str, str]] = {
    "": "",
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
    "add-turns": "make {usual:g} turns, or prove it with pull tests",
    "turns-and-lay": "make {usual:g} turns, wound steeper, to a lay of about {usual_lay_d:g} d",
    "add-wraps": "make {usual:g} wraps, or prove it with pull tests",
    "add-turns-first": "make {usual:g} turns, then {usual:g} wraps, or prove it with pull tests",
    "count-crossings": "if you counted crossings, they are half as many turns",
    "check-rating": "check size, material and rated load",
    "check-rating-or-test": "check size, material and rated load, or test straight wire of the batch",
    "larger-pin": "use a larger pin or a thimble",
    "check-recipe": "check the recipe",
    "pull-along": "pull {pull_n:force} along each leg, {pulled_deg:.0f} deg apart",
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
    **LINK_ADVICE,
}


def explain(finding: Finding, units: UnitSystem = "metric", points_mm: tuple[Point, ...] = ()) -> Explained:
    """A finding in words.

    >>> from helix.values import Values
    >>> few = Finding(code="few", severity=Severity.CAUTION, place="twist_tag", remedy="add-turns",
    ...               values=Values(turns=4.0, wraps=5.0, few_turns=True, few_wraps=False, usual=5.0))
    >>> explain(few).what, explain(few).do
    ('only 4 turns', 'make 5 turns, or prove it with pull tests')
    """
    put = SentenceFormatter(units)
    values = {"place": finding.place, **_advised(), **finding.values, **_made_up(finding, units)}
    parts = pull_parts(finding) | reading_parts(finding)
    values |= {name: put.vformat(text, (), values) for name, text in parts.items()}
    texts = WORDS.get(finding.code) or ("", BREAK_WORDS.get(finding.code) or PULL_WORDS[finding.code], "")
    short, what, why = (put.vformat(text, (), values) for text in texts)
    return Explained(finding, short, what, why, put.vformat(ADVICE[finding.remedy], (), values), points_mm)


def _sentence(text: str) -> str:
    """The text with a capital first and a full stop last."""
    return capital(text) + ("" if text[-1] in ".?" else ".")


def _advised() -> dict[str, float | str]:
    """What is advised whatever the values are, and the marks of limits."""
    return {"sound_lay_d": limits.SOUND_LAY, "usual_lay_d": limits.USUAL_LAY, "usual": limits.FEW, **MARKS}


def capital(text: str) -> str:
    """The text with a capital first."""
    return text[:1].upper() + text[1:]


def _made_up(finding: Finding, units: UnitSystem) -> dict[str, str]:
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
    if finding.code == "not-pulled":
        wire_mm = values.get("wire_mm")
        made["in_wire"] = "" if wire_mm is None else f" in another wire ({format_length(float(wire_mm), units)})"
        made["not_counted"] = "" if wire_mm is None else "pieces of another wire are not counted; "
    if finding.code in ("own-unwound", "like-unwound"):
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
    if finding.code == "tight-first-bend":
        made["leg"] = "standing leg" if finding.place == "entry_standing" else "tag"
    if finding.code == "overlap":
        first, second = (section_name(str(values[key])).replace(", ", " of the ") for key in ("of", "within"))
        made["between"] = f"{first} in {'itself' if first == second else second}"
    if finding.code == "few":
        short = [name for name in ("turns", "wraps") if values[f"few_{name}"]]
        counts = [f"{values[name]:.3g} {name if values[name] != 1.0 else name[:-1]}" for name in short]
        made |= {"short": " and ".join(short), "counts": " and ".join(counts), "fewer": _fewer(finding)}
    if finding.code in ("unwinds", "may-unwind"):
        made |= _unwinding(finding)
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
