"""Attack helix with recipes over the whole accepted range and with broken files, and count what goes wrong.

Each case runs in process through the entry of the command line, in a child with 1.5 GB of address space, so that a case
that dies takes nothing else with it. Exit code 1 where anything goes wrong. 3,000 of each take about half an hour:

    .venv/bin/python scripts/attack.py --recipes 3000 --files 3000 --seed 1
"""

from __future__ import annotations

import argparse
import collections
import json
import os
import resource
import sys
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"  # each thread takes address space
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.attack.attacking import Case, Outcome, outcome_of
from tests.attack.cases import drawn_cases, file_cases, recipe_cases

MOST_BYTES = 1_500_000_000
BATCH = 100


def main() -> int:
    """Draw, run, count."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--recipes", type=int, default=300)
    parser.add_argument("--files", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    ended: list[tuple[Case, Outcome]] = []
    for strategy, count in ((recipe_cases(), options.recipes), (file_cases(), options.files)):
        draws = drawn_cases(strategy, count, options.seed)
        for start in range(0, len(draws), BATCH):
            ended += _batch([case for cases in draws[start : start + BATCH] for case in cases])
            print(
                f"{start + BATCH} draws, {sum(bool(outcome.problem) for _, outcome in ended)} problems", file=sys.stderr
            )
    _count(ended)
    return int(any(outcome.problem for _, outcome in ended))


def _batch(cases: list[Case]) -> list[tuple[Case, Outcome]]:
    """Run cases in a child; one that kills it is noted, and another child goes on behind it."""
    ended: list[tuple[Case, Outcome]] = []
    while len(ended) < len(cases):
        rest = cases[len(ended) :]
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            _work(rest, writing)
        os.close(writing)
        with os.fdopen(reading, encoding="utf-8") as lines:
            outcomes = [Outcome(**json.loads(line)) for line in lines]
        _, status = os.waitpid(child, 0)
        if len(outcomes) < len(rest):
            outcomes.append(Outcome(-1, 0.0, f"the process died: {status}"))
        ended += zip(rest, outcomes, strict=False)
    return ended


def _work(cases: list[Case], writing: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    try:
        for case in cases:
            outcome = outcome_of(case)
            os.write(writing, (json.dumps(vars(outcome) | {"said": outcome.said[:300]}) + "\n").encode())
    finally:
        os._exit(0)


def _count(ended: list[tuple[Case, Outcome]]) -> None:
    by_command = collections.Counter((case.words[0], outcome.code) for case, outcome in ended)
    for (command, code), count in sorted(by_command.items()):
        slowest = max(outcome.seconds for case, outcome in ended if case.words[0] == command)
        print(f"{command:8} exit code {code}: {count:5}   slowest of the command {slowest:.2f} s")
    for case, outcome in ended:
        if outcome.problem:
            print(f"\n=== {outcome.problem}\n{case}")
    print(f"\n{len(ended)} answers, {sum(bool(outcome.problem) for _, outcome in ended)} problems")


if __name__ == "__main__":
    sys.exit(main())
