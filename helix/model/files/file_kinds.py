"""The kinds of files that helix reads: what each needs, how to come by one, and which kind a text is of."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from helix.model.recipe.recipe_keys import TABLES, bare_numbers
from helix.units import UnitSystem

_MOST_LOOKED_AT: Final = 100_000  # characters
_MOST_POINTS: Final = 200  # in a line, as of a recipe


@dataclass(frozen=True)
class Kind:
    """What a file is to be: its name in messages, what it needs at least, how to come by one, and the keys that are
    bare numbers in all of its tables, each with one that would do.

    marks: tables that such files have, or keys where they have no tables; named: what one is called that stands in the
    place of another kind ("" as `name`).
    """

    name: str
    needs: str
    start: str
    bare: Mapping[str, str] = field(default_factory=dict)
    marks: frozenset[str] = frozenset()
    named: str = ""


RECIPE: Final = Kind(
    "recipe",
    'a recipe needs at least [wire] and [eye]; "helix new FILE" writes one to start from',
    '"helix new FILE" writes a recipe to start from',
    bare_numbers(),
    frozenset(TABLES) - {"wire"},
)
PLAN: Final = Kind(
    "plan",
    'a plan needs at least one [wire.NAME], one [[piece]] and one [[stock]]; "helix cut --template" writes one',
    '"helix cut --template" writes a plan to start from',
    marks=frozenset({"piece", "stock", "end", "cutting"}),
    named="plan of pieces to cut",
)
MAPPING: Final = Kind(
    "mapping",
    'a mapping needs [load] and [extension]; "helix pulls template --mapping FILE" writes one',
    '"helix pulls template --mapping FILE" writes one to start from',
    marks=frozenset({"load", "extension"}),
    named="mapping of curves",
)
READINGS: Final = Kind(
    "file of readings",
    'readings need at least a count or a length; "helix inspect --template" writes a file to fill in',
    '"helix inspect --template" writes one to fill in',
    marks=frozenset({"turns", "wraps", "crossings", "twist_length", "twist_diameter", "barrel_length"}),
)
PULLS: Final = Kind(
    "table of pull tests",
    'pull tests need a heading and a row for each piece; "helix pulls template FILE" writes one',
    '"helix pulls template FILE" writes one to fill in',
    marks=frozenset({"id", "group", "load", "unit", "failure"}),
)


def other_kind(text: str, wanted: Kind, values: Mapping[str, Any] | None = None) -> Kind | None:
    r"""Return the kind that a text is of, where that is plainly another than is wanted; values: what it holds as TOML, none
    where it is no TOML, None where nobody has looked.

    >>> other_kind('[[piece]]\ncount = 3\n', RECIPE).name
    'plan'
    >>> other_kind("id,group,load,unit,failure\n", PLAN, {}).name
    'table of pull tests'
    >>> other_kind('[wire]\nsize = "MWG 12"\n', PLAN) is None
    True
    """
    kinds = _kinds_of(text.removeprefix("\ufeff"), values)
    return None if wanted in kinds else next(iter(kinds), None)


def _kinds_of(text: str, values: Mapping[str, Any] | None) -> tuple[Kind, ...]:
    if values:
        return _kinds_of_values(values)
    lines = (line.strip() for line in text[:_MOST_LOOKED_AT].splitlines())
    first = next((line for line in lines if line and not line.startswith("#")), "")
    if re.match(r"""\[|["'\w.-]+\s*=""", first):
        return _kinds_of_values(_toml(text)) if values is None else ()
    names = {cell.strip().lower() for cell in re.split(r"[,;\t|]", first)}
    return (PULLS,) if len(PULLS.marks & names) >= 2 else ()


def _toml(text: str) -> dict[str, Any]:
    """What a text holds as TOML; nothing where it holds none, or too much to be one of these files."""
    if len(text) > _MOST_LOOKED_AT or any(line.count(".") > _MOST_POINTS for line in text.split("\n")):
        return {}
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        return {}


def _kinds_of_values(values: Mapping[str, Any]) -> tuple[Kind, ...]:
    tables = {name for name, value in values.items() if isinstance(value, dict | list)}
    if tables:
        return tuple(kind for kind in (PLAN, RECIPE, MAPPING) if kind.marks & tables)
    return (READINGS,) if READINGS.marks & set(values) else ()


def template_in(text: str, inches: Mapping[str, str], units: UnitSystem) -> str:
    """A file to start from, in the units asked for. inches: what stands in inches in place of what."""
    for metric, inch in inches.items() if units == "inch" else ():
        text = text.replace(metric, inch)
    return text
