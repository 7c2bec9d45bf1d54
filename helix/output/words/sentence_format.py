"""How values stand in a sentence: chances, loads, lengths, numbers beside their limits."""

from __future__ import annotations

import math
import string
from typing import Any, Final

from helix.mechanics import limits
from helix.units import N_PER_LBF, UnitSystem, format_force, format_length

TESTED: Final = "wrapping test"
ASSUMED: Final = "assumed"
MARKS: Final = {"practice": limits.PRACTICE, "tested": TESTED, "assumed": ASSUMED}
"""What stands beside a limit wherever it is shown: where it is from."""


def bend_limits() -> str:
    """What a bend is judged by, each limit with its mark."""
    return (
        f"Strain over {limits.STRAIN_OK:.2f} ({TESTED}): caution; over {limits.STRAIN_CAUTION:.2f} ({ASSUMED}) or seen over "
        f"{math.degrees(limits.ANGLE_LIMIT_RAD):.0f} deg ({limits.PRACTICE}): sharp."
    )


def among(some: int, pieces: int) -> str:
    """So many of so many pieces, as the end of a clause.

    >>> among(2, 9), among(1, 1)
    ('2 of 9', 'the only piece')
    """
    return "the only piece" if pieces == 1 else f"{some} of {pieces}"


def of_all(some: int, pieces: int, *, own: bool = False) -> str:
    """So many of all pieces, as the beginning of one.

    >>> of_all(1, 1, own=True), of_all(1, 1), of_all(1, 2, own=True), of_all(2, 9)
    ('your own piece', 'the only piece', '1 of your own 2 pieces', '2 of 9 pieces')
    """
    if pieces == 1:
        return "your own piece" if own else "the only piece"
    return f"{some} of {'your own ' if own else ''}{pieces} pieces"


def odds_words(chance: float) -> str:
    """A chance as a person says it, rounded to the worse side; "-" where it is not known.

    >>> [odds_words(chance) for chance in (0.0003, 0.0118, 0.04, 0.12, 0.3, 0.51, 0.97)]
    ['under 1 in 1000', 'about 1 in 80', 'about 1 in 20', '1 in 8', '3 in 10', '1 in 2', 'nearly every one']
    """
    if math.isnan(chance):
        return "-"
    if chance < 0.001:
        return "under 1 in 1000"
    if chance > 0.15:
        tenths = round(10.0 * chance)
        return "nearly every one" if chance > 0.95 else "1 in 2" if tenths == 5 else f"{tenths} in 10"
    among = math.floor(1.0 / chance + 1e-9)
    if among < 20:
        return f"1 in {among}"
    step = 10 ** (len(str(among)) - 1)
    return f"about 1 in {among // step * step}"


def joints_words(chance: float) -> str:
    """How many of all joints: a chance that is one joint's.

    >>> joints_words(0.0118), joints_words(0.97), joints_words(math.nan)
    ('about 1 in 80 joints', 'nearly every joint', 'of how many joints is not known')
    """
    if math.isnan(chance):
        return "of how many joints is not known"
    return "nearly every joint" if (odds := odds_words(chance)) == "nearly every one" else f"{odds} joints"


def chance_words(chance: float) -> str:
    """A chance for people.

    >>> [chance_words(c) for c in (0.0, 0.0003, 0.012, 0.482, 0.9999, 1.0)]
    ['under 1 in 1000', 'under 1 in 1000', '1.2 %', '48 %', 'over 99.9 %', 'over 99.9 %']
    """
    if math.isnan(chance):
        return "-"
    if chance < 0.001:
        return "under 1 in 1000"
    if chance > 0.999:
        return "over 99.9 %"
    return f"{100.0 * chance:.1f} %" if chance < 0.1 or chance > 0.95 else f"{100.0 * chance:.0f} %"


class SentenceFormatter(string.Formatter):
    """Puts values into a text. Formats beside Python's own: "length" and "force" with their unit; "load", whole from 10 on,
    and "change" of a load, with its sign; "percent" of a proportion; "chance"; "joints", how many of them; "code", its
    hyphens as spaces; "over:NAME" and "under:NAME", so many
    decimals that it shows beyond that limit; "choose:A|B", by truth."""

    def __init__(self, units: UnitSystem) -> None:
        self._units, self._all = units, dict[str, Any]()

    def vformat(self, text: str, args: Any, values: Any) -> str:
        self._all = values
        return super().vformat(text, args, values)

    def format_field(self, value: Any, spec: str) -> str:
        kind, _, rest = spec.partition(":")
        match kind:
            case "length":
                return format_length(value, self._units)
            case "chance":
                return chance_words(value)
            case "joints":
                return joints_words(value)
            case "force":
                return format_force(value, self._units)
            case "load" | "change":
                number = load_number(value, self._units, "+" if kind == "change" else "")
                return f"{number} {'lbf' if self._units == 'inch' else 'N'}"
            case "percent":
                return f"{100.0 * value:.0f} %"
            case "choose":
                return rest.split("|")[0 if value else 1]
            case "code":
                return str(value).replace("-", " ")
            case "over" | "under":
                return beyond(value, kind, self._all[rest])
        return str(super().format_field(value, spec))


def load_number(newton: float, units: UnitSystem, sign: str = "") -> str:
    """A load without its unit, whole from 10 on; sign "+": with its sign.

    >>> load_number(-33.6, "metric", "+"), load_number(40.0, "inch")
    ('-34', '9.0')
    """
    value = newton / N_PER_LBF if units == "inch" else newton
    return f"{value:{sign}.{1 if 0.0 < abs(value) < 9.95 else 0}f}"


def beyond(value: Any, kind: str, limit: Any) -> str:
    """A number with as many decimals as show that it is over or under its limit."""
    texts = (f"{value:.{digits}f}" for digits in range(0 if limit > 10.0 else 2, 9))
    return next((text for text in texts if (float(text) > limit) is (kind == "over")), f"{value:.9g}")
