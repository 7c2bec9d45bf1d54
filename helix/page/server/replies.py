"""What the page's server sends back: JSON, and faults in words with the key that they belong to."""

from __future__ import annotations

import json
import math
import os
import re
import sys
import traceback
from collections.abc import Iterable
from typing import Any

from helix.errors import HelixError, ValidationError, ValidationIssue, by_rows, one_line
from helix.issue_words import issue_message
from helix.values import Values

DEEPEST = 20
"""Levels of a body: a plan with its recipes needs six."""
_LONGEST_NUMBER = 40


class CurableFaults(ValidationError):
    """Faults of a recipe with what cures them: pairs of a fault's message and {"say", "recipe"}."""

    def __init__(self, faults: Iterable[ValidationIssue], cures: Iterable[tuple[str, dict[str, Any]]]) -> None:
        super().__init__(list(faults))
        self.cures = list(cures)


def to_bytes(reply: object) -> bytes:
    """A reply as JSON; raises ValueError where a number is not finite."""
    return json.dumps(reply, allow_nan=False, separators=(",", ":")).encode("ascii")


def object_of(body: bytes) -> dict[str, Any]:
    """The JSON object in a body; raises ValidationError for anything else, and for numbers that are none.

    >>> object_of(b'{"turns": NaN}')
    Traceback (most recent call last):
    helix.errors.ValidationError: request: must hold finite numbers only; got NaN
    """
    try:
        values = json.loads(body, parse_constant=_no_number, parse_float=_finite, parse_int=_whole)
    except ValidationError:
        raise
    except RecursionError:
        raise _fault(f"must be nested at most {DEEPEST} deep") from None
    except ValueError as error:  # UnicodeDecodeError and JSONDecodeError too
        where = f" (line {error.lineno} column {error.colno})" if isinstance(error, json.JSONDecodeError) else ""
        raise _fault(f"must be JSON in UTF-8{where}") from None
    if not isinstance(values, dict):
        raise _fault("must be a JSON object")
    _look_over(values)
    return values


def _look_over(values: dict[str, Any]) -> None:
    """Refuse what is nested too deep, and text that is no Unicode."""
    level: list[object] = [values]
    for _ in range(DEEPEST + 1):
        inside: list[object] = []
        for item in level:
            if isinstance(item, dict):
                inside += [*item.keys(), *item.values()]
            elif isinstance(item, list):
                inside += item
            elif isinstance(item, str) and any("\ud800" <= letter <= "\udfff" for letter in item):
                raise _fault("must hold whole characters; half of a surrogate pair is none")
        if not inside:
            return
        level = inside
    raise _fault(f"must be nested at most {DEEPEST} deep")


def _no_number(text: str) -> float:
    raise _fault(f"must hold finite numbers only; got {text}")


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise _fault("must hold finite numbers only; got one beyond 1e308")
    return value


def _whole(text: str) -> int:
    if len(text) > _LONGEST_NUMBER:
        raise _fault(f"must hold numbers of at most {_LONGEST_NUMBER} digits")
    return int(text)


def _fault(message: str) -> ValidationError:
    return ValidationError.at("request", message)


def fault_record(fault: ValidationIssue) -> dict[str, Any]:
    """A fault with the key that it belongs to: "twist.turns", or the name of a field, or "".

    >>> from helix.errors import IssuePath
    >>> fault_record(ValidationIssue(IssuePath(table=("twist",), key="turns"), "must be 0 or more; got -1"))["key"]
    'twist.turns'
    >>> fault_record(ValidationIssue(IssuePath(key="hand_force"), "must be above 0 N; got 0 N"))["key"]
    'hand_force'
    """
    return {
        "place": one_line(_place(fault)),
        "key": fault.path.name,
        "message": one_line(_without_syntax(fault)),
        "code": fault.code,
    }


def in_words(message: str) -> dict[str, Any]:
    return {"place": "", "key": "", "message": one_line(message)}


def faulty(faults: Iterable[dict[str, Any]]) -> dict[str, Any]:
    """The reply that holds faults."""
    return {"ok": False, "faults": list(faults)}


def _place(fault: ValidationIssue) -> str:
    """Where a fault stands: what the page calls its knob, where it is of no line of a file.

    >>> from helix.errors import IssuePath
    >>> _place(ValidationIssue(IssuePath(file="recipe", table=("eye",), key="pin"), "must be more than 0"))
    'Pin or ring'
    >>> _place(ValidationIssue(IssuePath(file="end lower: joint.toml", table=("twist",), key="turns"), "must be more than 0"))
    'end lower: Turns (Twist)'
    """
    from helix.page.answers.knobs import label_of
    from helix.page.answers.request_values import OWN_RECIPE

    path, label = fault.path, label_of(fault.path.name)
    if not label or path.line is not None:
        return fault.place
    file = path.file if path.file != "recipe" else ""
    file = file.removesuffix(OWN_RECIPE).removesuffix(": ")
    return ": ".join(part for part in (file, label) if part)


def _without_syntax(fault: ValidationIssue) -> str:
    """A fault's words without what to write into a file, where it stands at its own field; at a menu there is nothing to write."""
    from helix.page.answers.knobs import MENUS

    if fault.path.name in MENUS and fault.code in ("missing", "not-a-choice", "wrong-type"):
        got = fault.values.get("got")
        return f"must be chosen from the list{f'; got {got}' if got else ''}"
    hinted, given = fault.code == "wrong-type" and fault.values.get("hint"), fault.code == "missing" and fault.path.key
    if hinted:
        return issue_message(fault.code, Values(**{**fault.values, "hint": ""}))
    return "is missing" if given else fault.message


def told(error: BaseException) -> tuple[int, list[dict[str, Any]]]:
    """Status and faults of an error that ended the work; one that is our own fault goes to standard error too."""
    if isinstance(error, ValidationError):
        merged = by_rows(error.faults)
        faults = [fault_record(fault) for fault in merged]
        if isinstance(error, CurableFaults):
            for fault, record in zip(merged, faults, strict=True):
                record["fixes"] = [cure for message, cure in error.cures if message == fault.message]
        return 422, faults
    if isinstance(error, HelixError):
        return 422, [in_words(str(error))]
    if isinstance(error, MemoryError):
        return 422, [in_words("this needs more memory than there is")]
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    line = f"internal error, please report it: {one_line(what)[:300]}"
    sys.stderr.write(f"helix: {line}\n")
    if os.environ.get("HELIX_DEBUG"):
        traceback.print_exception(error)
    return 500, [in_words(line)]


def plain_name(title: str) -> str:
    """A file's name that every system takes.

    >>> plain_name("../My joint, No. 3.toml")
    'my-joint-no-3.toml'
    """
    stem, _, ending = title.rpartition(".")
    stem = re.sub(r"[^a-z0-9]+", "-", (stem or title).lower()).strip("-")[:60]
    ending = re.sub(r"[^a-z0-9]+", "", ending.lower())[:8]
    return f"{stem or 'joint'}.{ending or 'txt'}"
