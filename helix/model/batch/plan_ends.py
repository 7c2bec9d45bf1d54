"""The ends of a plan's pieces: recipes from their own files, made in the piece's wire round the plan's pin."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from helix.errors import ValidationError, ValidationIssue, quoted
from helix.model.batch.plan_keys import END, KEYS
from helix.model.batch.plan_parts import End
from helix.model.files.file_table import Faults, Table, kind
from helix.model.files.toml_file import key_lines, recipe_text, toml_values
from helix.model.joint.wire import Wire
from helix.model.measured.opened_files import opened
from helix.model.recipe.recipe_keys import key_of
from helix.model.recipe.recipe_reader import read_values
from helix.model.recipe.recipe_writing import wire_values
from helix.units import format_length

PLAIN: Final = "plain"
_RECIPE, _PIN = END


class Ends:
    """The [end.NAME] tables of a plan, read on the wire of each piece that asks for one.

    ``folder`` holds the recipes, or is their tables by name. ``found``: faults of the recipes' own files;
    ``notes``: remarks. Faults of the plan go to its own.
    """

    def __init__(self, faults: Faults, values: object, folder: Path | Mapping[str, Mapping[str, Any]]) -> None:
        self.faults = faults
        self.folder = folder
        self.issues: list[ValidationIssue] = []
        self.notes: list[str] = []
        self.asked: set[str] = set()
        self.tables: dict[str, Table] = {}
        self.texts: dict[str, tuple[str, dict[str, Any]] | None] = {}
        self.made: dict[tuple[str, Wire], End | None] = {}
        if values is not None and not isinstance(values, dict):
            faults.add(("end",), "wrong-type", wanted="tables, [end.NAME] each", got=kind(values), hint="")
            values = None
        for name, own in (values or {}).items():
            table = Table(faults, ("end", name), own, None)
            table.known_keys(KEYS["end"], {})
            self.tables[name] = table
            if name == PLAIN:
                table.fault("", "reserved-name", name=quoted(PLAIN))

    def on(self, piece: Table, name: str, wire: Wire | None) -> End | None:
        """The end of that name on that wire; None where it has a fault, which is noted."""
        if name == PLAIN:
            return End(PLAIN, None)
        self.asked.add(name)
        table = self.tables.get(name)
        if table is None:
            known = ", ".join(quoted(other, 30) for other in (*self.tables, PLAIN))
            piece.fault("ends", "not-a-choice", wanted=f"among {known}", got=quoted(name), hint="")
            return None
        read = self._text(name, table)
        if read is None or wire is None:
            return None
        if (name, wire) not in self.made:
            self.made[name, wire] = self._made(name, table, wire, *read)
        return self.made[name, wire]

    def unused(self) -> None:
        """Note the ends that no piece has."""
        for name in self.tables:
            if name not in self.asked and name != PLAIN:
                self.notes.append(f"No piece has the end {quoted(name)}.")

    def _text(self, name: str, table: Table) -> tuple[str, dict[str, Any]] | None:
        """The recipe's text and values, read once."""
        if name in self.texts:
            return self.texts[name]
        self.texts[name] = None
        if not table.usable:
            return None
        path = table.value(_RECIPE)
        if path is None:
            if "recipe" not in table and "pin" in table:
                self.notes.append(f"End {quoted(name)} names no recipe: {_usual_counts()}.")
                self.texts[name] = ("", {})
            elif "recipe" not in table:
                table.fault(
                    "recipe", "missing", give=f'{_RECIPE.name} = "{_RECIPE.example}", or a pin for the usual joint'
                )
            return self.texts[name]
        try:
            if isinstance(self.folder, Mapping):
                self.texts[name] = ("", dict(opened(self.folder, path)))
                return self.texts[name]
            text = recipe_text(self.folder / path)
        except ValidationError as problem:
            for fault in problem.faults:
                table.put("recipe", fault.code, fault.values, str(fault))
            return None
        try:
            self.texts[name] = (text, toml_values(text, self._place(path)))
        except ValidationError as problem:
            self.issues += problem.faults
        return self.texts[name]

    def _place(self, path: str) -> str:
        return path if isinstance(self.folder, Mapping) else str(self.folder / path)

    def _made(self, name: str, table: Table, wire: Wire, text: str, values: dict[str, Any]) -> End | None:
        """The recipe with the plan's wire and pin in place of its own."""
        pin = Table(self.faults, table.path, table.values, wire.diameter_mm)
        pin_mm = pin.value(_PIN)
        if not pin.good("pin"):
            return None
        own = copy.deepcopy(values)
        path = table.values.get("recipe")
        place = f"{self.faults.place}: [end.{name}]" if path is None else self._place(path)
        stated = values["wire"].get("count") if isinstance(values.get("wire"), dict) else None
        own["wire"] = wire_values(wire) | ({} if stated is None else {"count": stated})
        if pin_mm is not None and isinstance(own.get("eye", {}), dict):
            own.setdefault("eye", {})["pin"] = f"{pin_mm!r} mm"
        try:
            recipe = read_values(own, place, key_lines(text))
        except ValidationError as problem:
            self.issues += problem.faults
            return None
        self._told(name, wire, values)
        return End(name, recipe.variant(wire=replace(wire, count=recipe.wire.count)))

    def _told(self, name: str, wire: Wire, values: dict[str, Any]) -> None:
        """Remark where the recipe was written for another wire."""
        table = values.get("wire")
        size = table.get("size") if isinstance(table, dict) else None
        if isinstance(size, str) and size != wire.size:
            self.notes.append(
                f"The recipe of end {quoted(name)} is written for {size}; here it is made in "
                f"{wire.size or format_length(wire.diameter_mm)}: what it gives in d follows the wire, the rest stays."
            )


def _usual_counts() -> str:
    """What a joint has that no recipe says otherwise of."""
    turns, lay, wraps = (
        key_of(*key).default for key in (("twist", "turns"), ("twist", "lay_length"), ("barrel", "wraps"))
    )
    return f"{turns} turns of {lay} and {wraps} wraps"
