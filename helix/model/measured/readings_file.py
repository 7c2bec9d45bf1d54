"""Readings of one joint from a file: what `helix inspect --template` writes, filled in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from helix.errors import IssuePath, ValidationError, ValidationIssue
from helix.model.files.file_kinds import READINGS, template_in
from helix.model.files.file_table import Faults, Table, kind
from helix.model.files.toml_file import key_lines, recipe_text, toml_values
from helix.model.measured.readings import ANGLES, COUNTS, LENGTHS
from helix.model.recipe.recipe_keys import key_of
from helix.units import UnitSystem

READINGS_TEMPLATE: Final = """\
# Readings of one joint as it was made, beside its recipe.
# Every number in here is invented: put your own, and put # before each line that you did not read.
# Lengths and angles are text with a unit. "11.6 mm +- 0.1 mm" says how sure a reading is.

title = "Joint 1 (invented readings)"

turns = 5                  # even turns of the twist, 360 deg each; "5 +- 0.1" if unsure
# crossings = 10           # crossings counted in place of turns, half a turn each
wraps = 5                  # wraps of the barrel
# counted_to = "twist"     # where the count of turns ends and that of wraps begins: "twist" or "tag"

wire = "0.737 mm"          # diameter of the wire
# lay = "2.95 mm"          # length of one turn of the twist
twist_length = "14.7 mm"   # from the first crossing of the legs, at the eye, to the last
twist_diameter = "1.47 mm" # across the twist
# evenness = "even"        # by eye, in its place: even, nearly-even, uneven or one-straight
barrel_length = "4.4 mm"   # over the wraps, both faces included
barrel_diameter = "2.2 mm" # across the barrel
eye = "6.1 mm"             # inside width of the eye, across
# eye_length = "8 mm"      # inside length of the eye, seen along the pin
length = "31.2 mm"         # from the inside of the eye's bight to the far face of the last wrap
# outside_length = "32 mm" # the same from the outside of the eye's end, as a rule reads it
# first_bend = "76 deg"    # angle between the two eye legs at the throat, seen along the pin
# exit = "81 deg"          # largest angle between tag and standing leg, where the tag leaves the twist
# caliper = "0.02 mm"      # standard deviation of readings across the joint
"""
_IN_INCHES: Final = {
    '"11.6 mm +- 0.1 mm"': '"0.457 in +- 0.004 in"', '"0.737 mm"': '"0.029 in"', '"2.95 mm"  ': '"0.116 in" ',
    '"14.7 mm" ': '"0.58 in" ', '"1.47 mm"': '"0.058 in"', '"4.4 mm" ': '"0.17 in"', '"2.2 mm" ': '"0.087 in"',
    '"6.1 mm" ': '"0.24 in"', '"8 mm"   ': '"0.31 in"', '"31.2 mm"': '"1.23 in"', '"32 mm" #': '"1.26 in" #', '"0.02 mm" ': '"0.001 in"',
}  # fmt: skip
_TITLE: Final = key_of("", "title")
_TEXTS: Final = (*LENGTHS, *ANGLES, "evenness", "counted_to", "caliper")
_KEYS: Final = ("title", *COUNTS, *_TEXTS)
_EXAMPLES: Final = {"evenness": "even", "counted_to": "twist"} | dict.fromkeys(ANGLES, "95 deg")


def readings_template(units: UnitSystem = "metric") -> str:
    """Return a file of readings to fill in, which reads as it stands, with lengths of that unit system.

    >>> [line for line in readings_template("inch").splitlines() if line.startswith("wire")]
    ['wire = "0.029 in"          # diameter of the wire']
    """
    return template_in(READINGS_TEMPLATE, _IN_INCHES, units)


@dataclass(frozen=True)
class ReadingsFile:
    """title: "" for none. texts: as an option would give them, by name. place, lines: for faults."""

    title: str
    texts: Mapping[str, str]
    place: str
    lines: Mapping[tuple[str, ...], int]

    def located(self, issue: ValidationIssue) -> ValidationIssue:
        """The issue of a reading at its line in the file; any other as it is."""
        path = issue.path
        if path.file or path.key not in self.texts:
            return issue
        place = IssuePath(file=self.place, line=self.lines.get((path.key,)), key=path.key)
        return ValidationIssue(place, issue.message, code=issue.code, values=issue.values)


def read_readings_file(path: Path) -> ReadingsFile:
    """Read the texts of a file of readings; they are checked beside a recipe (`read_readings`).

    Raises ValidationError with every key that is none, and every value that is no text or count.
    """
    place = str(path)
    text = recipe_text(path, READINGS)
    values = toml_values(text, place, READINGS)
    faults = Faults(place, key_lines(text), kind=READINGS.name)
    table = Table(faults, (), values, None)
    table.known_keys(_KEYS, {})
    title = table.value(_TITLE)
    texts: dict[str, str] = {}
    for name in (*COUNTS, *_TEXTS):
        value = table.values.get(name)
        if isinstance(value, str) or (name in COUNTS and type(value) in (int, float)):
            texts[name] = str(value)
        elif value is not None:
            wanted = "a bare number" if name in COUNTS else f'text, such as "{_EXAMPLES.get(name, "11.6 mm")}"'
            table.fault(name, "wrong-type", wanted=wanted, got=kind(value), hint="")
    if faults.issues:
        raise ValidationError(faults.error().faults)
    return ReadingsFile(title or "", texts, place, faults.lines)
