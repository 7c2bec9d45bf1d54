"""A recipe from Python values: tables as dicts, numbers in the unit that their keyword names, checked like a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass, replace
from numbers import Real
from typing import Any, Final

import numpy as np

from helix.errors import InfeasibleJointError, InputValueError, IssuePath, ValidationError, ValidationIssue
from helix.findings import remark
from helix.model.files.file_keys import Key
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_keys import OWN, TABLES, TOP_KEYS
from helix.model.recipe.recipe_parts import Recipe
from helix.model.recipe.recipe_reader import read_values
from helix.model.recipe.recipe_writing import wire_values

KEYWORD_UNITS: Final = {
    "mm": "mm", "cm": "cm", "m": "m", "um": "um", "in": "in", "thou": "thou", "ft": "ft", "d": "d", "deg": "deg",
    "rad": "rad", "n": "N", "kn": "kN", "lbf": "lbf", "kgf": "kgf", "mpa": "MPa", "gpa": "GPa", "ksi": "ksi",
    "psi": "psi", "kg_m3": "kg/m3", "g_cm3": "g/cm3",
}  # fmt: skip
_WHOLE: Final = {"diameter_mm", "material", "strength_mpa", "modulus_mpa", "density_kg_m3"}  # of a wire given whole


def recipe_from_values(values: Mapping[str, Any], place: str = "recipe") -> Recipe:
    """Make a recipe from values, as strictly as from a file.

    Parameters
    ----------
    values : mapping
        Tables of the recipe as mappings, or their keys without a table: ``{"wire": {...}, "pin_mm": 6, "turns": 5}``. A
        key without its table goes to the first that has it, never to the tolerances. A value is what the file would
        hold ("6 mm"), or a number under a key that names its unit (pin_mm, lay_d, throat_deg, rated_load_lbf). None is
        left out. Parts (`Eye`, `Wire`, ...) will do for their tables, and so will what `recipe_to_dict` gives.
    place : str
        What the issues call the recipe.

    Returns
    -------
    Recipe
        Every default filled in.

    Raises
    ------
    ValidationError
        With every issue at once, each at its table and key; InfeasibleJointError where all that is wrong is a shape that
        cannot exist.

    Examples
    --------
    >>> recipe = recipe_from_values({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6, "turns": 5, "lay_d": 4})
    >>> recipe.eye.pin_mm, round(recipe.twist.lay_mm, 4)
    (6.0, 2.9464)
    >>> recipe_from_values({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6, "turns": -3, "hand": "sideways"})
    Traceback (most recent call last):
    helix.errors.ValidationError: recipe: [twist] turns: must be 0 or more; got -3
    recipe: [twist] hand: must be "right" or "left"; got "sideways"
    """
    reading = _Values(place)
    tables, wire = reading.tables(values)
    try:
        recipe = read_values(tables, place, {})
    except ValidationError as error:
        shape = isinstance(error, InfeasibleJointError) and not reading.issues
        kind = InfeasibleJointError if shape else ValidationError
        raise kind([*reading.issues, *map(reading.renamed, error.faults)]) from None
    if reading.issues:
        raise ValidationError(reading.issues)
    notes = values.get("notes")
    recipe = recipe if wire is None else replace(recipe, wire=wire)
    return (
        recipe if notes is None else replace(recipe, notes=tuple(remark(note["code"], note["text"]) for note in notes))
    )


class _Values:
    """Values on their way to what a file would hold: what is wrong, and what each key was called."""

    def __init__(self, place: str) -> None:
        self.place = place
        self.issues: list[ValidationIssue] = []
        self.called: dict[tuple[str, ...], str] = {}

    def renamed(self, issue: ValidationIssue) -> ValidationIssue:
        """The issue at the key as it was called."""
        path = issue.path
        key = self.called.get((*path.table, path.key), path.key)
        return ValidationIssue(replace(path, key=key), issue.message, code=issue.code, values=issue.values)

    def tables(self, values: Mapping[str, Any]) -> tuple[dict[str, Any], Wire | None]:
        """Every table as the file would hold it, and a wire that is given whole."""
        tables: dict[str, Any] = {}
        wire = None
        for name, value in values.items():
            value = vars(value) if is_dataclass(value) else value
            if name == "wire" and isinstance(value, Mapping) and set(value) >= _WHOLE:
                wire = _whole_wire(value)
                tables["wire"] = wire_values(wire)
            elif name in TABLES and isinstance(value, Mapping):
                for key, item in value.items():
                    self.put(tables, (name,), key, item)
            elif name in (*TOP_KEYS, "notes"):
                tables |= {} if value is None or name == "notes" else {name: value}
            else:
                home = next((table for table in TABLES if table != "tolerance" and key_meant(table, name)), None)
                self.put(tables, (home,) if home else (), name, value)
        return tables, wire

    def put(self, tables: dict[str, Any], path: tuple[str, ...], name: str, value: Any) -> None:
        """Put one value into its table."""
        if value is None or (path == ("exit",) and (name, value) == ("style", "given")):
            return
        if path == ("wire",) and name == "own" and isinstance(value, Mapping):
            for key, item in value.items():
                self.put(tables, ("wire", "own"), key, item)
            return
        table = tables
        for part in path:
            table = table.setdefault(part, {})
        key, unit = key_meant(".".join(path), name) or (None, "")
        written = key.name if key else name
        if written in table:
            other = self.called.get((*path, written), written)
            self.note(path, name, InputValueError("conflict", other=other, instead="give one of the two"))
            return
        if unit and (isinstance(value, bool) or not isinstance(value, Real)):
            self.note(
                path, name, InputValueError("wrong-type", wanted=f"a number of {unit}", got=repr(value)[:60], hint="")
            )
            return
        value = value.item() if isinstance(value, np.generic) else value
        self.called[*path, written] = name
        table[written] = f"{float(value)!r} {unit}" if unit else value

    def note(self, path: tuple[str, ...], key: str, error: InputValueError) -> None:
        """Note what is wrong."""
        self.issues.append(error.at(IssuePath(file=self.place, table=path, key=key)))


def key_meant(table: str, name: str) -> tuple[Key, str] | None:
    """The key that a keyword means and the unit that it names, "" for none; None where there is no such key."""
    rows = OWN if table == "wire.own" else TABLES.get(table, ())
    for key in rows:
        if name in (key.name, key.attribute if not key.dimension else key.name):
            return key, ""
    for stem, unit in _stems(name):
        for key in rows:
            if key.dimension and stem in (key.name, key.attribute.rsplit("_", 1)[0]):
                return key, unit
    return None


def _stems(name: str) -> Iterator[tuple[str, str]]:
    for suffix, unit in KEYWORD_UNITS.items():
        if name.endswith(f"_{suffix}"):
            yield name.removesuffix(f"_{suffix}"), unit


def _whole_wire(values: Mapping[str, Any]) -> Wire:
    """A wire from all of its numbers."""
    strength = values["strength_mpa"]
    low, high = (values.get(f"strength_{end}_mpa", strength) for end in ("low", "high"))
    return Wire(
        diameter_mm=values["diameter_mm"],
        size=values.get("size"),
        material=values["material"],
        strength_mpa=strength if isinstance(strength, tuple) else (low, strength, high),
        modulus_mpa=values["modulus_mpa"],
        density_kg_m3=values["density_kg_m3"],
        source=values.get("source", "as given [own]"),
        rated_load_n=values.get("rated_load_n"),
        measured_load_n=values.get("measured_load_n"),
        measured_pulls=values.get("measured_pulls", 1.0),
    )
