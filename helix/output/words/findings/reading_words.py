"""The words of every doubt about a caliper reading: one text a code, values put in as in finding_words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from helix.findings import Finding
from helix.output.words.sentence_format import SentenceFormatter
from helix.units import UnitSystem
from helix.values import Scalar

if TYPE_CHECKING:
    from helix.studies.inspect.made_checks import Inconsistency

_SHOWN_LAY: Final = "{turns:g} turns in {length_mm:length} give a lay of {lay_mm:length} ({lay_d:.2f} d)"
_SHOWN_PITCH: Final = "{wraps:g} wraps over {length_mm:length} have a pitch of {pitch_mm:length} ({pitch_d:.2f} d)"
_FITTING: Final = "a lay of {fitting_lay_mm:length}"

READING_WORDS: Final[dict[str, str]] = {
    "no-such-part": "cannot be measured where there are no {count}; give the {count}",
    "lay-cannot-be": _SHOWN_LAY + ", and no even twist is laid shorter than {shortest_d:g} d",
    "lay-far-off": _SHOWN_LAY + ", far from the recipe's {recipe_lay_mm:length}",
    "too-thin": (
        "{read_mm:length} is less than {bound_d:.3g} d, {bound_mm:length}, which is {part}; measure again, or give the wire"
    ),
    "no-ring": (
        "{read_mm:length} is {than} the {ring_mm:length} of four strands that touch all along: one {stands}; look at the twist from "
        "all sides"
    ),
    "too-thick": (
        "{read_mm:length} is more than {bound_d:g} d, {bound_mm:length}: {part} cannot be; measure again, or give the wire"
    ),
    "other-wire": "{read_mm:length} is far from the recipe's wire; is it the right recipe?",
    "wraps-overlap": _SHOWN_PITCH + ", less than the {touching_mm:length} of touching wraps",
    "other-wraps": _SHOWN_PITCH,
    "flatter-than-wraps": (
        "{read_deg:g} deg is less than the {wraps_deg:.1f} deg of the wraps themselves; look again, or measure the barrel's "
        "length"
    ),
    "no-room-for-pin": "leaves no room for a pin in the eye of this twist; measure the eye and the twist again",
    "shorter-than-parts": "{read_mm:length} is less than twist and barrel together, {parts_mm:length}; measure all three again",
    "contradicts": ("is {off} than the other readings and the recipe allow; measure again, or check the counts"),
    "fits-only-with": (
        "fits only with {unread} further off the recipe than its tolerance; read that too, or measure again"
    ),
    "no-joint": "give a joint that cannot be: {causes}",
}
_FITS: Final[dict[str, str]] = {
    "lay-cannot-be": "; {fits:g} turns would fit: " + _FITTING + "; count again",
    "lay-far-off": "; {fits:g} turns would fit: " + _FITTING + "; count again",
    "wraps-overlap": "; {fits:g} wraps would fit; count again",
    "other-wraps": "; {fits:g} wraps would fit the recipe: count again",
}
_CROSSINGS: Final = (
    "; {turns:g} fits as a count of crossings (half turns): {turns:g} crossings, {fits:g} turns, give " + _FITTING
)
_PARTS: Final = {
    ("twist diameter", "too-thin"): "two wires side by side",
    ("twist diameter", "too-thick"): "a tag round a straight leg",
    ("barrel diameter", "too-thin"): "a wire wound on itself",
    ("barrel diameter", "too-thick"): "a barrel so loose",
}
_PARTS_OF_TWO: Final = {
    ("twist diameter", "too-thin"): "four wires in a ring",
    ("twist diameter", "too-thick"): "a pair of tags round a straight pair",
    ("barrel diameter", "too-thin"): "a barrel on two wires where it is widest",
    ("barrel diameter", "too-thick"): "a barrel so loose",
}
_AGAIN: Final = {
    "turns": "Count the turns and measure the twist again.",
    "wraps": "Count the wraps and measure the barrel again.",
    "across": "Measure it and the wire again.",
}
CANNOT: Final[dict[str, tuple[str, str]]] = {
    "no-such-part": ("there are no {count}, so the {reading} cannot be", "Count again, or leave it out."),
    "lay-cannot-be": ("{turns:g} turns do not fit in {length_mm:length} of twist", _AGAIN["turns"]),
    "lay-far-off": ("{turns:g} turns hardly go with {length_mm:length} of twist", _AGAIN["turns"]),
    "too-thin": ("a {reading} of {read_mm:length} is too thin for this wire", _AGAIN["across"]),
    "no-ring": (
        "in a twist of {read_mm:length} not all four strands touch",
        "Look at it from all sides and measure it again.",
    ),
    "too-thick": ("a {reading} of {read_mm:length} is too thick for this wire", _AGAIN["across"]),
    "other-wire": ("a wire of {read_mm:length} is not the recipe's", "Measure it again, or take its recipe."),
    "wraps-overlap": ("{wraps:g} wraps do not fit in {length_mm:length} of barrel", _AGAIN["wraps"]),
    "other-wraps": ("{wraps:g} wraps hardly go with {length_mm:length} of barrel", _AGAIN["wraps"]),
    "flatter-than-wraps": (
        "an exit of {read_deg:g} deg is flatter than the wraps behind it",
        "Measure the exit or the barrel's length again.",
    ),
    "no-room-for-pin": ("no pin has room in this eye beside this twist", "Measure the eye and the twist again."),
    "shorter-than-parts": (
        "a {reading} of {read_mm:length} is less than twist and barrel together",
        "Measure all three again.",
    ),
    "contradicts": ("the {reading} does not go with the other readings", "Measure it again, and count again."),
    "fits-only-with": ("the {reading} hardly fits the {rest}", "Measure it, {with} again."),
    "no-joint": ("no joint has all of these readings", "Count again first, then measure the twist and the eye again."),
}
"""Of a doubt in a verdict's place: what cannot be, and what to measure again."""
_WOULD_FIT: Final = "\n{fits:g} would fit."
_CROSSINGS_FIT: Final = "\n{turns:g} crossings, which are {fits:g} turns, would fit."
_READ_WITH: Final = {
    "d": ("wire",),
    "lay": ("twist length",),
    "outer": ("twist diameter",),
    "turns": ("turns",),
    "pitch": ("barrel length",),
    "wraps": ("wraps",),
    "barrel": ("barrel diameter",),
    "pin": ("eye",),
    "exit": ("twist length", "barrel length"),
}
"""What to read for each size that was not read; the exit's length is what is left of the whole."""
_UNREAD: Final = {
    "d": "the wire's diameter",
    "lay": "the lay",
    "outer": "the evenness",
    "turns": "the turns",
    "pitch": "the pitch of the barrel",
    "wraps": "the wraps",
    "barrel": "the barrel's diameter",
    "pin": "the pin",
    "exit": "the exit's length",
}


