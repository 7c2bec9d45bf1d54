"""Steps: how hands make the joint, as a folder of pictures, an animation or a page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from helix.errors import ValidationIssue, argument_issue
from helix.output.picture import gl
from helix.output.report.document import Answer
from helix.output.shape.shape_table import columns
from helix.output.teaching.animation import SIZE_PX, moving_bytes
from helix.output.teaching.bench import Bench, bench_of
from helix.output.teaching.smooth import smooth_bytes
from helix.output.teaching.steps_folder import folder_fault, page_text, write_folder
from helix.output.teaching.teaching_answers import steps_answer
from helix.output.words.answer_words import CAUTION
from helix.output.words.step_words import step_words
from helix.output.words.words import of_each_wire, tape_numbers, title_of
from helix.studies.judge import shape_judged
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.steps import Step, forming_steps
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, TICK, Option, units
from helix.tasks.shape.draw_task import DRAWING, MODELS, PAGE, PICTURE, size_of, unfit
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task, progress
from helix.units import UNIT_WORDS

MOVING = (".gif", ".webp")
SMOOTH = ".webp"


@dataclass(frozen=True)
class Making:
    """The joint, its steps, and where they are made."""

    result: ShapeResult
    steps: tuple[Step, ...]
    bench: Bench


def _made(given: Given) -> Making:
    result = shape_judged(given.recipe, given.pulls)
    return Making(result, tuple(forming_steps(result)), bench_of(result, given.system))


def _sized(given: Given) -> Iterator[ValidationIssue]:
    if given.smooth and given.suffix("output") != SMOOTH:
        yield argument_issue("smooth", f"is for {SMOOTH} files")
    yield from unfit(given, picture=True)


def _size(given: Given) -> tuple[int, int] | None:
    return None if given.size is None else size_of(given.size, True)


def _moving(making: Making, given: Given, suffix: str) -> str | bytes:
    if suffix in MOVING:
        size = _size(given) or SIZE_PX
        if given.smooth:
            return smooth_bytes(making.bench, making.steps, size, progress(given, "frame"))
        return moving_bytes(making.bench, making.steps, suffix[1:], size, progress(given, "frame"))
    vector = _vector(given)
    return page_text(making.bench, making.steps, _size(given), vector=vector, on_output=progress(given, "step"))


def _folder(making: Making, given: Given, path: Path, force: bool) -> None:
    vector, on_output = _vector(given), progress(given, "step")
    write_folder(making.bench, making.steps, path, _size(given), vector=vector, force=force, on_output=on_output)


def _no_folder(path: Path, force: bool) -> ValidationIssue | None:
    if path.suffix.lower() in (PICTURE, DRAWING, *MODELS, ".jpg", ".jpeg", ".mp4", ".avi", ".pdf"):
        return ValidationIssue(str(path), f"must end in {', '.join(MOVING)} or {PAGE}, or be a folder to make")
    return folder_fault(path, force=force)


def _vector(given: Given) -> bool:
    """Whether there are drawings in place of pictures, which is said."""
    problem = gl.rendering_problem()
    if problem:
        given.on_output(f"{problem}. Making drawings in place of pictures")
    return problem is not None


def _answer(making: Making, given: Given) -> Answer:
    return steps_answer(making.result, making.steps, making.bench.marks, given.system, f"Drawn in {given.written[0]}")


def _told(making: Making, given: Given) -> str:
    """The steps, and the ink marks as a table."""
    unit = f"{UNIT_WORDS[given.system]}{of_each_wire(making.bench.marks, given.system)}"
    rows = [["ink", f"{unit} from the tag's end", f"{unit} from the standing end", ""]]
    for mark in making.bench.marks:
        ends = zip(*((place.from_tag_end_mm, place.from_standing_end_mm) for place in mark.places), strict=True)
        rows.append([mark.letter, *(tape_numbers(of_each, given.system) for of_each in ends), mark.what])
    lines = [
        f"{step.number:2d}  {step.title}. {step_words(step, making.result, given.system)}" for step in making.steps
    ]
    table = columns(rows, indent="", left=(0, 3)).splitlines()
    return "\n".join((f"{title_of(making.result)}:", *lines, "", *table, "", CAUTION)) + "\n"


TASK = Task(
    options=(
        RECIPE,
        Option("size", "pixels of each picture (1280x800; an animation 900x600)", letters="WxH"),
        Option(
            "smooth",
            f"an animation ({SMOOTH}) without rests: 30 pictures a second, each a curve of the same wire",
            TICK,
        ),
        units(),
        PULLS,
    ),
    run=_made,
    check=_sized,
    answer=_answer,
    text=_told,
    files=(
        Output(
            "output",
            "folder for a picture a step and a sheet of all, or file: .gif, .webp or .html",
            (*MOVING, PAGE),
            _moving,
            letters="DIR|FILE",
            short="-o",
            required=True,
            pictures=dict.fromkeys(MOVING),
            instead=f"a folder or {PAGE} can, as drawings",
            fault=_no_folder,
            write=_folder,
        ),
    ),
    strict=STRICT,
    is_ok=lambda result: is_ok(result.result),
)
