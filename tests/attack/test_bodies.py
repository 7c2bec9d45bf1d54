"""The page's server on bodies that somebody made up: an answer or a refusal in words, never a fault of its own.

`scripts/attack.py --bodies 1000` runs many, under a limit of memory.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from helix.page.answers.joint_answer import START
from tests.attack import asking
from tests.attack.asking import Asked, Request, asked, outcome_of_request
from tests.attack.cases import drawn_cases
from tests.attack.odd_bodies import request_cases

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(name="server", scope="module")
def _server() -> Iterator[Asked]:
    with asked() as server:
        yield server


def problems(server: Asked, count: int, number: int) -> tuple[list[str], set[int]]:
    """What is wrong with the replies, their time left out (scripts/attack.py measures it), and their statuses."""
    outcomes = [
        (request, outcome_of_request(server, request)) for [request] in drawn_cases(request_cases(), count, number)
    ]
    wrong = [f"{outcome.problem}\n{request}" for request, outcome in outcomes if outcome.problem]
    return [line for line in wrong if not line.startswith("took")], {outcome.code for _, outcome in outcomes}


def test_a_slice_of_the_bodies(server: Asked) -> None:
    wrong, statuses = problems(server, 16, 5)
    assert not wrong, "\n\n".join(wrong)
    assert {200, 422} <= statuses


@pytest.mark.slow
def test_more_bodies(server: Asked) -> None:
    wrong, _ = problems(server, 300, 8)
    assert not wrong, "\n\n".join(wrong)


@pytest.mark.slow
def test_a_model_of_the_longest_barrel_fits_into_memory() -> None:
    """It took 600 MB. In a process of its own: what others took is not its."""
    code = (
        "import json\n"
        "from helix.page.answers.joint_answer import START\n"
        "from tests.attack.asking import Request, asked, outcome_of_request\n"
        "body = json.dumps({'recipe': {**START, 'barrel': {'wraps': 1000}}}).encode()\n"
        "with asked() as server:\n"
        "    done = outcome_of_request(server, Request('/api/file/model.stl', body, True))\n"
        "print(done.code, done.problem)"
    )
    ran = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.stdout.split() == ["200"], ran.stdout + ran.stderr


def test_an_attack_on_bodies_can_fail(server: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    request = Request("/api/write", json.dumps({"recipe": START}).encode())
    assert outcome_of_request(server, request).problem == ""

    def breaks(tables: object) -> None:
        raise KeyError("inside")

    monkeypatch.setattr("helix.page.answers.recipe_tables.recipe_of_tables", breaks)
    assert outcome_of_request(server, request).problem.startswith("answers 500")
    monkeypatch.undo()
    monkeypatch.setattr(asking, "LONGEST_S", -1.0)  # processor time comes in ticks, and may be none
    assert outcome_of_request(server, request).problem.startswith("took")
    monkeypatch.setattr(asking, "LONGEST_S", 3.0)
    monkeypatch.setattr(asking, "MOST_MB", -1.0)
    assert outcome_of_request(server, request).problem.endswith(" MB")


@pytest.mark.slow
def test_what_others_hold_is_not_the_request_s(server: Asked) -> None:
    """A worker that had drawn pictures held over 500 MB before it was asked anything."""
    held = np.ones(70_000_000)
    done = outcome_of_request(server, Request("/api/write", json.dumps({"recipe": START}).encode()))
    assert held[-1] and not done.problem and done.most_mb < 100.0


def test_a_file_of_readings_is_not_for_a_pane(server: Asked) -> None:
    """Text under the key of a file that the page does not open was an internal error."""
    body = json.dumps({"recipe": START, "readings": "1 d", "exit": "61.85 mm"}).encode()
    done = outcome_of_request(server, Request("/api/pane/inspect", body))
    assert (done.code, done.problem) == (422, "")
