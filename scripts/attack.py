"""Attack helix with recipes over the whole accepted range and with broken files, and count what goes wrong.

Each case runs in process through the entry of the command line, in a child with 1.5 GB of address space, so that a case
that dies takes nothing else with it. Time is processor time. Exit code 1 where anything goes wrong. 3,000 of each take
about half an hour:

    .venv/bin/python scripts/attack.py --recipes 3000 --files 3000 --seed 1

--bodies N: so many requests of the page's server, in the same way. --long: 20,000 recipes, 20,000 files, 2,000 bodies;
some four hours.
"""

from __future__ import annotations

import argparse
import collections
import contextlib
import json
import os
import resource
import sys
from pathlib import Path
from typing import Any

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"  # each thread takes address space
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from hypothesis import strategies as st

from tests.attack.asking import Asked, Request, asked, outcome_of_request
from tests.attack.attacking import Case, Outcome, outcome_of
from tests.attack.cases import drawn_cases, file_cases, recipe_cases
from tests.attack.odd_bodies import request_cases

Attack = Case | Request
MOST_BYTES = 1_500_000_000
BATCH = 100


def main() -> int:
    """Draw, run, count."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--recipes", type=int, default=300)
    parser.add_argument("--files", type=int, default=300)
    parser.add_argument("--others", type=int, default=3, help="commands beside shape that each recipe goes through")
    parser.add_argument("--bodies", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--long", action="store_true", help="20,000 recipes, 20,000 files and 2,000 bodies")
    options = parser.parse_args()
    if options.long:
        options.recipes, options.files, options.bodies, options.others = 20_000, 20_000, 2_000, 1
    ended: list[tuple[Attack, Outcome]] = []
    kinds: list[tuple[st.SearchStrategy[Any], int]] = [
        (recipe_cases(options.others), options.recipes), (file_cases(), options.files), (request_cases(), options.bodies),
    ]  # fmt: skip
    for strategy, count in kinds:
        draws = drawn_cases(strategy, count, options.seed) if count else []
        for start in range(0, len(draws), BATCH):
            batch = _batch([case for cases in draws[start : start + BATCH] for case in cases])
            for case, outcome in batch:
                if outcome.problem:
                    print(f"\n=== {outcome.problem}\n{case}", flush=True)
            ended += batch
            problems = sum(bool(outcome.problem) for _, outcome in ended)
            print(f"{min(start + BATCH, count)} of {count} draws, {problems} problems", file=sys.stderr)
    _count(ended)
    return int(any(outcome.problem for _, outcome in ended))


def _batch(cases: list[Attack]) -> list[tuple[Attack, Outcome]]:
    """Run cases in a child; one that kills it is noted, and another child goes on behind it."""
    ended: list[tuple[Attack, Outcome]] = []
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


def _work(cases: list[Attack], writing: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    try:
        with contextlib.ExitStack() as stack:
            server: Asked | None = None
            for case in cases:
                if isinstance(case, Case):
                    outcome = outcome_of(case)
                else:
                    server = server or stack.enter_context(asked())
                    outcome = outcome_of_request(server, case)
                os.write(writing, (json.dumps(vars(outcome) | {"said": outcome.said[:300]}) + "\n").encode())
    finally:
        os._exit(0)


def _count(ended: list[tuple[Attack, Outcome]]) -> None:
    by_command = collections.Counter((case.words[0], outcome.code) for case, outcome in ended)
    for (command, code), count in sorted(by_command.items()):
        seconds = [outcome.seconds for case, outcome in ended if case.words[0] == command]
        print(
            f"{command:24} answer {code}: {count:5}   of the command {sum(seconds):.0f} s, slowest {max(seconds):.2f} s"
        )
    print(f"\n{len(ended)} answers, {sum(bool(outcome.problem) for _, outcome in ended)} problems")


if __name__ == "__main__":
    sys.exit(main())
