"""The sections of a joint in the order of the wire, and what people call them."""

from __future__ import annotations

from typing import Final

SECTIONS = (
    "standing",
    "barrel_core",
    "exit_standing",
    "twist_standing",
    "entry_standing",
    "eye",
    "entry_tag",
    "twist_tag",
    "exit_tag",
    "barrel",
    "stub",
)

PARTS: Final[dict[str, tuple[str, ...]]] = {
    "standing": ("standing",),
    "barrel": ("barrel_core", "barrel"),
    "exit": ("exit_standing", "exit_tag"),
    "twist": ("twist_standing", "twist_tag"),
    "entry": ("entry_standing", "entry_tag"),
    "eye": ("eye",),
    "stub": ("stub",),
}
"""The parts of a joint, with their sections."""

_PART_OF = {section: part for part, sections in PARTS.items() for section in sections}
_WORDS = {
    "standing": "standing leg",
    "barrel_core": "core of the barrel",
    "exit_standing": "exit, standing leg",
    "twist_standing": "twist, standing leg",
    "entry_standing": "entry, standing leg",
    "entry_tag": "entry, tag",
    "twist_tag": "twist, tag",
    "exit_tag": "exit, tag",
}


def part_name(place: str) -> str:
    """The part that a section belongs to, or that is named itself; "" for any other place.

    >>> part_name("twist_tag"), part_name("exit"), part_name("hand")
    ('twist', 'exit', '')
    """
    return place if place in PARTS else _PART_OF.get(place, "")


def sections_at(place: str) -> tuple[str, ...]:
    """The sections of a place: one section, or all of a part.

    >>> sections_at("twist"), sections_at("exit_tag")
    (('twist_standing', 'twist_tag'), ('exit_tag',))
    """
    return (place,) if place in SECTIONS else PARTS.get(place, ())


def section_name(name: str) -> str:
    """What people call a section.

    >>> section_name("twist_tag"), section_name("eye")
    ('twist, tag', 'eye')
    """
    return _WORDS.get(name, name.replace("_", " "))
