"""A task: its options, the study it runs, the document or text, the record and the files it makes. One protocol for all."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from helix.errors import IssuePath, ValidationError, ValidationIssue, argument_issue
from helix.model.recipe.recipe_parts import Recipe
from helix.quantities import read_as
from helix.tasks.options import Option, is_inch
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.output.report.document import Answer, Document

OnOutput: TypeAlias = Callable[[str], None]
"""Takes one line in words: how far the work is."""


TELL_S: Final = 2.0  # between two words of progress


@dataclass
class Given:
    """What was given with a task: `given.KEY` is the value of the option KEY.

    places: what each opened file is called in a fault. targets: the files to write, by the key of their output.
    all: whether all is wanted in place of the answer alone. notes: lines about what was written, to be told with it.
    written: the files that were. faulty: keys of options that have a fault. spoken: the unit system of the quantities that were typed.
    """

    values: dict[str, Any]
    on_output: OnOutput
    places: Mapping[str, str] = field(default_factory=dict)
    targets: Mapping[str, Path] = field(default_factory=dict)
    coloured: bool = False
    all: bool = False
    notes: list[str] = field(default_factory=list)
    written: list[Path] = field(default_factory=list)
    faulty: frozenset[str] = frozenset()
    spoken: UnitSystem = "metric"

    def __getattr__(self, key: str) -> Any:
        try:
            return self.__dict__["values"][key]
        except KeyError:
            raise AttributeError(key) from None

    def suffix(self, key: str) -> str:
        """The ending of a file to write; "" where there is none."""
        return self.targets[key].suffix.lower() if key in self.targets else ""

    @property
    def system(self) -> UnitSystem:
        """The unit system asked for, else that of the recipe or plan, else the one that was typed."""
        chosen = self.values.get("units")
        several = self.values.get("recipes")
        own = self.values.get("recipe") or self.values.get("plan") or (several[0][1] if several else None)
        system: UnitSystem = chosen or (own.units if own else self.spoken)
        return system


@dataclass(frozen=True)
class Output:
    """A file that a task can write.

    make(result, given, suffix): its text or bytes. said: told once it is written. pictures: suffixes that need 3-D
    drawing, with the suffix of what is made on a machine that cannot (None: nothing can be; `instead` says what can).
    fault, write: where it is a folder, or a folder may stand in a file's place. place: as for `Option`. paged: on the
    page only.
    """

    key: str
    help: str
    suffixes: tuple[str, ...]
    make: Callable[[Any, Given, str], str | bytes]
    said: str = ""
    letters: str = "FILE"
    short: str = ""
    place: str = ""
    required: bool = False
    many: bool = False
    pictures: Mapping[str, str | None] = field(default_factory=dict)
    instead: str = ""
    fault: Callable[[Path, bool], ValidationIssue | None] | None = None
    write: Callable[[Any, Given, Path, bool], None] | None = None
    paged: bool = False

    def possible(self, suffix: str) -> tuple[str | None, str]:
        """The suffix that this machine can make (None: none), and what keeps it from making the one asked for."""
        if suffix not in self.pictures:
            return suffix, ""
        from helix.output.picture.gl import rendering_problem

        problem = rendering_problem()
        return (self.pictures[suffix], problem) if problem else (suffix, "")


@dataclass(frozen=True)
class Template:
    """A file to fill in, for a task that reads one.

    name: what it is called where no name is given. text: by unit system. what: of what it is, for people. then: what to
    type next, with {} for its name.
    """

    name: str
    text: Callable[[UnitSystem], str]
    what: str
    then: str


@dataclass(frozen=True, kw_only=True)
class Task:
    """One thing that a person can ask.

    run(given): the study's answer, `found` from here on. check(given): faults of several options together; it gets None
    for what has a fault itself. document(result, units): for people, with an `Answer` among its blocks; or answer(result,
    given) and text(result, given), all that stands behind it. table(result, units): the table that was asked for, shown
    alone. record(result): for programs; json: what its units are. files: what can be written. strict: when --strict gives
    exit code 1; is_ok(result): whether it does not. refused(result, given): why this is no answer, though it has a record;
    answers_refused: its text says so too, before that.
    rows(result): rows that could not be read, beside an answer from the rest. force: takes --force, though nothing is
    written yet. template: a file of the kind that the first option opens, to fill in; usual name of it, text by unit
    system, and what to type next.
    """

    options: tuple[Option, ...]
    run: Callable[[Given], Any]
    check: Callable[[Given], Iterable[ValidationIssue]] | None = None
    document: Callable[[Any, UnitSystem], Document] | None = None
    table: Callable[[Any, UnitSystem], Document | None] | None = None
    answer: Callable[[Any, Given], Answer] | None = None
    text: Callable[[Any, Given], str] | None = None
    record: Callable[[Any], dict[str, Any]] | None = None
    json: str = ""
    files: tuple[Output, ...] = ()
    strict: str = ""
    is_ok: Callable[[Any], bool] | None = None
    refused: Callable[[Any, Given], Sequence[ValidationIssue]] | None = None
    answers_refused: bool = False
    rows: Callable[[Any], Sequence[ValidationIssue]] | None = None
    force: bool = False
    template: Template | None = None

    def words(self, result: Any, given: Given) -> str:
        """The answer as text for a terminal: the answer alone, or the table that was asked for; or all."""
        from helix.output.report.document import Document, answer_text, document_text

        table = None if self.table is None or given.all else self.table(result, given.system)
        if table is not None:
            return document_text(table)
        document = None if self.document is None else self.document(result, given.system)
        if document is not None:
            return answer_text(document.answer) if document.answer and not given.all else document_text(document)
        answer = None if self.answer is None else self.answer(result, given)
        if answer is not None and not given.all:
            return answer_text(answer)
        rest = "" if self.text is None else self.text(result, given)
        return rest if answer is None else document_text(Document("", (answer,), caution="")) + "\n" + rest

    def output(self, key: str) -> Output:
        """One of the files by its key."""
        return next(output for output in self.files if output.key == key)


def rename_option(issue: ValidationIssue, names: Mapping[str, str | IssuePath]) -> ValidationIssue:
    """The issue of an option at the place that the option has for whoever asked; any other as it is."""
    path = issue.path
    if path.file or path.table or path.key not in names:
        return issue
    return ValidationIssue(names[path.key], issue.message, code=issue.code, values=issue.values)


def given_of(
    task: Task, look: Callable[[Option], Any], on_output: OnOutput, faults: Sequence[ValidationIssue] = (), **more: Any
) -> Given:
    """What was given, checked; raises ValidationError with every fault at once, those of options with their keys as places.

    look(option): what stands there; text, or of a file what was opened. faults: of the files to write, told after those of
    the files that were opened. more: of `Given`.
    """
    issues: list[ValidationIssue] = []
    of_options: list[ValidationIssue] = []
    values: dict[str, Any] = {}
    faulty: set[str] = set()
    remarks: list[str] = []
    spoken: UnitSystem = "metric"
    for option in task.options:
        values[option.key] = None
        try:
            shown = look(option)
            values[option.key] = option.value(shown, values.get("recipe"))
            if option.kind.dimension != "none" and is_inch(shown):
                spoken = "inch"
            remarks += [f"{otherwise}."] if (otherwise := read_as(shown, option.kind.dimension)) else []
            if isinstance(values[option.key], Recipe):
                remarks += [str(note["text"]) for note in values[option.key].notes if note.code == "read-as"]
        except ValidationError as error:
            faulty.add(option.key)
            issues += error.faults
        except ValueError as error:
            faulty.add(option.key)
            of_options += [argument_issue(option.key, str(message)) for message in error.args]
    issues += [*faults, *of_options]
    given = Given(values, on_output, faulty=frozenset(faulty), spoken=spoken, **more)
    if task.check is not None:
        try:
            issues += task.check(given)
        except ValidationError as error:
            issues += error.faults
    if issues:
        raise ValidationError(issues)
    for text in remarks:
        on_output(text)
    return given


def progress(given: Given, what: str) -> Callable[[int, int], None]:
    """Tells every few seconds how far it is."""
    last = time.monotonic()

    def progress(done: int, of: int) -> None:
        nonlocal last
        if time.monotonic() - last > TELL_S and done < of:
            last = time.monotonic()
            given.on_output(f"{what} {done} of {of} ...")

    return progress
