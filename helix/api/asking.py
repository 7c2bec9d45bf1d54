"""Any task from Python: keywords with units in their names become its options, checked as a command line is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from numbers import Integral, Real
from pathlib import Path
from typing import Any

from helix.errors import InputValueError, IssuePath, ValidationError, ValidationIssue
from helix.model.recipe.recipe_values import KEYWORD_UNITS
from helix.tasks.opening import opened
from helix.tasks.options import TICK, Option
from helix.tasks.registry import task
from helix.tasks.task import Given, Task, given_of, rename_option

_WORDS = ("text", "choice")  # kinds that are read from text; the others are opened first, or ticked


def ask(name: str, *, leave_out: bool = False, **keywords: Any) -> Any:
    """Do a task with keywords.

    Parameters
    ----------
    name : str
        The task, as its command is called.
    leave_out : bool, optional
        True: go on without rows of files that cannot be read.
    **keywords
        Options by their key, with a unit in the name where one is wanted.

    Returns
    -------
    object
        The task's result.

    Raises
    ------
    ValidationError
        With everything that is wrong, rows of files included.
    """
    chosen, given = prepared(name, {}, keywords)
    try:
        answer = chosen.run(given)
        issues = [*(chosen.refused(answer, given) if chosen.refused else ())]
        issues += chosen.rows(answer) if chosen.rows and not leave_out else ()
        if issues:
            raise ValidationError(issues)
    except ValidationError as error:
        raise type(error)(_renamed(error, chosen, keywords)) from None
    return answer


def prepared(name: str, targets: Mapping[str, Path], keywords: Mapping[str, Any]) -> tuple[Task, Given]:
    """Return a task by its name and what is given with it.

    Parameters
    ----------
    name : str
        The task, as its command is called.
    targets : mapping of str to Path
        Files that it would write, by the output's key.
    keywords : mapping
        As for `ask`.

    Returns
    -------
    tuple of Task and Given

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    chosen = task(name)
    given_values: dict[str, Any] = {}
    issues: list[ValidationIssue] = []
    for keyword, value in keywords.items():
        option, unit = option_of(chosen, keyword)
        if value is not None and given_values.get(option.key) is not None:
            other = next(name for name in keywords if option_of(chosen, name)[0] is option)
            conflict = InputValueError("conflict", other=other, instead="give one of the two")
            issues.append(conflict.at(IssuePath(key=option.key)))
        try:
            given_values[option.key] = None if value is None else _said(option, value, unit)
        except InputValueError as error:
            issues.append(error.at(IssuePath(key=option.key)))
    try:
        given = given_of(chosen, _looked_up(given_values), lambda line: None, issues, targets=targets)
    except ValidationError as error:
        raise type(error)(_renamed(error, chosen, keywords)) from None
    return chosen, given


def option_of(chosen: Task, keyword: str) -> tuple[Option, str]:
    """Return the option that a keyword means, and the unit that it names.

    Parameters
    ----------
    chosen : Task
        Whose options.
    keyword : str
        A key, with or without a unit at its end, "pin_mm".

    Returns
    -------
    tuple of Option and str
        The unit is "" where none is named.

    Raises
    ------
    KeyError
        Where the task has no such option.
    """
    options = {option.key: option for option in chosen.options}
    if keyword in options:
        return options[keyword], ""
    for stem, unit in _stems(keyword):
        if stem in options:
            return options[stem], unit
    raise KeyError(keyword)


def _stems(keyword: str) -> Iterator[tuple[str, str]]:
    for suffix, unit in KEYWORD_UNITS.items():
        if keyword.endswith(f"_{suffix}"):
            yield keyword.removesuffix(f"_{suffix}"), unit


def _looked_up(given_values: Mapping[str, Any]) -> Callable[[Option], Any]:
    return lambda option: opened(option, given_values.get(option.key))


def _said(option: Option, value: Any, unit: str) -> Any:
    """Return a value as a command line would say it."""
    if option.kind is TICK or option.kind.name not in _WORDS:
        return value
    if unit and (isinstance(value, bool) or not isinstance(value, Real)):
        raise InputValueError("wrong-type", wanted=f"a number of {unit}", got=repr(value)[:60], hint="")
    if isinstance(value, str | Real):
        return [_text(value, unit)] if option.many else _text(value, unit)
    if isinstance(value, Mapping):
        return ",".join(f"{key}={_text(item, '')}" for key, item in value.items())
    try:
        texts = [_text(item, unit) for item in value]
    except TypeError:
        raise InputValueError("wrong-type", wanted="a number or text", got=repr(value)[:60], hint="") from None
    return texts if option.many else ",".join(texts)


def _text(value: Any, unit: str) -> str:
    number = isinstance(value, Real) and not isinstance(value, Integral)
    return f"{float(value)!r} {unit}".rstrip() if number else f"{value} {unit}".rstrip()


def _renamed(error: ValidationError, chosen: Task, keywords: Mapping[str, Any]) -> list[ValidationIssue]:
    """Return the issues of an error, options by the keywords that were used."""
    names = {option_of(chosen, word)[0].key: IssuePath(key=word) for word in keywords}
    return [rename_option(issue, names) for issue in error.faults]
