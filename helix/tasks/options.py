"""Options of a task, each told once: what it is called, how its text becomes a value, its range, default and words.

A command line and a page are built from them. A kind's `read` takes what was given (text; of a file, what was opened; of
an option that may be repeated, all of it) and the recipe, for lengths in wire diameters; it raises ValueError, each of
whose arguments is the message of one fault.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from helix.errors import quoted
from helix.model.files import file_kinds
from helix.quantities import Dimension, parse
from helix.units import RAD_PER_DEG

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe

Reader = Callable[[Any, "Recipe | None"], Any]
_UNITS: Final = {"force": " N", "length": " mm", "angle": " deg"}
_LETTERS: Final = {"force": "FORCE", "length": "LENGTH", "angle": "ANGLE"}


@dataclass(frozen=True)
class Kind:
    """What an option takes.

    name: "text", "choice", "tick", or of a file that is opened first: "recipe", "recipes", "plan", "readings", "pulls", "mapping",
    "slip tests". letters: what stands for the value in a usage line. words: of a choice, each with its meaning; other_words: taken for one of them. dimension: of a
    quantity.
    """

    name: str
    read: Reader
    letters: str = "TEXT"
    words: Mapping[str, str] = field(default_factory=dict)
    other_words: Mapping[str, str] = field(default_factory=dict)
    dimension: Dimension = "none"


def as_given(value: Any, recipe: Recipe | None) -> Any:
    """Read what needs no reading."""
    return value


TEXT: Final = Kind("text", as_given)
TICK: Final = Kind("tick", as_given)
RECIPE_FILE: Final = Kind("recipe", as_given, "RECIPE")
RECIPE_FILES: Final = Kind("recipes", as_given, "RECIPE")
PLAN_FILE: Final = Kind("plan", as_given, "PLAN")
READINGS_FILE: Final = Kind("readings", as_given, "READINGS.toml")
PULLS_FILE: Final = Kind("pulls", as_given, "FILE.csv")
MAPPING_FILE: Final = Kind("mapping", as_given, "MAPPING.toml")


@dataclass(frozen=True)
class Option:
    """One thing that may be given with a task.

    default: the text taken where none is given; usual: what is done then, in words, where there is no such text.
    many: may be repeated. place: stands on the command line without a name; "one", "optional", "any" or "some" of them.
    label: of the page's field ("" for none), for which `example` is shown while it is empty.
    """

    key: str
    help: str
    kind: Kind = TEXT
    default: str | None = None
    usual: str = ""
    required: bool = False
    many: bool = False
    place: str = ""
    letters: str = ""
    label: str = ""
    example: str = ""
    start: str = ""

    def value(self, given: Any, recipe: Recipe | None) -> Any:
        """What the option is worth; raises ValueError with a message for each thing that is wrong."""
        if given is None or given == []:
            if self.required:
                start = f"; {self.start}" if self.start else ""
                raise ValueError(f"must be given, such as {quoted(self.example)}{start}")
            given = self.default
        if self.kind is TICK:
            return given is True
        if given is None:
            return () if self.many else None
        return self.kind.read(given, recipe)

    @property
    def otherwise(self) -> str:
        """What is taken where nothing is given, as people read it."""
        if self.default is None:
            return self.usual
        return f'"{self.default}"' if " " in self.default else self.default

    def record(self) -> dict[str, Any]:
        """The page's field: name, label, help, kind, hint and, of a choice, its words."""
        kind = {"tick": "check", "choice": "select"}.get(self.kind.name, "text")
        words = [[word, meaning] for word, meaning in self.kind.words.items()]
        hint = self.usual or self.default or self.example
        text = self.help[:1].upper() + self.help[1:] + "."
        return {"name": self.key, "label": self.label, "help": text, "kind": kind, "hint": hint, "options": words,
                "dimension": self.kind.dimension}  # fmt: skip


# ------------------------------------------------------------------ kinds


def choice(*plain: str, **words: str) -> Kind:
    """One of a few words; those with a meaning are read on the page by name, and are taken by it too."""
    every = {word: word for word in plain} | words

    by_name = {name: word for word, name in words.items()} | {word: word for word in every}

    def read(text: str, recipe: Recipe | None) -> str:
        word = by_name.get(text)
        if word is None:
            raise ValueError(f"must be {' or '.join(every)}; got {quoted(text)}")
        return word

    return Kind("choice", read, words=every)


def quantity(
    dimension: Dimension,
    *,
    least: float = 0.0,
    most: float = math.inf,
    most_d: float = math.inf,
    of_wire: bool = False,
    zero: bool = False,
) -> Kind:
    """A quantity above 0, or from `least` up, in mm, N, deg or bare; of_wire: wire diameters are a unit of length too; zero: 0
    will do."""

    def read(text: str, recipe: Recipe | None) -> float:
        d_mm = recipe.wire.diameter_mm if recipe else 1.0
        value = parse(text, dimension, d_mm if of_wire else None)
        value /= RAD_PER_DEG if dimension == "angle" else 1.0
        top = min(most, most_d * d_mm)
        if not least <= value <= top or (value == 0.0 and not zero):
            low = f"at least {least:g}" if least else "0 or more" if zero else "above 0"
            high = "" if top == math.inf else f" and at most {top:.4g}{_UNITS.get(dimension, '')}"
            raise ValueError(f"must be {low}{high}; got {quoted(text)}")
        return value

    return Kind("text", read, _LETTERS.get(dimension, "N"), dimension=dimension)


