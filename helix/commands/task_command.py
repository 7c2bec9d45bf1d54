"""Any task on the command line: its options as words, its inputs opened from files, its answer printed, its files written."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from helix.commands.shared import DONE, FLAGGED, UNUSABLE, complain, report, write_out
from helix.errors import ValidationError, ValidationIssue, by_rows, quoted
from helix.model.files import file_kinds
from helix.tasks.opening import opened
from helix.tasks.options import TICK, UNIT_SYSTEM, Option
from helix.tasks.task import Given, Output, Task, Template, given_of, rename_option

_SEVERAL = {"one": None, "optional": "?", "any": "*", "some": "+"}
_STARTS = {"no-reading": file_kinds.READINGS.start, "column-missing": file_kinds.PULLS.start}
"""How to come by a file that would do, for what is wrong with one."""
Targets = list[tuple[Output, Path]]


def flag(key: str) -> str:
    """An option as it is typed.

    >>> flag("hand_force")
    '--hand-force'
    """
    return f"--{key.replace('_', '-')}"


def add_options(parser: argparse.ArgumentParser, task: Task) -> None:
    """Add a task's options to its parser, and those that follow from what it gives."""
    for option in task.options:
        _add_option(parser, option, task.template is not None)
    if task.template is not None:
        text = f"write {task.template.what}, then stop (default: {task.template.name})"
        parser.add_argument("--template", metavar="FILE.toml", nargs="?", const=task.template.name, help=text)
    for output in task.files:
        if output.place:
            parser.add_argument(output.key, metavar=output.letters, nargs=_SEVERAL[output.place], help=output.help)
        elif not output.paged:
            short = [output.short] if output.short else []
            parser.add_argument(*short, flag(output.key), metavar=output.letters, help=output.help,
                                required=output.required, action="append" if output.many else "store")  # fmt: skip
    if task.document is not None or (task.answer is not None and task.text is not None):
        parser.add_argument("--all", action="store_true", help="show everything, in place of the answer alone")
    if task.record is not None:
        parser.add_argument("--json", action="store_true", help=f"print JSON, always in {task.json}")
    if task.strict:
        parser.add_argument("--strict", action="store_true", help=f"exit code 1 {task.strict}")
    if task.force or task.files:
        parser.add_argument("--force", action="store_true", help="replace a file that exists")


def _add_option(parser: argparse.ArgumentParser, option: Option, optional: bool = False) -> None:
    """Add one option; optional: a file that it opens may be left out, as one is to be written."""
    text = f"{option.help} (default: {option.otherwise})" if option.otherwise else option.help
    letters = option.letters or option.kind.letters
    if option.place:
        several = "?" if optional and option.place == "one" else _SEVERAL[option.place]
        parser.add_argument(option.key, metavar=letters, nargs=several, help=text)
    elif option.kind is TICK:
        parser.add_argument(flag(option.key), action="store_true", help=text)
    elif option.kind.words:
        parser.add_argument(
            flag(option.key),
            choices=(*option.kind.words, *option.kind.other_words),
            type=_word_of(option.kind.words),
            metavar=f"{{{','.join(option.kind.words)}}}",
            help=text,
        )
    else:
        action = "append" if option.many else "store"
        parser.add_argument(flag(option.key), metavar=letters, required=option.required, action=action, help=text)


def such_line(name: str, task: Task) -> str:
    """A command with what it cannot do without.

    >>> from helix.tasks.registry import task
    >>> such_line("draw", task("draw")), such_line("choose", task("choose"))
    ('helix draw joint.toml -o joint.png', 'helix choose --load "600 N"')
    """
    words = ["helix", name]
    for option in task.options:
        if option.place in ("one", "some"):
            words.append(option.example)
        elif option.required:
            words += [flag(option.key), quoted(option.example) if " " in option.example else option.example]
    words += [f"-o joint{output.suffixes[0]}" for output in task.files if output.required]
    return " ".join(word for word in words if word)


def run_task(task: Task, arguments: Mapping[str, Any]) -> int:
    """Do a task with what was typed, by key; returns the exit code. Faults of options name them as they are typed."""
    try:
        return _run(task, arguments)
    except ValidationError as error:
        raise type(error)(list(_with_starts([typed(task, fault) for fault in error.faults]))) from error


def _with_starts(faults: Sequence[ValidationIssue]) -> Iterator[ValidationIssue]:
    """The faults, the last of a kind with how to come by a file that would do."""
    last = {fault.code: place for place, fault in enumerate(faults)}
    for place, fault in enumerate(faults):
        start = _STARTS.get(fault.code)
        if start and last[fault.code] == place:
            yield ValidationIssue(fault.path, f"{fault.message}; {start}", code=fault.code, values=fault.values)
        else:
            yield fault