def reading_parts(finding: Finding) -> dict[str, str]:
    """The text of a finding about a reading; it may hold values of its own."""
    if finding.code not in ("reading", "reading-impossible"):
        return {}
    code = str(finding["doubt"])
    return {
        "text": _template(finding.place, code, finding.values),
        "cannot": _in_place(CANNOT[code][0], finding.place, finding.values),
    }


def cannot_be(doubt: Inconsistency, units: UnitSystem = "metric") -> list[str]:
    """What of the readings cannot be and what to measure again, in a line, and what would fit in another.

    >>> from helix.studies.inspect.made_checks import Inconsistency
    >>> from helix.values import Values
    >>> cannot_be(Inconsistency(name="lay", code="no-such-part", values=Values(count="turns")))
    ['there are no turns, so the lay cannot be. Count again, or leave it out.']
    """
    what, again = CANNOT[doubt.code]
    text = _in_place(f"{what}. {again}", doubt.name.replace("_", " "), doubt.values)
    if doubt.fits is not None:
        text += _CROSSINGS_FIT if doubt.values.get("crossings") else _WOULD_FIT
    values = {**doubt.values, "fits": doubt.fits}
    return SentenceFormatter(units).vformat(text, (), values).split("\n")


def _in_place(text: str, reading: str, values: Mapping[str, Scalar]) -> str:
    """A text with the reading's name and the names of what was not read in it, its values not yet."""
    unread = str(values.get("unread") or "").split()
    return (
        text.replace("{reading}", reading)
        .replace("{unread}", " and ".join(_UNREAD[name] for name in unread))
        .replace("{rest}", "counts" if reading in ("length", "outside length") else "recipe")
        .replace("{with}", " and ".join(dict.fromkeys(part for name in unread for part in _READ_WITH[name])))
    )


def doubt_text(doubt: Inconsistency, units: UnitSystem = "metric") -> str:
    """What is amiss with a reading, and what would fit.

    >>> from helix.studies.inspect.made_checks import Inconsistency
    >>> from helix.values import Values
    >>> doubt_text(Inconsistency(name="lay", code="no-such-part", values=Values(count="turns")))
    'cannot be measured where there are no turns; give the turns'
    """
    values = {**doubt.values, "fits": doubt.fits}
    return SentenceFormatter(units).vformat(_template(doubt.name.replace("_", " "), doubt.code, values), (), values)


def doubt_line(doubt: Inconsistency, units: UnitSystem = "metric") -> str:
    """The reading by name, and what is amiss with it."""
    return f"{doubt.name.replace('_', ' ')}: {doubt_text(doubt, units)}"


def why(doubt: Inconsistency) -> str:
    """What is amiss, metric."""
    return doubt_text(doubt)


def _template(reading: str, code: str, values: Mapping[str, Scalar]) -> str:
    """The text of a doubt, its parts in place, its values not yet."""
    text = READING_WORDS[code]
    if values.get("fits") is not None:
        text += _CROSSINGS if values.get("crossings") else _FITS[code]
        text += ": those of one tag only" if code == "wraps-overlap" and values.get("of_two") else ""
    if code in ("too-thin", "too-thick"):
        text = text.replace("{part}", (_PARTS_OF_TWO if values.get("of_two") else _PARTS)[reading, code])
    elif code == "no-ring":
        thicker = bool(values["thicker"])
        text = text.replace("{than}", "more than" if thicker else "less than").replace(
            "{stands}", "stands out" if thicker else "has slipped into the open middle"
        )
    elif code == "fits-only-with":
        text = _in_place(text, reading, values)
    elif code == "contradicts":
        off = float(values["off"] or 0.0)
        text = text.replace(
            "{off}", f"{100.0 * abs(off):{'.2g' if abs(off) < 0.1 else '.0f'}} % {'more' if off > 0.0 else 'less'}"
        )
    return text
