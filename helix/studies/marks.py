"""Where to put ink on the straight wire: how far from its ends each part of the joint will begin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from helix.studies.shape import ShapeResult

_PARTS: Final = (
    ("handle", "handle, broken off at the end", ()),
    ("stub", "stub", ("stub",)),
    ("barrel", "barrel", ("barrel",)),
    ("exit", "exit bend, tag", ("exit_tag",)),
    ("twist", "twist, tag", ("twist_tag",)),
    ("eye", "eye", ("entry_tag", "eye", "entry_standing")),
    ("twist", "twist, standing leg", ("twist_standing",)),
    ("exit", "exit bend, standing leg", ("exit_standing",)),
    ("core", "standing leg under the barrel", ("barrel_core",)),
    ("standing", "standing leg", ("standing",)),
)


@dataclass(frozen=True)
class Mark:
    """A part of the cut wire: its letter, name, where it begins from the tag's cut end, its length [mm].

    part: "handle", "stub", "barrel", "exit", "twist", "eye", "core" or "standing". from_standing_mm: the
    same place measured from the wire's other end.
    """

    letter: str
    part: str
    name: str
    begins_mm: float
    length_mm: float
    from_standing_mm: float


def ink_marks(result: ShapeResult) -> tuple[Mark, ...]:
    """The parts in the order in which they lie from the tag's cut end; parts without wire are left out.

    The lengths add up to the wire to cut.

    >>> from helix.model.recipe import recipe_from_text
    >>> from helix.studies.shape import shape
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> marks = ink_marks(shape(recipe_from_text(text)))
    >>> marks[0].letter, marks[0].part, marks[1].begins_mm, marks[-1].part
    ('A', 'handle', 60.0, 'standing')
    """
    lengths = {row.name: row.wire_mm for row in result.sections}
    total = result.cut.total_mm
    marks: list[Mark] = []
    begins = 0.0
    for part, name, sections in _PARTS:
        length = sum(lengths[section] for section in sections) if sections else result.recipe.finish.handle_mm
        if length > 0.0:
            letter = chr(ord("A") + len(marks))
            marks.append(Mark(letter, part, name, begins, length, total - begins))
        begins += length
    return tuple(marks)


def middle_of_eye_mm(result: ShapeResult) -> float:
    """Where the middle of the eye falls, from the tag's cut end: the place to lay on the pin [mm]."""
    eye = next(mark for mark in ink_marks(result) if mark.part == "eye")
    return eye.begins_mm + eye.length_mm / 2.0
