"""A recipe as the page holds it: the tables of its file, as plain dicts and lists."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from helix.errors import IssuePath, ValidationError, ValidationIssue, argument_issue
from helix.model.files.toml_file import key_lines, toml_values
from helix.model.recipe.recipe import Recipe
from helix.model.recipe.recipe_reader import read_values
from helix.quantities import parse
from helix.units import MM_PER_INCH, UnitSystem

_DIGITS, _MOST_DIGITS = 5, 9
_LENGTH = re.compile(r"\s*[-+0-9./ ]+?\s*(mm|cm|m|um|in|thou|ft)\s*")


def recipe_of_tables(tables: object) -> Recipe:
    """The recipe; raises ValidationError with every fault at once, each at its table and key."""
    if not isinstance(tables, dict):
        raise ValidationError([argument_issue("recipe", "must be the tables of a recipe file, as an object")])
    nothing = list(_nothing(tables, ()))
    if nothing:  # JSON has a word for it, a recipe file has not
        paths = (IssuePath(file="recipe", table=path[:-1], key=path[-1]) for path in nothing)
        raise ValidationError([ValidationIssue(path, code="null") for path in paths])
    return read_values(tables, "recipe", {})


def _nothing(value: object, path: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """The tables and key of each null."""
    if value is None:
        yield path
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _nothing(item, (*path, str(key)))
    elif isinstance(value, list):
        for item in value:
            yield from _nothing(item, path)


def tables_of_text(text: str, place: str) -> dict[str, Any]:
    """The tables of a recipe file's text; raises ValidationError where it is no recipe."""
    values = toml_values(text, place)
    recipe = read_values(values, place, key_lines(text))
    if recipe.wire.size:
        values["wire"]["size"] = recipe.wire.size  # as the page lists it
    return values


def text_of_tables(tables: dict[str, Any]) -> str:
    """The recipe file's text, which reads back as the same tables; raises ValidationError for what is no recipe.

    >>> print(text_of_tables({"wire": {"size": "MWG 12", "material": "302 stainless"}, "eye": {"pin": "6 mm"}}), end="")
    [wire]
    size = "MWG 12"
    material = "302 stainless"
    <BLANKLINE>
    [eye]
    pin = "6 mm"
    """
    recipe_of_tables(tables)
    return "\n".join(_lines(tables, "")).strip("\n") + "\n"


def _lines(table: Mapping[str, Any], name: str) -> list[str]:
    plain = {key: value for key, value in table.items() if not isinstance(value, dict)}
    lines = [f"{key} = {_value(value)}" for key, value in plain.items()]
    if name and (lines or len(plain) == len(table)):
        lines = ["", f"[{name}]", *lines]
    for key, value in table.items():
        if isinstance(value, dict):
            lines += _lines(value, f"{name}.{key}" if name else key)
    return lines


def _value(value: object) -> str:
    """One value as TOML; JSON's text and numbers are TOML's too, but for the control character 127."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def in_units(tables: dict[str, Any], units: UnitSystem) -> dict[str, Any]:
    """The same tables with every length in mm or in inches; what is in wire diameters stays.

    >>> in_units({"eye": {"pin": "6 mm"}, "twist": {"lay_length": "4 d"}}, "inch")
    {'eye': {'pin': '0.23622 in'}, 'twist': {'lay_length': '4 d'}, 'units': 'inch'}
    """
    size, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")

    def moved(value: object) -> object:
        if isinstance(value, dict):
            return {key: moved(item) for key, item in value.items()}
        if not isinstance(value, str) or not (match := _LENGTH.fullmatch(value)) or match[1] == unit:
            return value
        try:
            return f"{_number(parse(value, 'length'), size, _digits(value))} {unit}"
        except ValueError:  # a fault of the recipe is told where the recipe is read
            return value

    kept = {key: moved(value) if isinstance(value, dict) else value for key, value in tables.items()}
    return kept | {"units": units}


def _digits(text: str) -> int:
    """Digits that count in the number of a length."""
    return len("".join(letter for letter in text if letter in "0123456789").lstrip("0"))


def _number(length_mm: float, size_mm: float, digits: int) -> str:
    """A length in units of size_mm: five digits, or as many as give the length back to its own number of digits.

    >>> _number(6.0, 25.4, 1), _number(2.545, 25.4, 4)
    ('0.23622', '0.100197')
    """
    own = min(max(digits, _DIGITS), _MOST_DIGITS)
    other = MM_PER_INCH if size_mm == 1.0 else 1.0
    for shown in range(_DIGITS, _MOST_DIGITS + 3):
        number = float(format(length_mm / size_mm, f".{shown}g"))
        if format(number * size_mm / other, f".{own}g") == format(length_mm / other, f".{own}g"):
            break
    return f"{number:.12g}"
