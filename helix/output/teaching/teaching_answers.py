"""What `compare` and `steps` answer in a few lines: what is wrong with the other joint; what hands do, in order."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import groupby

from helix.output.report.document import Answer
from helix.output.shape.shape_answers import counts_line, cut_line
from helix.output.words.answer_words import LINE, headline, remedy_line, short_title, tape_range
from helix.output.words.compare_words import differences, tally
from helix.output.words.lesson_words import Lesson, first_lesson
from helix.output.words.words import mark_number, title_of, verdict_word
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison
from helix.studies.teaching.steps import Mark, Step
from helix.units import UnitSystem, format_tape

_WORDS = {
    "mark": "ink",
    "bend": "bend eye",
    "cross": "cross legs",
    "twist": "twist",
    "straighten": "straighten the leg",
    "swing": "swing out the tag",
    "wrap": "wrap",
    "handle": "break off",
}
_MOST = 6
"""Lines of a comparison beside where it is drawn and what it is against."""
_INK = {
    "it breaks here": "break",
    "barrel ends": "barrel end",
    "barrel begins": "barrel",
    "twist ends, exit begins, tag": "exit",
    "exit begins, tag": "exit",
    "eye ends, tag": "eye end",
    "eye ends, standing leg": "eye end",
    "twist begins, tag": "twist",
    "middle of the eye: on the pin": "on the pin",
    "twist begins, standing leg": "twist",
    "twist ends, standing leg": "twist end",
}
"""Marks in a word or so, in the order along the wire; any other is told as it is."""
_WORDS_OF_TWO = _WORDS | {"straighten": "straighten both", "swing": "swing out the tags"}


def compare_answer(comparison: Comparison, units: UnitSystem, written: str) -> Answer:
    """What is wrong with each of the others; of one other why, what hands should do, how it holds and what differs most."""
    first, *others = comparison.results
    if len(others) == 1:
        notes = differences(comparison, 1, units)
        lines = [*_taught(others[0]), notes.hold]
        for line in notes.lines[:2]:
            if sum(len(textwrap.wrap(each, LINE)) for each in (*lines, line)) <= _MOST + (not written):
                lines.append(line)
    else:
        lines = [f"{tally(comparison.results)}.", *(_verdict(other) for other in others)]
    more = "--all shows the rest." if written else "--all shows the rest; -o both.png draws it."
    return Answer(tuple(line for line in (*lines, written) if line), f"Against {short_title(title_of(first))}", more)


def _headed(result: ShapeResult, lesson: Lesson | None) -> str:
    """The verdict's word, which joint, and what is to be seen on it; without its full stop."""
    seen = "nothing found wrong" if lesson is None else f"{lesson.headline[0].lower()}{lesson.headline[1:]}"
    return f"{verdict_word(result.judgement)}: {short_title(title_of(result))}: {seen}"


def _taught(result: ShapeResult) -> list[str]:
    """The lesson of a joint, as its picture tells it: what is to be seen, why it matters, what hands should do."""
    first = first_lesson(result)
    if first is None:
        return [f"{_headed(result, None)}."]
    lesson = first[1]
    more = [f"Because {lesson.because}."] if lesson.because else []
    return [f"{_headed(result, lesson)}.", *more, *([f"Do this: {lesson.do}."] if lesson.do else [])]


def _verdict(result: ShapeResult) -> str:
    """What is to be seen on a joint, and what hands should do where there is room for it."""
    first = first_lesson(result)
    line = _headed(result, None if first is None else first[1])
    longer = line if first is None else f"{line}; {first[1].do}"
    return f"{longer if len(longer) < LINE else line}."


def steps_answer(
    result: ShapeResult, steps: Sequence[Step], marks: Sequence[Mark], units: UnitSystem, written: str
) -> Answer:
    """The verdict, what to cut, where to ink it, what the hands do in order, what to count."""
    done = _WORDS if len(result.wires) == 1 else _WORDS_OF_TWO
    kinds = [done[kind] for kind, _ in groupby(step.kind for step in steps) if kind in done]
    judgement = result.judgement
    remedy = remedy_line(judgement, units)
    lines = (
        headline(judgement, units),
        remedy,
        _cut_and_ink(result, marks, units),
        f"{len(steps)} steps: {', '.join(kinds)}.",
        counts_line(result, units) if len(remedy) <= LINE else "",
        written,
    )
    return Answer(tuple(line for line in lines if line), short_title(title_of(result)), "--all: every step, all marks.")


def _cut_and_ink(result: ShapeResult, marks: Sequence[Mark], units: UnitSystem) -> str:
    """What to cut and where to ink it; of two wires, whose marks differ, what to cut."""
    if len(result.wires) > 1:
        return cut_line(result, units)
    cut = result.cut
    ink = ", ".join(f"{mark_number(mark, units)} {_INK.get(mark.what, mark.what)}" for mark in marks)
    return (
        f"Cut {format_tape(cut.total_mm, units)} ({tape_range(cut.low_mm, cut.high_mm, units)}). "
        f"Ink, {'in' if units == 'inch' else 'mm'} from the tag's end: {ink}."
    )
