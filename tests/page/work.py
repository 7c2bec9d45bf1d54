"""Work for the page's processes in tests; the module loads next to nothing, as each process loads it."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from helix.errors import IssuePath, ValidationError, ValidationIssue, argument_issue

OnOutput = Callable[[str], None]


def echo(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    return {"got": body}


def process(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    print("a package that talks")
    on_output("first\nline")
    return {"process": os.getpid()}


def endless(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """Work that leaves a file only when it is not allowed to clean up."""
    path = Path(body["file"])
    try:
        path.write_text("half", encoding="utf-8")
        on_output(f"process {os.getpid()}")
        time.sleep(1000.0)
    finally:
        path.unlink()
    return {}


def naps(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """Work that is done in a moment."""
    on_output(f"process {os.getpid()}")
    time.sleep(body.get("seconds", 0.3))
    return {}


def deaf(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """Work that does not let itself be ended."""
    on_output(f"process {os.getpid()}")
    while True:
        with contextlib.suppress(SystemExit):
            time.sleep(1000.0)


def dies(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    os._exit(3)


def refuses(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    raise ValidationError(
        [
            ValidationIssue(IssuePath(file="recipe", table=("twist",), key="turns"), "must be 0 or more"),
            argument_issue("load", "is missing"),
        ]
    )


def breaks(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    raise KeyError("inside")


def no_number(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    return {"value": float("nan")}


def file(body: dict[str, Any], on_output: OnOutput) -> tuple[str, str, bytes]:
    return "../My joint!.csv", "text/csv", b"a,b\n\x00\xff"


def as_asked(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """The work above that a body names."""
    work: Callable[..., dict[str, Any]] = globals()[body["work"]]
    return work(body, on_output)
