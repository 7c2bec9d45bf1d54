"""Mutation testing: a seeded sample of small faults is put into helix one at a time; the tests near it should fail.

    .venv/bin/python -m pip install -e '.[mutants]'
    .venv/bin/python scripts/mutants.py                                  the usual parts, 28 faults each; an hour or two
    .venv/bin/python scripts/mutants.py helix/studies/judge.py --count 9  nine in one file
    .venv/bin/python scripts/mutants.py helix/statistics --seed 2        others

The faults are those of cosmic-ray (an operator, a comparison, a number, a condition, a loop changed); every place in the
code of a part is as likely as any other. Each runs, in a copy of the clone, against the examples of its module, the test
files that import the module, the tests in its mirror folder, and those of the limits and of the judgement. What survives
is a fault that changes nothing, or a hole in the tests; who reads it decides. Ctrl-C gives the score so far.

Exit code 0: every fault was noticed; 1: some were not; 2: a test that noticed one fails without it too, or a part has
nothing that can be changed.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
PARTS = (
    "helix/findings.py", "helix/geometry", "helix/mechanics", "helix/statistics", "helix/studies", "helix/studies/judge.py",
    "helix/studies/hold", "helix/studies/inspect", "helix/studies/pulls", "helix/studies/shape",
)  # fmt: skip
PYTEST = (sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-o", "python_classes=none")
"""Tests are functions: a class of helix named Tested is none."""
NEAR = ("geometry", "mechanics", "statistics", "model", "studies")
"""The folders of tests that are looked through; beyond them are the slow ones: commands, pages, pictures."""
DECIDING = ("tests/studies/test_limits_decide.py", "tests/studies/test_judge.py")
USELESS = re.compile(r"Bit|Shift|_Is$|_IsNot$|RemoveDecorator")
"""Changes that tell nothing: of types as they are annotated, to operators that no number has, without a cache."""


@cache
def changes(path: Path) -> dict[tuple[int, int], list[Any]]:
    """All changes of a file, by their places (line, column)."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.plugins import get_operator, operator_names
    from cosmic_ray.work_item import MutationSpec

    nodes = list(ast_nodes(get_ast(path.read_text(encoding="utf-8"))))
    found: dict[tuple[int, int], list[Any]] = {}
    for name in operator_names():
        kind = get_operator(name)
        if kind.arguments() or (USELESS.search(name) and not name.endswith(("_Is_IsNot", "_IsNot_Is"))):
            continue
        places = ((node, place) for node in nodes for place in kind().mutation_positions(node))
        for number, (node, (start, end)) in enumerate(places):
            if node.parent is None or node.parent.type != "parameters":  # the star before keywords multiplies nothing
                found.setdefault(start, []).append(MutationSpec(path, name, number, start, end))
    return found


def sample(part: Path, count: int, rng: random.Random) -> list[tuple[Any, str]]:
    """That many changes in the files of a part at places drawn at random, each with its line before and after."""
    files = sorted(part.rglob("*.py")) if part.is_dir() else [part]
    places = [(path, at) for path in files for at in sorted(changes(path))]
    drawn = (rng.choice(changes(path)[at]) for path, at in rng.sample(places, len(places)))
    told = ((change, text) for change in drawn if (text := described(change)))
    return [one for one, _ in zip(told, range(count), strict=False)]


