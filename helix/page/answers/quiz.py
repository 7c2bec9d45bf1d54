"""A quiz: joints with a fault, to find where it is; their places as one points at them."""

from __future__ import annotations

from typing import Any, Final

from helix.findings import Finding
from helix.model.joint.section_names import PARTS
from helix.output.picture.closeup.closeups import part_of
from helix.page.answers.examples import lessons
from helix.studies.shape.remedies import apply

PLACES: Final = {"eye": "eye", "entry": "first bend", "twist": "twist", "exit": "exit", "barrel": "barrel"}
"""The places of a joint that a fault can be at, and what people call them."""
_BOTH: Final = {"hand": ("exit", "barrel")}
_CHANGED: Final[tuple[dict[str, Any], ...]] = (
    {"barrel.wraps": 1, "twist.hand": "left"},
    {"twist.lay_length": "11 d"},
    {"twist.lay_length": "2.1 d", "eye.pin": "8 mm"},
    {"eye.throat": "110 deg", "eye.throat_made": "spread", "eye.pin": "9 mm"},
    {"eye.throat": "95 deg", "eye.pin": "8 mm", "twist.hand": "left"},
    {"exit.style": "bench", "exit.peak_angle": "110 deg", "twist.hand": "left"},
    {"barrel.pitch": "1.4 d", "twist.hand": "left", "eye.pin": "5 mm"},
)
"""The good joint of the lessons, made badly in these ways: each is judged sharp or a fault, as every joint of the quiz."""


def places_of(finding: Finding) -> list[str]:
    """The names of the places where a finding is to be seen; none where it is to be seen at no single one."""
    part = part_of(finding)
    return [name for name in _BOTH.get(part, (part,)) if name in PLACES]


def quiz() -> dict[str, Any]:
    """Places (name, title, sections of the wire), and the joints as tables of recipes without a name."""
    told = lessons()
    joints = [*(lesson["recipe"] for lesson in told), *(apply(told[0]["good"], changes) for changes in _CHANGED)]
    return {
        "places": [{"name": name, "title": title, "sections": list(PARTS[name])} for name, title in PLACES.items()],
        "joints": [{key: table for key, table in tables.items() if key != "title"} for tables in joints],
    }
