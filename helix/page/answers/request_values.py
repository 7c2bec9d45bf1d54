"""What a request to a pane asks: recipes, units, files and options, each checked on its way in, all faults at once."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import Any, TypeVar, cast

from helix.errors import ValidationError, ValidationIssue, quoted
from helix.model.recipe.recipe_parts import Recipe
from helix.page.answers.recipe_tables import recipe_of_tables
from helix.units import UnitSystem

MOST_TEXT = 200
"""Letters in an option."""
MOST_ENTRIES = 20
MOST_FILES = 200
MOST_FILE_LETTERS = 4_000_000
Made = TypeVar("Made")


class Asked:
    """The body of a request. Each look at it adds its faults to `faults`; `sound` raises them all."""

    def __init__(self, body: dict[str, Any]) -> None:
        self.body = body
        self.faults: list[ValidationIssue | None] = []

    def tried(self, make: Callable[[], Made]) -> Made | None:
        """What `make` gives; None with its faults added to the others."""
        try:
            return make()
        except ValidationError as found:
            self.faults.extend(found.faults)
            return None

    def sound(self, made: Made | None) -> Made:
        """What was made, if nothing is wrong with it or with the rest; raises every fault at once otherwise."""
        told = [fault for fault in self.faults if fault is not None]
        if made is None or told:
            raise ValidationError(told)
        return made

    def recipe(self) -> Recipe | None:
        """The recipe; None where it has faults."""
        return self.tried(lambda: recipe_of_tables(self.body.get("recipe")))

    def units(self) -> UnitSystem:
        """The unit system asked for."""
        units = self.body.get("units", "metric")
        if units not in ("metric", "inch"):
            self.faults.append(ValidationIssue("units", f'must be "metric" or "inch"; got {quoted(units)}'))
            return "metric"
        return cast(UnitSystem, units)

    def options(self, texts: Sequence[str], ticks: Sequence[str] = (), lists: Sequence[str] = ()) -> argparse.Namespace:
        """Options by their names on the command line, with underscores: texts (None where left out), ticks, lists."""
        found: dict[str, Any] = {}
        for name in texts:
            found[name] = self._text(name, self.body.get(name))
        for name in ticks:
            value = self.body.get(name, False)
            if value is not None and not isinstance(value, bool):
                self.faults.append(ValidationIssue(_option(name), f"must be true or false; got {quoted(value)}"))
            found[name] = value is True
        for name in lists:
            values = self.body.get(name) or []
            if not isinstance(values, list) or len(values) > MOST_ENTRIES:
                self.faults.append(ValidationIssue(_option(name), f"must be a list of at most {MOST_ENTRIES} texts"))
                values = []
            found[name] = [text for value in values if (text := self._text(name, value)) is not None]
        return argparse.Namespace(**found)

    def texts_of(self, key: str, names: Sequence[str]) -> dict[str, str | None]:
        """Texts by name from an object inside the body; names that are not known are a fault."""
        values = self.body.get(key) or {}
        if not isinstance(values, dict):
            self.faults.append(ValidationIssue(key, "must be an object of texts"))
            return dict.fromkeys(names)
        for name in values:
            if name not in names:
                self.faults.append(ValidationIssue(key, f"must be among {', '.join(names)}; got {quoted(name)}"))
        return {name: self._text(name, values.get(name)) for name in names}

    def word(self, name: str, words: Sequence[str], usual: str) -> str:
        """One of a few words."""
        value = self.body.get(name)
        if value is None or value == "":
            return usual
        if not isinstance(value, str) or value not in words:
            self.faults.append(ValidationIssue(_option(name), f"must be {' or '.join(words)}; got {quoted(value)}"))
            return usual
        return value

    def long_text(self, key: str, what: str) -> str:
        """A whole file's text, which stands in the body."""
        value = self.body.get(key)
        if not isinstance(value, str) or not value.strip():
            self.faults.append(ValidationIssue(key, f"must be the text of {what}"))
            return ""
        if len(value) > MOST_FILE_LETTERS:
            self.faults.append(ValidationIssue(key, f"must be at most {MOST_FILE_LETTERS // 1_000_000} MB"))
            return ""
        return value

    def recipes(self) -> dict[str, dict[str, Any]]:
        """Tables of the recipes that a file may name, by the name of their file."""
        values = self.body.get("recipes") or {}
        if not isinstance(values, dict) or not all(isinstance(each, dict) for each in values.values()):
            self.faults.append(ValidationIssue("recipes", "must be tables of recipe files, by the names of the files"))
            return {}
        if len(values) > MOST_ENTRIES:
            self.faults.append(ValidationIssue("recipes", f"must be at most {MOST_ENTRIES}; got {len(values)}"))
            return {}
        return values

    def files(self) -> list[tuple[str, str]]:
        """Files that the browser has read: their names and their texts."""
        values = self.body.get("files")
        if not isinstance(values, list) or not values:
            self.faults.append(ValidationIssue("files", "must be a list of at least one file"))
            return []
        if len(values) > MOST_FILES:
            self.faults.append(ValidationIssue("files", f"must be at most {MOST_FILES}; got {len(values)}"))
            return []
        found = []
        for number, each in enumerate(values, 1):
            name, text = (each.get("name"), each.get("text")) if isinstance(each, dict) else (None, None)
            if not isinstance(name, str) or not isinstance(text, str) or not name or len(name) > MOST_TEXT:
                self.faults.append(ValidationIssue(f"file {number}", "must have a name and a text"))
            elif len(text) > MOST_FILE_LETTERS:
                most = MOST_FILE_LETTERS // 1_000_000
                self.faults.append(ValidationIssue(quoted(name), f"must be at most {most} MB"))
            else:
                found.append((name, text))
        return found

    def _text(self, name: str, value: object) -> str | None:
        if value is None or value == "":
            return None
        if not isinstance(value, str) or len(value) > MOST_TEXT:
            got = f"at most {MOST_TEXT} letters" if isinstance(value, str) else "written as text"
            self.faults.append(ValidationIssue(_option(name), f"must be {got}; got {quoted(value)}"))
            return None
        return value.strip() or None


def _option(name: str) -> str:
    return f"--{name.replace('_', '-')}"
