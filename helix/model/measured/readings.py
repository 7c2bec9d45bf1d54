"""Readings of a joint that was made: text with a unit and its uncertainty, checked, all faults at once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from helix.errors import IssuePath, ValidationError, ValidationIssue, error_issue, quoted
from helix.model.recipe.recipe_keys import LONGEST_TWIST_D, MOST_WRAPS_OF_TWO
from helix.model.recipe.recipe_parts import Recipe
from helix.quantities import parse
from helix.units import RAD_PER_DEG
from helix.values import Values, keyed, result

COUNTS: Final = ("turns", "crossings", "wraps")
LENGTHS: Final[dict[str, str]] = {
    "wire": "diameter of the wire",
    "lay": "length of one turn of the twist",
    "twist_length": "from the first crossing of the legs, at the eye, to the last",
    "twist_diameter": "across the twist",
    "barrel_length": "over the wraps, both faces included",
    "barrel_diameter": "across the barrel, of two wires where it is widest",
    "eye": "inside width of the eye, across",
    "eye_length": "inside length of the eye, seen along the pin",
    "length": "from the inside of the eye's bight to the far face of the last wrap",
    "outside_length": "from the outside of the eye's end to the far face of the last wrap, as a rule reads it",
}
ANGLES: Final[dict[str, str]] = {
    "first_bend": "angle between the two eye legs at the throat, seen along the pin",
    "exit": "largest angle between the tag and the standing leg, where the tag leaves the twist",
}
BY_EYE: Final[dict[str, tuple[float, str]]] = {
    "even": (1.0, "both legs twist alike"),
    "nearly-even": (0.85, "one leg is a little straighter than the other"),
    "uneven": (0.6, "one leg is plainly straighter than the other"),
    "one-straight": (0.1, "one leg runs straight, the other winds round it"),
}
"""Evenness by eye: the evenness that each word stands for (an assumption), and what is seen."""
COUNTED_TO: Final[dict[str, str]] = {
    "twist": "even turns to the last crossing, and touching wraps",
    "tag": "turns to where the tag leaves the twist, and wraps from there",
}
ACROSS: Final = ("wire", "twist_diameter", "barrel_diameter", "eye")
CALIPER_MM: Final = 0.02
"""Standard deviation of a caliper across a wire, twist or barrel (an assumption: the usual resolution twice)."""
BY_EYE_D: Final = 0.15
"""The same along the joint, in wire diameters: where a part begins is judged by eye (an assumption)."""
RULE_MM: Final = 0.25
"""The same of a length that a rule reads to half a millimetre (an assumption)."""
BY_EYE_DEG: Final = 3.0
"""The same of an angle that is seen (an assumption)."""
BY_EYE_EVENNESS: Final = 0.05
"""The same of an evenness that is told in a word (an assumption)."""
_LEAST_SD_MM: Final = 1e-6  # no caliper tells less than a millionth of a millimetre
_MOST_EYE_D: Final = 1000.0
MOST_TURNS: Final = 1000.0
_PLUS_MINUS = re.compile(r"\+\s*/?\s*-|\u00b1")
_LARGEST_MM: Final = 1e5
_LARGEST_D: Final = {"eye": 1000.0}
"""What a recipe can be: round the largest pin, else along the longest twist [d]."""


@result
class Reading:
    """One reading in mm, turns or, of an angle, deg; its standard deviation, and whether that was stated."""

    name: str = keyed("reading")
    value: float
    sd: float
    stated: bool

    @property
    def words(self) -> str:
        """The reading as people call it."""
        return self.name.replace("_", " ")


def read_readings(texts: Mapping[str, str | None], recipe: Recipe, caliper: str | None = None) -> dict[str, Reading]:
    """Readings by name from their texts (None: not read); `caliper`: standard deviation of those across.

    Lengths and angles are text with a unit, "11.6 mm" or "95 deg +- 2 deg"; counts are bare, "5" or "5 +- 0.1", and
    exact unless they say so. Crossings become turns; evenness is a word of `BY_EYE`. Raises ValidationError with every fault at once.
    """
    faults: list[ValidationIssue] = []
    d_mm = recipe.wire.diameter_mm
    across = CALIPER_MM
    if caliper is not None:
        across = _deviation("caliper", caliper, d_mm, faults) or across
    readings: dict[str, Reading] = {}
    for name, text in texts.items():
        if text is None:
            continue
        if name in COUNTS:
            reading = _count(name, text, faults)
        elif name in ANGLES:
            reading = _angle(name, text, faults)
        elif name == "evenness":
            reading = _word(text, faults)
        else:
            reading = _measured(name, text, d_mm, across, faults)
        if reading is not None:
            readings[name] = reading
    if "turns" in readings and "crossings" in readings:
        faults.append(_issue("crossings", "conflict", other="turns", instead="give one of the two"))
    if "evenness" in readings and "twist_diameter" in readings:
        faults.append(
            _issue("evenness", "conflict", other="twist diameter, which tells it", instead="give one of the two")
        )
    if recipe.wire.count > 1:
        faults += _not_for_two(readings)
    crossings = readings.pop("crossings", None)
    if crossings is not None:
        readings.setdefault(
            "turns", Reading(name="turns", value=crossings.value / 2.0, sd=crossings.sd / 2.0, stated=crossings.stated)
        )
    if not faults and not readings:
        known = ", ".join(name.replace("_", " ") for name in (*COUNTS, *LENGTHS, *ANGLES, "evenness"))
        faults.append(_issue("readings", "no-reading", known=known))
    if faults:
        raise ValidationError(faults)
    return readings


def _not_for_two(readings: Mapping[str, Reading]) -> list[ValidationIssue]:
    """Readings that say nothing of two wires worked as one."""
    wanted = {"evenness": "left out"} if "evenness" in readings else {}
    wanted |= {name: "more than 0" for name in ("turns", "crossings") if name in readings and not readings[name].value}
    if "wraps" in readings and readings["wraps"].value > MOST_WRAPS_OF_TWO:
        wanted["wraps"] = f"at most {MOST_WRAPS_OF_TWO:g}"
    return [_issue(name, "not-for-two", wanted=words) for name, words in wanted.items()]


def _measured(name: str, text: str, d_mm: float, across: float, faults: list[ValidationIssue]) -> Reading | None:
    value_text, sd_text = _split(text)
    value = _length(name, value_text, d_mm, faults)
    sd = None if sd_text is None else _deviation(name, sd_text, d_mm, faults)
    if value is None or (sd_text is not None and sd is None):
        return None
    if name in ("eye", "eye_length") and value > _MOST_EYE_D * d_mm:
        faults.append(
            _issue(
                name, "out-of-range", wanted=f"at most {_MOST_EYE_D:g} d, {_MOST_EYE_D * d_mm:.4g} mm", got=quoted(text)
            )
        )
        return None
    if sd is None:
        own = across if name in ACROSS else max(BY_EYE_D * d_mm, across, RULE_MM if name == "outside_length" else 0.0)
        return Reading(name=name, value=value, sd=own, stated=False)
    if sd >= value:
        faults.append(_issue(name, "out-of-range", wanted="larger than its uncertainty", got=quoted(text)))
        return None
    return Reading(name=name, value=value, sd=sd, stated=True)


def _angle(name: str, text: str, faults: list[ValidationIssue]) -> Reading | None:
    value_text, sd_text = _split(text)
    try:
        value = parse(value_text, "angle") / RAD_PER_DEG
        sd = BY_EYE_DEG if sd_text is None else parse(sd_text, "angle") / RAD_PER_DEG
    except ValueError as error:
        faults.append(error_issue(IssuePath(key=name), error))
        return None
    if not 0.0 < value < 180.0:
        faults.append(_issue(name, "out-of-range", wanted="above 0 deg and below 180 deg", got=quoted(text)))
        return None
    if not 0.0 < sd <= 45.0:
        faults.append(
            _issue(name, "out-of-range", wanted="above 0 deg and at most 45 deg in its uncertainty", got=quoted(text))
        )
        return None
    return Reading(name=name, value=value, sd=sd, stated=sd_text is not None)


def _word(text: str, faults: list[ValidationIssue]) -> Reading | None:
    word = "-".join(text.strip().lower().split())
    if word not in BY_EYE:
        words = ", ".join(f"{known} ({seen})" for known, (_, seen) in BY_EYE.items())
        faults.append(_issue("evenness", "out-of-range", wanted=f"one of {words}", got=quoted(text)))
        return None
    return Reading(name="evenness", value=BY_EYE[word][0], sd=BY_EYE_EVENNESS, stated=False)


def _deviation(name: str, text: str, d_mm: float, faults: list[ValidationIssue]) -> float | None:
    """A standard deviation of a length [mm]."""
    sd = _length(name, text, d_mm, faults)
    if sd is not None and sd < _LEAST_SD_MM:
        faults.append(_issue(name, "out-of-range", wanted="0.000001 mm or more in its uncertainty", got=quoted(text)))
        return None
    return sd


def _count(name: str, text: str, faults: list[ValidationIssue]) -> Reading | None:
    value_text, sd_text = _split(text)
    numbers = []
    for part in (value_text, sd_text):
        if part is None:
            continue
        try:
            numbers.append(parse(part, "none"))
        except ValueError as error:
            faults.append(error_issue(IssuePath(key=name), error))
            return None
    value, sd = numbers[0], numbers[1] if len(numbers) > 1 else 0.0
    most = 2.0 * MOST_TURNS if name == "crossings" else MOST_TURNS
    if not 0.0 <= value <= most or not 0.0 <= sd <= max(0.5 * value, 0.0):
        limit = f"from 0 to {most:g}, and its uncertainty at most half of it"
        faults.append(_issue(name, "out-of-range", wanted=limit, got=quoted(text)))
        return None
    return Reading(name=name, value=value, sd=sd, stated=sd_text is not None)


def _split(text: str) -> tuple[str, str | None]:
    parts = _PLUS_MINUS.split(text, maxsplit=1)
    return parts[0].strip(), parts[1].strip() if len(parts) > 1 else None


def _length(name: str, text: str, d_mm: float, faults: list[ValidationIssue]) -> float | None:
    try:
        value = parse(text, "length", d_mm)
    except ValueError as error:
        faults.append(error_issue(IssuePath(key=name), error))
        return None
    most_d = _LARGEST_D.get(name, LONGEST_TWIST_D)
    if not 0.0 < value <= min(_LARGEST_MM, most_d * d_mm):
        most = "100 m" if most_d * d_mm > _LARGEST_MM else f"{most_d:g} d"
        faults.append(_issue(name, "out-of-range", wanted=f"above 0 and at most {most}", got=quoted(text)))
        return None
    return value


def _issue(name: str, code: str, **values: str) -> ValidationIssue:
    return ValidationIssue(IssuePath(key=name), code=code, values=Values(**values))
