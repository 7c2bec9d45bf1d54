"""Set helix up in .venv if need be, then run linter, formatter, type check and the check of docstrings (no tests).

python3 scripts/check.py [docstrings]   (docstrings: that check alone, with this Python)
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("check.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import ast
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from _venv import ROOT, call, ensure, main_with, say

DOCUMENTED = (
    "helix/api",
    "helix/data",
    "helix/mechanics",
    "helix/errors.py",
    "helix/findings.py",
    "helix/issue_words.py",
    "helix/quantities.py",
    "helix/units.py",
    "helix/geometry",
    "helix/cutting_stock",
    "helix/statistics",
)
"""Folders and files whose public functions have numpydoc sections. One that is done is added here and stays."""

RULES = "D,DOC201,DOC202,DOC402,DOC403,DOC501"
"""numpydoc's form, and that what a function returns, yields and raises itself is documented."""
LEFT_OUT = "D105"  # a method that Python calls says by its name what it does

CHECKS = (
    ("linter", ("-m", "ruff", "check", ".")),
    ("formatter", ("-m", "ruff", "format", "--check", ".")),
    ("type check", ("-m", "mypy")),
    ("docstrings", ("scripts/check.py", "docstrings")),
)


def undescribed(source: str) -> Iterator[tuple[int, str]]:
    """Yield line and fault of each public function whose parameters and section Parameters differ.

    A docstring of one line needs no sections.

    >>> list(undescribed('def area(d):\\n    \"\"\"Return the area.\\n\\n    Notes\\n    -----\\n    Round.\\n    \"\"\"\\n'))
    [(1, 'area: says nothing of d')]
    """
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) or node.name.startswith("_"):
            continue
        lines = (ast.get_docstring(node) or "").splitlines()
        if len(lines) < 2:
            continue
        arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        taken = {argument.arg for argument in arguments} - {"self", "cls"}
        taken |= {argument.arg for argument in (node.args.vararg, node.args.kwarg) if argument}
        start = lines.index("Parameters") + 2 if "Parameters" in lines else len(lines)
        told: set[str] = set()
        for line, below in pairwise([*lines[start:], ""]):
            if below and not below.strip("-"):
                break  # the next section
            if line and not line.startswith(" "):
                told |= {name.strip(" *") for name in line.partition(":")[0].split(",")}
        for what, names in (("says nothing of", taken - told), ("has no parameter", told - taken)):
            if names:
                yield node.lineno, f"{node.name}: {what} {', '.join(sorted(names))}"


def docstrings() -> int:
    """Check the docstrings of DOCUMENTED; return 0 if nothing is to be said."""
    rules = ("--preview", "--select", RULES, "--ignore", LEFT_OUT)
    code = call(Path(sys.executable), "-m", "ruff", "check", "--quiet", *rules, *DOCUMENTED)
    for place in map(ROOT.joinpath, DOCUMENTED):
        for path in sorted(place.rglob("*.py")) if place.is_dir() else [place]:
            for line, fault in undescribed(path.read_text(encoding="utf-8")):
                say(f"{path.relative_to(ROOT)}:{line}: {fault}")
                code = 1
    return code


def job() -> int:
    if sys.argv[1:] == ["docstrings"]:
        return docstrings()
    if len(sys.argv) > 1:
        say(__doc__ or "")
        return 0 if sys.argv[1] in ("-h", "--help") else 2
    python, failed = ensure("test"), []
    for name, arguments in CHECKS:  # every one, whether or not an earlier one failed
        say(f"== {name}")
        if call(python, *arguments):
            failed.append(name)
    say("failed: " + ", ".join(failed) if failed else "linter, formatter, types, docstrings: nothing to say")
    return 1 if failed else 0


if __name__ == "__main__":
    main_with(job)
