"""Set helix up in .venv if need be, then run the linter and the type check (no tests).

python3 scripts/check.py
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("check.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

from pathlib import Path

from _venv import call, ensure, main_with, say

CHECKS = (("linter", ("-m", "ruff", "check", ".")), ("type check", ("-m", "mypy")))


def run_checks(python: Path) -> list[str]:
    """Run every check, whether or not an earlier one failed; return the names of those that did."""
    failed = []
    for name, arguments in CHECKS:
        say(f"== {name}")
        if call(python, *arguments):
            failed.append(name)
    return failed


def job() -> int:
    if len(sys.argv) > 1:
        say(__doc__ or "")
        return 0 if sys.argv[1] in ("-h", "--help") else 2
    failed = run_checks(ensure("test"))
    say("failed: " + ", ".join(failed) if failed else "linter and type check: nothing to say")
    return 1 if failed else 0


if __name__ == "__main__":
    main_with(job)
