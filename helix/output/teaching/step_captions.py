"""What is written below a step: what to do, where hands grip, what goes wrong there in a joint at fault; key to the ink letters."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from helix.output.canvas.lettering import wrapped
from helix.output.canvas.primitives import INK, SOFT, Primitive, Text
from helix.output.picture.closeup.closeups import part_of
from helix.output.words.lesson_words import first_lesson
from helix.output.words.words import verdict_word

if TYPE_CHECKING:
    from helix.output.teaching.bench import Bench
    from helix.studies.shape.shape import ShapeResult
    from helix.studies.teaching.steps import Step

LINES: Final = 5
"""Lines below a tile."""
LINE: Final = 1.35
"""Height of such a line, in heights of the font."""
TONES: Final = "Light: standing leg; dark: tag."
"""What the two tones of the wire are."""
_MADE_AT: Final[dict[str, tuple[str, ...]]] = {
    "entry": ("cross",),
    "twist": ("twist", "cross"),
    "exit": ("swing", "straighten", "wrap"),
    "hand": ("wrap",),
    "barrel": ("wrap",),
}
"""By the part that shows a fault, the steps at which hands make it; the first of them that a joint has."""


def fault_line(result: ShapeResult) -> str:
    """What is wrong with a joint and what to do in its place, in a line; empty where nothing is."""
    first = first_lesson(result)
    if first is None:
        return ""
    lesson = first[1]
    return f"{verdict_word(result.judgement)}: {lesson.headline}. Do this: {lesson.do}."


def fault_at(result: ShapeResult, step: Step, kinds: tuple[str, ...]) -> str:
    """The same where it is this step that makes it, or the joint is finished; kinds: those of all its steps."""
    first = first_lesson(result)
    if first is None:
        return ""
    made = next((kind for kind in _MADE_AT.get(part_of(first[0].finding), ()) if kind in kinds), "finished")
    return fault_line(result) if step.kind in (made, "finished") else ""


def grip_line(bench: Bench, step: Step) -> str:
    """Where hands grip at a step whose picture has bars for it."""
    words = "Bar: grip no farther out."
    if step.kind == "twist" and bench.apart_deg is not None:
        words += f" Pull along the legs, about {bench.apart_deg:.0f} deg apart (simulated)."
    return words


def key_line(bench: Bench) -> str:
    """What the ink letters stand for."""
    return "Ink: " + "; ".join(f"{mark.letter} {mark.what}" for mark in bench.marks) + f". {TONES}"


def caption_shapes(
    sentence: str, fault: str, grip: str, at: tuple[float, float], width: float, f: float
) -> list[Primitive]:
    """The lines below a tile, the first at y: what to do, what goes wrong, where to grip; as many as there is room for."""
    x, y = at
    lines = [(line, f, INK, False) for line in wrapped(sentence, f, width, most=3)]
    lines += [(line, 0.95 * f, INK, True) for line in wrapped(fault, 0.95 * f, width, bold=True, most=3) if fault]
    lines += [(line, 0.9 * f, SOFT, False) for line in wrapped(grip, 0.9 * f, width, most=2) if grip]
    return [
        Text(x, y + LINE * f * k, text, size, colour, bold)
        for k, (text, size, colour, bold) in enumerate(lines[:LINES], 1)
    ]
