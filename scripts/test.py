"""Set helix up in .venv if need be, then run the tests, and the linter and the type check beside them.

    python3 scripts/test.py                     everything but the slow studies
    python3 scripts/test.py -m slow             the slow studies
    python3 scripts/test.py tests/test_units.py -k inch

What follows the script's name is handed to pytest. The tests run on three processes (-n 0: on one).
"""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("test.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

from _venv import VENV, call, ensure, main_with, say, start

PROCESSES = ("-n", "3", "--dist", "loadgroup")  # a later -n wins; what shares a browser stays together, and waits


def keep_compiled() -> None:
    """Keep what Python compiles, in .venv where it must not lie beside the source: hundreds of tests start a Python."""
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
        os.environ.setdefault("PYTHONPYCACHEPREFIX", str(VENV / "compiled"))


def job() -> int:
    if sys.argv[1:2] in (["-h"], ["--help"]):
        say(__doc__ or "")
        return 0
    python = ensure("test")
    keep_compiled()
    checks = start(python, "scripts/check.py")  # one process, which would leave the other core idle
    say("== tests (linter, formatter, type check and docstrings beside them)")
    code = call(python, "-m", "pytest", *PROCESSES, *sys.argv[1:])
    said, _ = checks.communicate()
    say(said.rstrip())
    return code or checks.returncode


if __name__ == "__main__":
    main_with(job)
