"""One unit system in an output: with --units inch nothing of what people read is metric, in the answer and in all of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from helix.commands.main import main

EXAMPLES = Path(__file__).resolve().parents[2] / "docs/examples"
DEMO, PLAN, PULLS = (
    str(EXAMPLES / name) for name in ("logger-tether.toml", "reef-station.toml", "pulls/logger-tethers.csv")
)
FEW = ("--draws", "100")
COMMANDS: dict[str, tuple[str, ...]] = {
    "shape": (DEMO,),
    "sizes": (),
    "compare": (DEMO, str(EXAMPLES / "faults/open-barrel.toml"), "-o", "both.svg"),
    "steps": (DEMO, "-o", "steps"),
    "new": ("joint.toml",),
    "sheet": (DEMO, "-o", "joint.pdf"),
    "draw": (DEMO, "-o", "joint.svg"),
    "cut": (PLAN,),
    "choose": ("--load", "90 lbf", "--family", "MWG", "--material", "302 stainless", "--rows", "2"),
    "inspect": (DEMO, "--turns", "4", "--wraps", "5", "--length", "1.02 in", "--eye", "0.24 in"),
    "spread": (DEMO, *FEW),
    "hold": (DEMO, *FEW),
    "why": (DEMO, *FEW),
    "form": (DEMO,),
    "stretch": (DEMO, "--load", "70 lbf"),
    "link": (DEMO, "--ring", "3/16 in", "--ring-inside", "3/4 in"),
    "pulls compare": (PULLS, "--by", "group"),
    "pulls plan": (DEMO,),
    "pulls read": (PULLS,),
    "pulls template": (),
}
WITHOUT_ALL = ("new", "sheet", "draw", "pulls template")
METRIC = re.compile(
    r"\bmm\b|\bcm\b|(?<![-\w])N\b(?! of)|\bMPa\b|\bGPa\b|millimet|(?<!dia)metre|\bkg\b|\bJ\b|\bm/s\b|[0-9] g\b"
)
TWICE = re.compile(r"\bin in\b")


SLOW = ("steps", "pulls read", "spread")  # the first draws 20 pictures; all are in the slow walk of every output too


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if name in SLOW else ()) for name in COMMANDS]
)
def test_nothing_metric_is_left(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words = (*name.split(), *COMMANDS[name], "--units", "in")
    text = ""
    for more in ((),) if name in WITHOUT_ALL else ((), ("--all",)):
        force = ("--force",) if name in ("compare", "steps") and more else ()
        assert main([*words, *more, *force]) == 0
        text += capsys.readouterr().out
    text += "".join(path.read_text(encoding="utf-8") for path in tmp_path.glob("*.toml"))
    assert len(text) > 60
    lines = [line for line in text.split("\n") if METRIC.search(line) or TWICE.search(line)]
    assert lines == []
