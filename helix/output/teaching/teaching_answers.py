"""What `compare` and `steps` answer in a few lines: what is wrong with the other joint; what hands do, in order."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from helix.output.report.document import Answer
from helix.output.shape.shape_answers import counts_line, cut_line
from helix.output.words.answer_words import LINE, headline, remedy_line, short_title
from helix.output.words.compare_words import differences, tally
from helix.output.words.lesson_words import first_lesson
from helix.output.words.words import shown_severity, title_of
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison
from helix.studies.teaching.steps import Step
from helix.units import UnitSystem

_WORDS = {
    "mark": "ink",
    "bend": "bend the eye",
    "cross": "cross the legs",
    "twist": "twist",
    "straighten": "straighten the leg",
    "swing": "swing the tag out",
    "wrap": "wrap",
    "handle": "break off",
}
_WORDS_OF_TWO = _WORDS | {"straighten": "straighten the standing pair", "swing": "swing the tags out"}


def compare_answer(comparison: Comparison, units: UnitSystem, written: str) -> Answer:
    """What is wrong with each of the others; of one other, how it holds and what differs most."""
    first, *others = comparison.results
    lines = [_verdict(other) for other in others]
    if len(others) == 1:
        notes = differences(comparison, 1, units)
        lines += [notes.hold, *notes.lines[:2]]
    else:
        lines.insert(0, f"{tally(comparison.results)}.")
    return Answer((*(line for line in lines if line), written), f"Against {short_title(title_of(first))}")


def _verdict(result: ShapeResult) -> str:
    """What is to be seen on a joint, and what hands should do where there is room for it."""
    first = first_lesson(result)
    head = f"{shown_severity(result.judgement).name}: {short_title(title_of(result))}: "
    if first is None:
        return f"{head}nothing found wrong."
    line = f"{head}{first[1].headline[0].lower()}{first[1].headline[1:]}"
    longer = f"{line}; {first[1].do}."
    return longer if len(longer) <= LINE else f"{line}."


def steps_answer(result: ShapeResult, steps: Sequence[Step], units: UnitSystem, written: str) -> Answer:
    """The verdict, what to cut, what the hands do in order, what to count."""
    done = _WORDS if len(result.wires) == 1 else _WORDS_OF_TWO
    kinds = [done[kind] for kind, _ in groupby(step.kind for step in steps) if kind in done]
    judgement = result.judgement
    lines = (
        headline(judgement, units),
        remedy_line(judgement, units),
        cut_line(result, units),
        f"{len(steps)} steps: {', '.join(kinds)}.",
        counts_line(result, units),
        written,
    )
    return Answer(tuple(line for line in lines if line), short_title(title_of(result)), "--all: every step, all marks.")
