"""A walk of every output: terminal, data, pages, papers, pictures, charts, single steps, labels, the viewer, the page.

Map of what must hold, for a good joint that is invented, in metric units, and for a bad one in inches:
  what carries a load or tells hands what to do carries the caution, in one and the same words
  what shows invented data says so
  beside a limit that has no source, or comes from a test, its mark stands
  with inches nothing is metric
  no word that a bench does not use stands anywhere, in help and in the page's own texts too; no key and no option where a
  person reads
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from helix.page.answers.joint_answer import CAUTIONS, START, joint_answer
from helix.page.answers.panes import PANES
from helix.page.server.replies import to_bytes
from helix.tasks.registry import PLACES, task
from tests.output.every_output import (
    DEMO,
    FAULTY,
    INSIDE,
    METRIC,
    ROWS,
    TWICE,
    Painted,
    Row,
    help_words,
    json_strings,
    page_words,
    read,
    unpainted,
)
from tests.output.plain_words import DECIMAL_TURNS, HINTS, file_language, unplain

CAUTION = "An estimate. Wire whips: wear eye protection. Not for lifting, fall arrest or loads over people."
LIMITS = {
    r"(?:limit|limit is|over|of|shows|has) 0\.50\b": "wrapping test",
    r"(?:limit|over) 0\.75\b": "assumed",
    r"(?:limit|over|under|below|beyond) 90\b": "practice",
    r"(?i:practice) (?:says|makes|calls|keeps)\b": "common practice, no source",
}
BESIDE = 110
"""Letters on each side of a limit in which its mark has to stand."""


@pytest.fixture(scope="module")
def painted() -> Iterator[Painted]:
    with unpainted() as made:
        yield made


def unmarked(text: str, beside: int = BESIDE) -> list[str]:
    """Limits whose mark stands nowhere near."""
    found = []
    for limit, mark in LIMITS.items():
        for match in re.finditer(limit, text):
            near = text[max(match.start() - beside, 0) : match.end() + beside]
            found += [near] if mark not in near else []
    return found


def check(name: str, joint: str, units: str, folder: Path, painted: Painted) -> None:
    row = ROWS[name]
    for file, pieces in read(name, row, joint, units, folder, painted).items():
        text = " ".join(pieces)
        inside = file.endswith(INSIDE)
        assert not row.load or inside or CAUTION in text, file
        if row.demo and not inside and (joint == DEMO or "{joint}" not in row.words):
            assert "invented" in text.lower(), file
        assert unmarked(text, len(text) if row.drawn or inside else BESIDE) == [], file
        assert [words for piece in pieces for words in unplain(piece)] == [], file
        if is_for_people(file, row):
            assert file_language(text if row.file else HINTS.sub("", text)) == [], file
            assert [words for piece in pieces for words in DECIMAL_TURNS.findall(piece)] == [], file
        if units == "inch" and row.units:
            assert [piece for piece in pieces if METRIC.search(piece) or TWICE.search(piece)] == [], file


def is_for_people(file: str, row: Row) -> bool:
    """Whether no key and no option may stand in an output: answers of a terminal, pages, papers, pictures."""
    of_a_file = (
        row.words[0] == "new" or row.words[:2] == ("pulls", "template") or row.file.endswith((".toml", ".csv", ".json"))
    )
    return not of_a_file and "--json" not in row.words and not file.endswith((".glb", ".ply"))


def is_quick(name: str, joint: str) -> bool:
    """Whether an output is read in the walk of every day: of the bad joint in inches those that are drawn alone, for the
    words of a terminal are read in tests/commands/test_inches.py and sheets in sheet/test_paper_boxes.py."""
    drawn = ROWS[name].drawn or ROWS[name].file.endswith(".html")
    return not name.startswith(("spread", "handout")) and (
        joint == DEMO or (drawn and not name.startswith(("pulls", "cut", "simulate")))
    )


WALK = [
    pytest.param(name, joint, units, id=f"{name}, {units}", marks=() if is_quick(name, joint) else pytest.mark.slow)
    for joint, units in ((DEMO, "metric"), (FAULTY, "inch"))
    for name in ROWS
]


@pytest.mark.parametrize(("name", "joint", "units"), WALK)
def test_output(name: str, joint: str, units: str, painted: Painted, tmp_path: Path) -> None:
    check(name, joint, units, tmp_path, painted)


def test_every_task_and_every_file_of_it_is_in_the_table() -> None:
    seen = {name: {row.file.rpartition(".")[2] for row in ROWS.values() if name == _task_of(row)} for name in PLACES}
    for name in PLACES:
        assert any(_task_of(row) == name for row in ROWS.values()), name
        for output in task(name).files:
            missing = {suffix[1:] for suffix in output.suffixes} - seen[name] - {"gif", "txt"}
            assert output.paged or name == "pulls template" or missing == set(), (name, output.key, missing)


def _task_of(row: Row) -> str:
    pair = " ".join(row.words[:2])
    return pair if pair in PLACES else row.words[0]


def test_a_mark_that_is_missing_is_noticed() -> None:
    assert unmarked("strain 0.62 (limit 0.50: wrapping test)") == []
    assert len(unmarked("strain 0.62 (limit 0.50); over 0.75: sharp")) == 2
    assert len(unmarked("keep both under 90")) == len(unmarked("Practice makes 5 turns (common sense)")) == 1
    assert (
        METRIC.search("at 647 N. The tag") and METRIC.search("contact, N per in") and not METRIC.search("J. W. Pratt")
    )


def test_help_is_in_plain_words() -> None:
    assert [(name, found) for name, text in help_words() if (found := unplain(text))] == []


def test_words_that_are_not_plain_are_noticed() -> None:
    found = unplain("LOCKS, BUT BREAKS EARLY. What gives way first: model R speaks. Distances in in. 19 of 20 hold")
    assert len(found) == 6
    assert unplain("Plan with 627 N (an estimate: 19 of 20 pieces hold more). Model R governs.") == []
    assert len(file_language('write rated_load or throat = "tangent"; --wraps 3 would fit; see helix hold')) == 4
    assert file_language("4 turns would fit; logger_tether.toml") == []
    assert DECIMAL_TURNS.findall("0.49 turn, 1.25 turns, 3/4 turn, 5 turns") == ["0.49 turn", "1.25 turns"]


# ------------------------------------------------------------------ the page


def test_the_page_is_in_plain_words() -> None:
    """The words in its sources; what comes from answers is read below. A plan as text is no words."""
    pieces = [(name, words) for name, words in page_words() if name != "plan_text.js"]
    assert len(pieces) > 200
    assert [(name, found) for name, words in pieces if (found := unplain(words) + file_language(words))] == []


RECIPE: dict[str, Any] = {**START, "title": "Tether (invented)"}
PANE_BODIES: dict[str, dict[str, Any]] = {
    "form": {}, "stretch": {"load": "300 N"}, "hold": {}, "inspect": {"turns": "4"}, "pulls-plan": {"each": "3"},
    "choose": {"load": "400 N", "family": "MWG", "rows": "2"}, "why": {}, "spread": {"draws": "100"},
    "steps": {}, "compare": {"recipes": [RECIPE, {**RECIPE, "eye": {"pin": "6 mm", "throat": "100 deg"}}]},
}  # fmt: skip
HEAVY = ("why", "spread", "choose")
UNDER_KNOBS = ("steps", "compare")
"""Panes that leave the caution to the page, which shows its own below the knobs at all times."""


def told(reply: Any) -> Any:
    """What a reply gives to read, without what goes back into a recipe and what programs take, which stay metric."""
    if isinstance(reply, dict):
        kept = {key: value for key, value in reply.items() if key not in ("record", "judgement", "recipe", "made")}
        return {key: told(value) for key, value in kept.items()}
    return [told(part) for part in reply] if isinstance(reply, list) else reply


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if name in HEAVY else ()) for name in PANE_BODIES]
)
def test_pane(name: str, units: str) -> None:
    body = {"recipe": RECIPE, "units": units, **PANE_BODIES[name]}
    reply = json.loads(to_bytes(PANES[name].run(body, lambda line: None)))
    pieces = list(json_strings(told(reply)))
    text = " ".join(pieces)
    assert CAUTION in text or name in UNDER_KNOBS
    assert "invented" in text.lower() or name in ("choose", *UNDER_KNOBS)
    assert unmarked(text) == []
    assert [found for piece in pieces for found in (*unplain(piece), *file_language(piece))] == []
    if units == "inch":
        assert [piece for piece in pieces if METRIC.search(piece) or TWICE.search(piece)] == []


@pytest.mark.parametrize("draft", [True, False])
def test_joint_of_the_page(draft: bool) -> None:
    reply = joint_answer(
        {"recipe": {**RECIPE, "eye": {"pin": "6 mm", "throat": "100 deg"}}, "draft": draft, "units": "inch"}
    )
    pieces = list(json_strings(told(json.loads(to_bytes(reply)))))
    assert "Tether (invented)" in pieces
    assert unmarked(" ".join(pieces)) == []
    assert [found for piece in pieces for found in (*unplain(piece), *file_language(piece))] == []
    assert [piece for piece in pieces if METRIC.search(piece) or TWICE.search(piece)] == []
    assert all(word in " ".join(CAUTIONS) for word in ("eye protection", "fall arrest", "whips", "Estimates"))