def finite(text: str) -> float | None:
    """A finite number; None where the text is none.

    >>> finite("0.5"), finite("nan"), finite("half")
    (0.5, None, None)
    """
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def number(least: float, most: float) -> Kind:
    """A bare number within limits."""

    def read(text: str, recipe: Recipe | None) -> float:
        value = finite(text)
        if value is None or not least <= value <= most:
            raise ValueError(f"must be a number from {least:g} to {most:g}; got {quoted(text)}")
        return value

    return Kind("text", read, "N")


def proportion(most: float, example: str) -> Kind:
    """A bare number above 0 and at most `most`."""

    def read(text: str, recipe: Recipe | None) -> float:
        value = finite(text)
        if value is None or not 0.0 < value <= most:
            raise ValueError(f"must be a share above 0 and at most {most:g}, such as {example}; got {quoted(text)}")
        return value

    return Kind("text", read, "SHARE")


def whole(least: int, most: int) -> Kind:
    """A whole number within limits."""

    def read(text: str, recipe: Recipe | None) -> int:
        plain = text.strip()
        if not (plain.isascii() and plain.isdigit() and len(plain) < 20 and least <= int(plain) <= most):
            raise ValueError(f"must be a whole number from {least} to {most:,}; got {quoted(text)}")
        return int(plain)

    return Kind("text", read, "N")


def numbers(low: float, high: float, count: int = 0) -> Kind:
    """Numbers set apart by commas: so many, or any number of different ones."""

    def read(text: str, recipe: Recipe | None) -> tuple[float, ...]:
        values = [finite(part) for part in text.split(",")]
        good = [value for value in values if value is not None and low <= value <= high]
        if len(good) < len(values) or (count and len(good) != count):
            many = f"{count} numbers" if count else "numbers"
            raise ValueError(f"must be {many} from {low:g} to {high:g}, set apart by commas; got {quoted(text)}")
        return tuple(good if count else dict.fromkeys(good))

    return Kind("text", read, "NUMBERS")


def names(most: int = 20) -> Kind:
    """Different names set apart by commas."""

    def read(text: str, recipe: Recipe | None) -> tuple[str, ...]:
        parts = tuple(part.strip() for part in text.split(","))
        if not all(parts) or len(set(parts)) < len(parts) or len(parts) > most:
            raise ValueError(f"must be 1 to {most} different names set apart by commas; got {quoted(text)}")
        return parts

    return Kind("text", read, "NAMES")


def each_of(read: Callable[[str], Any], letters: str) -> Kind:
    """What is given more than once; every one that is wrong is told."""

    def read_all(texts: Sequence[str], recipe: Recipe | None) -> tuple[Any, ...]:
        values: list[Any] = []
        messages: list[str] = []
        for text in texts:
            try:
                values.append(read(text))
            except ValueError as error:
                messages += error.args
        if messages:
            raise ValueError(*messages)
        return tuple(values)

    return Kind("text", read_all, letters)


# ------------------------------------------------------------------ options that many tasks have

RECIPE: Final = Option(
    "recipe",
    "recipe file (TOML); helix new writes one",
    RECIPE_FILE,
    place="one",
    required=True,
    example="joint.toml",
    start=file_kinds.RECIPE.start,
)
PAPER: Final = Option("paper", "size of the paper", choice(a4="A4", a3="A3", letter="Letter"), "a4", label="Paper")


_SYSTEMS: Final = choice("metric", "inch")
_OTHER_SYSTEMS: Final = {"in": "inch", "inches": "inch", "mm": "metric"}
UNIT_SYSTEM: Final = Kind(
    "choice",
    lambda text, recipe: _SYSTEMS.read(_OTHER_SYSTEMS.get(text, text), recipe),
    words=_SYSTEMS.words,
    other_words=_OTHER_SYSTEMS,
)


def is_inch(text: object) -> bool:
    """Whether a quantity was typed in inches, feet or pounds.

    >>> is_inch("90 lb"), is_inch("1/4 in"), is_inch("400 N"), is_inch("5 min")
    (True, True, False, False)
    """
    return isinstance(text, str) and bool(re.search(r"[0-9.\s](?:lbf|lbs?|in|inch|inches|ft)\s*$", text))


def units(what: str = "sizes", default: str | None = None, otherwise: str = "as the recipe says") -> Option:
    """The unit system of what people read; the recipe's own, or what `otherwise` says, where there is no default."""
    usual = "" if default else otherwise
    return Option("units", f"what to show {what} in", UNIT_SYSTEM, default=default, usual=usual)
