"""The parts of the cut wire as they lie on it while it is straight, from the tag's cut end."""

from __future__ import annotations

from typing import Final

from helix.studies.shape.shape import ShapeResult
from helix.values import result

_PARTS: Final = (
    ("stub", "tag", ("stub",)),
    ("barrel", "tag", ("barrel",)),
    ("exit", "tag", ("exit_tag",)),
    ("twist", "tag", ("twist_tag",)),
    ("eye", "", ("entry_tag", "eye", "entry_standing")),
    ("twist", "standing leg", ("twist_standing",)),
    ("exit", "standing leg", ("exit_standing",)),
    ("core", "standing leg", ("barrel_core",)),
    ("standing", "standing leg", ("standing",)),
)


@result
class WirePart:
    """A stretch of the cut wire: which part it becomes, of which leg, where it begins and its length [mm].

    part: "handle", "stub", "barrel", "exit", "twist", "eye", "core" (under the barrel) or "standing". leg:
    "tag", "standing leg", or "" for the eye. begins_mm: from the tag's cut end.
    """

    part: str
    leg: str
    begins_mm: float
    length_mm: float


def wire_parts(result: ShapeResult, number: int = 0) -> tuple[WirePart, ...]:
    """The parts of a wire in order from its tag's cut end, those without wire left out; they add up to the wire to cut.

    number: which of several wires, from 0.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> from helix.studies.shape.shape import shape
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> result = shape(recipe_from_text(text))
    >>> parts = wire_parts(result)
    >>> [part.part for part in parts[:3]], parts[1].begins_mm
    (['handle', 'stub', 'barrel'], 60.0)
    >>> abs(sum(part.length_mm for part in parts) - result.cut.total_mm) < 1e-9
    True
    """
    lengths = {row.name: row.wire_mm for row in result.wires[number].sections}
    shown_parts = [("handle", "tag", result.recipe.finish.handle_mm)]
    shown_parts += [(part, leg, sum(lengths[section] for section in sections)) for part, leg, sections in _PARTS]
    parts: list[WirePart] = []
    begins = 0.0
    for part, leg, length in shown_parts:
        if length > 0.0:
            parts.append(WirePart(part=part, leg=leg, begins_mm=begins, length_mm=length))
        begins += length
    return tuple(parts)
