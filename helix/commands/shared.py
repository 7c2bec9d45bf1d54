"""What the commands share: exit codes, and writing to the terminal."""

from __future__ import annotations

import contextlib
import sys

from helix.errors import one_line

DONE, FLAGGED, NO_ANSWER, UNUSABLE, STOPPED = 0, 1, 1, 2, 130


def write_out(text: str) -> None:
    """Write to standard output, whatever characters it can show."""
    coding = getattr(sys.stdout, "encoding", None) or "utf-8"
    sys.stdout.write(text.encode(coding, "backslashreplace").decode(coding))


def report(text: str) -> None:
    """One line on standard error; a closed one is no reason to stop."""
    coding = getattr(sys.stderr, "encoding", None) or "utf-8"
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write(one_line(text).encode(coding, "backslashreplace").decode(coding) + "\n")
        sys.stderr.flush()


def complain(text: str) -> None:
    """Each line of text as one line on standard error, after the program's name."""
    for line in text.splitlines() or [""]:
        report(f"helix: {line}")
