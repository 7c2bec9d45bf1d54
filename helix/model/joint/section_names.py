"""The sections of a joint in the order of the wire, and what people call them."""

from __future__ import annotations

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


def section_name(name: str) -> str:
    """What people call a section.

    >>> section_name("twist_tag"), section_name("eye")
    ('twist, tag', 'eye')
    """
    return _WORDS.get(name, name.replace("_", " "))
