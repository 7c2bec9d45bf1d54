"""What --strict asks of a shape: the one place."""

from __future__ import annotations

from helix.output.words.words import is_grave
from helix.studies.shape.shape import ShapeResult

STRICT = "when something is sharp or overlaps"


def is_ok(result: ShapeResult) -> bool:
    """Whether nothing is sharp and nothing overlaps."""
    return not any(bend.verdict == "sharp" for bend in result.bends) and not any(
        is_grave(flag.severity) for flag in result.flags
    )
