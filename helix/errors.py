"""What helix raises when an input cannot be used: one line a fault, all faults at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class HelixError(Exception):
    """Base of every error that helix raises on purpose."""


@dataclass(frozen=True)
class ValidationIssue:
    """One thing that is wrong with an input: where it stands, and what would be right.

    place: file, line and key, such as "joint.toml line 9: [twist] lay_length".
    message: what is wrong and what would be right, one sentence or two.

    >>> print(ValidationIssue("joint.toml: [eye] pin", "must be above 0; got 0 mm"))
    joint.toml: [eye] pin: must be above 0; got 0 mm
    """

    place: str
    message: str

    def __str__(self) -> str:
        return one_line(f"{self.place}: {self.message}")


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
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[ValidationError], tuple[tuple[ValidationIssue, ...]]]:
        return (type(self), (self.faults,))


class InfeasibleJointError(ValidationError):
    """A recipe that reads well but describes a shape that cannot exist (exit code 2 as well)."""


class ConvergenceError(HelixError, RuntimeError):
    """A search that came to no rest: there is no answer to give (exit code 1). Says of what, and what may help."""


def one_line(text: str) -> str:
    r"""Text with every character that would break or colour a line written as an escape.

    >>> one_line("a\nb")
    'a\\nb'
    """
    return "".join(char if char.isprintable() else char.encode("unicode_escape").decode("ascii") for char in text)


def quoted(value: object, longest: int = 60) -> str:
    """The value as a message shows it: text in double quotes, cut at `longest` characters.

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
    """Text as one line of at most `longest` of its characters.

    >>> cut("4 furlongs", 4)
    '4 fu...'
    """
    return one_line(text if len(text) <= longest else text[:longest] + "...")
