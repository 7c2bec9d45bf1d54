"""What helix raises when an input cannot be used: one line a fault, all faults at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Self

from helix.issue_words import issue_message
from helix.values import Scalar, Values

NO_VALUES: Final = Values()
_MOST_RUNS: Final = 10  # of rows in a line


class HelixError(Exception):
    """Base of every error that helix raises on purpose."""


@dataclass(frozen=True)
class IssuePath:
    """Where an issue stands: the file, its line, the tables and the key; of a table of rows, the row and the column.

    What does not apply is empty. more_rows: further ones of which the same is said.

    >>> print(IssuePath(file="joint.toml", line=9, table=("twist",), key="lay_length"))
    joint.toml line 9: [twist] lay_length
    >>> print(IssuePath(file="pulls.csv", row=3, key="load"))
    pulls.csv row 3, column load
    >>> print(IssuePath(file="pulls.csv", row=3, key="load", more_rows=(4, 5, 9)))
    pulls.csv rows 3 to 5 and 9, column load
    """

    file: str = ""
    line: int | None = None
    table: tuple[str, ...] = ()
    key: str = ""
    row: int | None = None
    more_rows: tuple[int, ...] = ()

    @property
    def name(self) -> str:
        """Tables and key joined by points, as programs name them: "twist.lay_length"."""
        return ".".join((*self.table, self.key) if self.key else self.table)

    def __str__(self) -> str:
        if self.row is not None:
            rows = f"rows {_row_list((self.row, *self.more_rows))}" if self.more_rows else f"row {self.row}"
            return f"{self.file} {rows}{f', column {self.key}' if self.key else ''}".lstrip()
        file = self.file if self.line is None else f"{self.file} line {self.line}"
        key = f"[{'.'.join(self.table)}] {shown_key(self.key)}".rstrip() if self.table else shown_key(self.key)
        return ": ".join(part for part in (file, key) if part)


@dataclass(frozen=True, init=False)
class ValidationIssue:
    """One thing that is wrong with an input, as data: where it stands, what it is, the values that say so.

    Parameters
    ----------
    place : str or IssuePath
        Where it stands; text where it is in no file and no table.
    message : str
        What is wrong and what would be right. Left out, it is made from the code's words and the values.
    code : str
        What it is, for programs: a key of `helix.issue_words.WORDS`, or "invalid".
    values : Values
        What the sentence is made of, numbers included.

    Examples
    --------
    >>> pin = IssuePath(file="joint.toml", table=("eye",), key="pin")
    >>> issue = ValidationIssue(pin, code="out-of-range", values=Values(wanted="more than 0", got="0 mm"))
    >>> print(issue)
    joint.toml: [eye] pin: must be more than 0; got 0 mm
    >>> issue.path.name, issue.code
    ('eye.pin', 'out-of-range')
    """

    path: IssuePath
    message: str
    code: str
    values: Values

    def __init__(
        self, place: str | IssuePath, message: str = "", *, code: str = "invalid", values: Values = NO_VALUES
    ) -> None:
        object.__setattr__(self, "path", place if isinstance(place, IssuePath) else IssuePath(file=place))
        object.__setattr__(self, "message", message or issue_message(code, values))
        object.__setattr__(self, "code", code)
        object.__setattr__(self, "values", values)

    @property
    def place(self) -> str:
        """The path as people read it: "joint.toml line 9: [twist] lay_length"."""
        return str(self.path)

    def __str__(self) -> str:
        return one_line(f"{self.place}: {self.message}")


class InputValueError(ValueError):
    """A value that cannot be used, raised where its place is not known; `at` makes the issue of it.

    >>> print(InputValueError("out-of-range", wanted="more than 0", got="0 mm").at(IssuePath(table=("eye",), key="pin")))
    [eye] pin: must be more than 0; got 0 mm
    """

    def __init__(self, code: str, **values: Scalar) -> None:
        self.code, self.values = code, Values(**values)
        super().__init__(issue_message(code, self.values))

    def __reduce__(self) -> tuple[Any, ...]:
        return (_value_error, (self.code, self.values))

    def at(self, place: str | IssuePath) -> ValidationIssue:
        """Return the issue at its place."""
        return ValidationIssue(place, code=self.code, values=self.values)


def _value_error(code: str, values: Values) -> InputValueError:
    return InputValueError(code, **values)


def _row_list(rows: Sequence[int]) -> str:
    """Rows as people write them, a few runs of them: "2 to 4, 6, 8 and 9"."""
    runs: list[list[int]] = []
    for row in sorted(rows):
        if runs and row == runs[-1][-1] + 1:
            runs[-1].append(row)
        else:
            runs.append([row])
    told = [word for run in runs for word in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run))]
    if len(told) > _MOST_RUNS:
        shown = told[:_MOST_RUNS]
        seen = sum(int(word.split(" to ")[-1]) - int(word.split(" to ")[0]) + 1 for word in shown)
        told = [*shown, f"{len(rows) - seen} more"]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


def by_rows(faults: Iterable[ValidationIssue]) -> tuple[ValidationIssue, ...]:
    """Put issues that say the same of one column in several rows together.

    Parameters
    ----------
    faults : iterable of ValidationIssue
        In the order in which they were found.

    Returns
    -------
    tuple of ValidationIssue
        Each such issue once, at the place of the first row, with the others in `path.more_rows`; the rest as they are.

    Examples
    --------
    >>> rows = [ValidationIssue(IssuePath(file="a.csv", row=row, key="load"), "is empty") for row in (2, 3)]
    >>> print(*by_rows(rows))
    a.csv rows 2 and 3, column load: is empty
    """
    alike: dict[tuple[object, ...], list[ValidationIssue]] = {}
    for fault in faults:
        path = fault.path
        key = (path,) if path.row is None else (path.file, path.table, path.key)
        alike.setdefault((*key, fault.code, fault.message), []).append(fault)
    merged = []
    for same in alike.values():
        first, rows = same[0], tuple(dict.fromkeys(fault.path.row for fault in same if fault.path.row is not None))
        path = replace(first.path, more_rows=rows[1:]) if len(rows) > 1 else first.path
        merged += (
            [ValidationIssue(path, first.message, code=first.code, values=first.values)] if len(rows) > 1 else same
        )
    return tuple(merged)


class ValidationError(HelixError):
    """An input that cannot be used; `faults` holds every fault found, `str()` one line for each.

    Raises ValueError when it is made without a fault.

    >>> print(ValidationError([ValidationIssue("a.toml: [eye] pin", "is missing"), ValidationIssue("a.toml", "has no [wire]")]))
    a.toml: [eye] pin: is missing
    a.toml: has no [wire]
    """

    def __init__(self, faults: Iterable[ValidationIssue]) -> None:
        self.faults: tuple[ValidationIssue, ...] = tuple(faults)
        if not self.faults:
            raise ValueError("ValidationError must hold at least one fault; got none")
        super().__init__("\n".join(str(fault) for fault in by_rows(self.faults)))

    @classmethod
    def at(
        cls, place: str | IssuePath, message: str = "", *, code: str = "invalid", values: Values = NO_VALUES
    ) -> Self:
        """Return the error of one issue, told as to `ValidationIssue`."""
        return cls([ValidationIssue(place, message, code=code, values=values)])

    def __reduce__(self) -> tuple[type[ValidationError], tuple[tuple[ValidationIssue, ...]]]:
        return (type(self), (self.faults,))


class InfeasibleJointError(ValidationError):
    """A recipe that reads well but describes a shape that cannot exist (exit code 2 as well)."""


class ConvergenceError(HelixError, RuntimeError):
    """A search that did not converge: there is no answer to give (exit code 1). Says of what, and what may help."""


def error_issue(place: str | IssuePath, error: ValueError) -> ValidationIssue:
    """Make the issue of a value that cannot be used, at its place.

    Parameters
    ----------
    place : str or IssuePath
        Where the value stands.
    error : ValueError
        What is wrong with it; with its code where it has one.

    Returns
    -------
    ValidationIssue

    Examples
    --------
    >>> error_issue(IssuePath(key="pin"), InputValueError("out-of-range", wanted="more than 0", got="0 mm")).code
    'out-of-range'
    """
    return error.at(place) if isinstance(error, InputValueError) else ValidationIssue(place, str(error))


def one_line(text: str) -> str:
    r"""Return text with every character that would break or colour a line written as an escape.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Printable text.

    Examples
    --------
    >>> one_line("a\nb")
    'a\\nb'
    """
    return "".join(char if char.isprintable() else char.encode("unicode_escape").decode("ascii") for char in text)


def argument_issue(key: str, message: str) -> ValidationIssue:
    """Make the issue of an argument or option: a value that stands in no file.

    Parameters
    ----------
    key : str
        The argument's name.
    message : str
        What it must be, and what was given.

    Returns
    -------
    ValidationIssue
        The issue, at that argument.

    Examples
    --------
    >>> print(argument_issue("load", "must be above 0; got -5 N"))
    load: must be above 0; got -5 N
    """
    return ValidationIssue(IssuePath(key=key), message)


def shown_key(key: str) -> str:
    """Return a key as a message shows it: what is not plain letters, digits, - and _ in quotes.

    Parameters
    ----------
    key : str
        A key as a file has it.

    Returns
    -------
    str
        The key, or the key in quotes.

    Examples
    --------
    >>> shown_key("lay_length"), shown_key("a b")
    ('lay_length', '"a b"')
    """
    plain = key.replace("-", "").replace("_", "")
    bare = key in ("", '""') or plain.isalnum() and plain.isascii() and len(key) <= 40
    return key if bare else quoted(key, 40)


def quoted(value: object, longest: int = 60) -> str:
    """Return a value as a message shows it: text in double quotes, cut where it is long.

    Parameters
    ----------
    value : object
        What a file held.
    longest : int, optional
        Characters that are kept.

    Returns
    -------
    str
        One printable line.

    Examples
    --------
    >>> quoted("4 furlongs"), quoted(4), quoted(True), quoted("x" * 99, 5)
    ('"4 furlongs"', '4', 'true', '"xxxxx..."')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{cut(value, longest)}"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    try:
        shown = str(value)
    except ValueError:  # Python does not write out integers of thousands of digits
        return "a number too long to show"
    return cut(shown, longest)


def cut(text: str, longest: int = 60) -> str:
    """Return text as one line of at most so many of its characters.

    Parameters
    ----------
    text : str
        Any text.
    longest : int, optional
        Characters that are kept.

    Returns
    -------
    str
        One printable line.

    Examples
    --------
    >>> cut("4 furlongs", 4)
    '4 fu...'
    """
    return one_line(text if len(text) <= longest else text[:longest] + "...")