def typed(task: Task, fault: ValidationIssue) -> ValidationIssue:
    """A fault of an option with the option as it is typed for its place; any other as it is."""
    shown = {
        option.key: option.letters or option.kind.letters if option.place else flag(option.key)
        for option in task.options
    }
    shown |= {output.key: output.letters if output.place else flag(output.key) for output in task.files}
    return rename_option(fault, shown)


def _run(task: Task, arguments: Mapping[str, Any]) -> int:
    force = bool(arguments.get("force"))
    if task.template is not None and arguments.get("template"):
        return _write_template(task.template, arguments, force)
    targets = _targets(task, arguments)
    given = given_of(
        task,
        lambda option: opened(option, arguments[option.key]),
        report,
        [fault for output, path in targets if (fault := _fault(output, path, force))],
        places={option.key: str(arguments[option.key]) for option in task.options if option.place},
        targets={output.key: path for output, path in targets},
        coloured=_colour(),
        all=bool(arguments.get("all")),
    )
    targets = _possible(targets, force)
    result = task.run(given)
    refused = () if task.refused is None else task.refused(result, given)
    rows = () if task.rows is None else task.rows(result)
    unread = bool(rows) and not arguments.get("leave_out")
    if not refused and not unread:
        _write(targets, result, given, force)
    if arguments.get("json") and task.record is not None:
        from helix.output.report.record import to_json

        write_out(to_json(task.record(result)))
    elif not refused or task.answers_refused:
        write_out(task.words(result, given))
    for fault in by_rows((*refused, *rows)):
        complain(str(typed(task, fault)))
    if unread and targets:
        complain("no report was written: mend these rows, or add --leave-out to go on without them")
    if refused or unread:
        return UNUSABLE
    return FLAGGED if arguments.get("strict") and task.is_ok is not None and not task.is_ok(result) else DONE


# ------------------------------------------------------------------ what is written


def _write_template(template: Template, arguments: Mapping[str, Any], force: bool) -> int:
    """Write a file to fill in, and say what to type next."""
    from helix.output.files import target_fault, write_whole

    path = Path(arguments["template"])
    fault = target_fault(path, force=force, suffixes=(".toml",))
    if fault is not None:
        raise ValidationError([fault])
    units = UNIT_SYSTEM.read(arguments.get("units") or "metric", None)
    write_whole(path, template.text(units), force=force)
    write_out(f"Written: {path}, {template.what}. Change what you need, then:\n{template.then.format(path)}\n")
    return DONE


def _targets(task: Task, arguments: Mapping[str, Any]) -> Targets:
    targets: Targets = []
    for output in task.files:
        names = arguments.get(output.key) or []
        targets += [(output, Path(name)) for name in ([names] if isinstance(names, str) else names)]
    return targets


def _fault(output: Output, path: Path, force: bool) -> ValidationIssue | None:
    from helix.output.files import target_fault

    if output.fault is not None and path.suffix.lower() not in output.suffixes:
        return output.fault(path, force)
    return target_fault(path, force=force, suffixes=output.suffixes)


def _possible(targets: Targets, force: bool) -> Targets:
    """The files that this machine can make: a drawing in place of a picture where it cannot draw in 3-D."""
    possible_targets: Targets = []
    for output, path in targets:
        suffix, problem = output.possible(path.suffix.lower())
        if suffix is None:
            raise ValidationError([ValidationIssue(str(path), f"cannot be made: {problem}; {output.instead}")])
        if problem:
            path = path.with_suffix(suffix)
            report(f"{problem}. Writing the drawing {path} in its place")
            fault = _fault(output, path, force)
            if fault is not None:
                raise ValidationError([fault])
        possible_targets.append((output, path))
    return possible_targets


def _write(targets: Targets, result: Any, given: Given, force: bool) -> None:
    """Make every file, then write them."""
    from helix.output.files import write_whole

    whole = [
        (output, path) for output, path in targets if output.write is None or path.suffix.lower() in output.suffixes
    ]
    contents = [output.make(result, given, path.suffix.lower()) for output, path in whole]
    for (_, path), content in zip(whole, contents, strict=True):
        write_whole(path, content, force=force)
    for output, path in targets:
        if output.write is not None and (output, path) not in whole:
            output.write(result, given, path, force)
        given.written.append(path)
        if output.said:
            report(output.said.format(path))


def _colour() -> bool:
    """Colour on a terminal only, and not where it is not wanted (NO_COLOR, TERM=dumb)."""
    try:
        terminal = sys.stdout.isatty()
    except (AttributeError, ValueError):
        return False
    return terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _word_of(words: Mapping[str, str]) -> Callable[[str], str]:
    """From a choice's name, as the page shows it, to its word; anything else stays as it is."""
    by_name = {name: word for word, name in words.items()}
    return lambda text: by_name.get(text, text)