def described(change: Any) -> str:
    """A change as its place with the line before and after; "" where Python cannot read what is changed, or reads the same."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    before = change.module_path.read_text(encoding="utf-8")
    after = mutate_code(before, get_operator(change.operator_name)(), change.occurrence)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            if ast.dump(ast.parse(after)) == ast.dump(ast.parse(before)):
                return ""
    except (SyntaxError, SyntaxWarning):
        return ""
    line = change.start_pos[0]
    old, new = (text.splitlines()[line - 1].strip() for text in (before, after))
    return f"{change.module_path.as_posix()}:{line}\n    - {old}\n    + {new}"


def tests_of(path: Path) -> list[str]:
    """The tests that a fault in a module is run against, the nearest first."""
    folder, stem = ".".join(path.parts[:-1]), path.stem
    naming = re.compile(
        rf"^\s*(from|import) ({re.escape(folder)}\.{stem}\b|{re.escape(folder)} import .*\b{stem}\b)", re.MULTILINE
    )
    near = Path("tests", *path.parts[1:-1])
    files = [file for part in NEAR for file in sorted(Path("tests", part).rglob("test_*.py"))]
    named = [file for file in files if naming.search(file.read_text(encoding="utf-8"))]
    named.sort(key=lambda file: (file.stem != f"test_{stem}", file.parent != near))
    beside = [file for file in files if file.parent == near]
    deciding = DECIDING if path.parts[1] in ("mechanics", "studies") else ()
    return list(dict.fromkeys([path.as_posix(), *(file.as_posix() for file in (*named, *beside)), *deciding]))


def copy_the_clone(into: str) -> None:
    """The files that git knows, as they are now."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            Path(into, name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, Path(into, name))


def run(parts: list[str], count: int, seed: int, limit_s: float) -> Iterator[tuple[str, str, str, str]]:
    """Part, what became of a change in it, the change, the test that noticed it: in mixed order, in the folder at hand."""
    from cosmic_ray.mutating import mutate_and_test

    rng = random.Random(seed)
    drawn = [(part, *one) for part in parts for one in sample(Path(part), count, rng)]
    rng.shuffle(drawn)
    every = {test for _, change, _ in drawn for test in tests_of(change.module_path)}
    if drawn and not passes([*every, "--collect-only"]):  # which compiles them too
        raise RuntimeError("the tests cannot be collected")
    for part, change, told in drawn:
        done = mutate_and_test([change], " ".join([*PYTEST, *tests_of(change.module_path)]), limit_s)
        noticed = re.search(r"^(?:FAILED|ERROR) (.+?)(?: - |$)", done.output, re.MULTILINE)
        became = "killed" if noticed else "crashed" if done.is_killed else "survived"
        yield part, "timed out" if done.output == "timeout" else became, told, noticed[1] if noticed else ""


def main(words: list[str]) -> int:
    """Print each fault with what became of it, then the score of each part."""
    options = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    options.add_argument("parts", nargs="*", default=PARTS, metavar="PATH", help="folders or files of helix")
    options.add_argument("--count", type=int, default=28, help="faults in each part (28)")
    options.add_argument("--seed", type=int, default=1, help="another number draws others (1)")
    options.add_argument("--limit", type=float, default=600.0, help="seconds after which a fault has timed out (600)")
    given = options.parse_args(words)
    counts: dict[str, Counter[str]] = {part: Counter() for part in given.parts}
    sound, broken = {""}, ""
    with tempfile.TemporaryDirectory() as folder:
        copy_the_clone(folder)
        os.chdir(folder)
        os.environ |= {"PYTHONPATH": folder, "XDG_CACHE_HOME": f"{folder}/.cache"}
        for name in ("PYTHONDONTWRITEBYTECODE", "PYTHONPYCACHEPREFIX"):
            os.environ.pop(name, None)
        begun = time.monotonic()
        try:
            for part, became, told, test in run(list(counts), given.count, given.seed, given.limit):
                if test not in sound and not passes([test]):
                    broken = f"{test} fails without a fault too"
                    break
                sound.add(test)
                counts[part][became] += 1
                print(f"{time.monotonic() - begun:6.0f} s  {became:9} {told}\n    {test}".rstrip(), flush=True)
        except KeyboardInterrupt:
            print("Stopped. So far:")
        except RuntimeError as error:
            broken = str(error)
        os.chdir(ROOT)
    for part, found in counts.items():
        known = found["timed out"] + found["crashed"]
        print(
            f"{part:32} {found.total() - found['survived']:3} of {found.total():3} noticed, {known} by time or a crash"
        )
    if broken:
        print(f"{broken}: mend it first.")
    if broken or not all(counts.values()):
        return 2
    return 1 if any(found["survived"] for found in counts.values()) else 0


def passes(words: list[str]) -> bool:
    """Whether pytest finds nothing wrong, in the copy as it is."""
    return subprocess.run([*PYTEST, *words], stdout=subprocess.DEVNULL, check=False).returncode == 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
