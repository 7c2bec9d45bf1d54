"""The words of each kind of report, as they were approved; everything else asserts codes, places and values."""

from __future__ import annotations

import contextlib
import io
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from helix.commands.main import main
from helix.findings import Finding, Severity
from helix.model.recipe.recipe import read_recipe, recipe_from_values
from helix.output.words.compare_words import difference_lines
from helix.output.words.findings.finding_words import WORDS, explain
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.holding import hold, hold_with
from helix.studies.link.link_result import Ring
from helix.studies.link.linking import link_joints
from helix.studies.shape.shape import shape
from helix.studies.teaching.compare_joints import compare
from helix.studies.teaching.hand_work import form
from helix.values import Values
from tests.output.approving import approved
from tests.studies.hold.hold_recipes import joint
from tests.studies.shape.test_remedies import BENDS, CODES, answer, sketch, stated

ROOT = Path(__file__).resolve().parents[2]
LESSONS = "docs/lessons"
TABLES = ("Loads: the straight wire", "The one change that helps most")
REPORTS = {
    "shape": ("shape", "docs/examples/faults/over-twist.toml", "--all"),
    "shape-good": ("shape", "docs/examples/logger-tether.toml", "--units", "inch"),
    "hold": ("hold", f"{LESSONS}/steep-entry.toml"),
    "hold-all": ("hold", f"{LESSONS}/steep-entry.toml", "--all"),
    "why": ("why", f"{LESSONS}/steep-exit.toml"),
    "why-all": ("why", f"{LESSONS}/steep-exit.toml", "--all"),
    "inspect": ("inspect", f"{LESSONS}/good.toml", "--turns", "4", "--length", "28.2 mm"),
    "inspect-all": ("inspect", f"{LESSONS}/good.toml", "--barrel-length", "7 mm +- 0.05 mm", "--wraps", "5", "--all"),
}


@pytest.mark.parametrize("name", REPORTS)
def test_a_report_reads_as_approved(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        assert main(list(REPORTS[name])) == 0
    parts = out.getvalue().split("\n\n")
    if name in ("hold-all", "why-all"):  # the answer; its numbers stand in tables of their own, tested there
        parts = list(parts[: parts.index(next(p for p in parts if p.startswith(TABLES)))])
        parts = [part for part in parts if not part.startswith(("Rated load", "No rated load"))]
    approved(name, "\n\n".join(parts).rstrip("\n") + "\n")


def test_compared_joints_read_as_approved() -> None:
    good = shape(read_recipe(ROOT / LESSONS / "good.toml"))
    lines = []
    for path in sorted((ROOT / LESSONS).glob("*.toml")):
        other = shape(read_recipe(path))
        lines += [path.stem, *(f"  {line}" for line in difference_lines(compare([good, other]), 1, "metric"))]
    approved("compare", "\n".join(lines) + "\n")


def examples() -> Iterator[Finding]:
    """At least one finding of every code that can be made."""
    for tables in (*BENDS, *(tables for each in CODES.values() for tables in each)):
        yield from sketch(tables).findings
    yield from answer(stated(barrel__pitch="1 d")).findings
    yield from answer(stated(eye__throat="100 deg", eye__throat_made="spread")).findings
    yield from answer(stated(exit__leg="1 d", exit__swing=0.1)).findings
    for recipe in (joint(turns=2), joint(turns=4, wraps=4), joint(twist='lay_length = "5 d"')):
        yield from hold(recipe).findings
    uneven = joint()
    yield from hold(uneven.variant(twist=replace(uneven.twist, evenness=0.4))).findings
    wide = joint(pin="10 d")
    yield from hold(wide.variant(eye=replace(wide.eye, throat_rad=math.radians(105.0)))).findings
    yield from hold(
        recipe_from_values({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6.0, "count": 2})
    ).findings
    plain = hold(joint())
    for rated_n in (1.02 * plain.hold_n.nominal, 0.5 * (plain.hold_n.nominal + plain.plan_with_n)):
        yield from hold(joint().variant(wire=replace(joint().wire, rated_load_n=rated_n))).findings
    pulled = OwnPulls(loads_n=(600.0, 610.0, 620.0), broke=(True,) * 3, unwound=(False,) * 3, joints=(2,) * 3)
    yield from hold_with(joint(), plain.setting, pulled).findings
    yield Finding(
        code="legs-apart", severity=Severity.NOTE, place="exit_tag", values=Values(apart_d=0.01), remedy="longer-lay"
    )
    low_n = Values(rated_n=850.0, breaking_n=837.0)
    yield Finding(code="rated-above-least", severity=Severity.CAUTION, values=low_n, remedy="check-rating-or-test")
    seven = {"wraps": 7.0, "length_mm": 4.5, "pitch_mm": 0.53, "pitch_d": 0.7, "touching_mm": 0.78}
    for code, severity in (("reading", Severity.CAUTION), ("reading-impossible", Severity.FAULT)):
        yield Finding(
            code=code, severity=severity, place="wraps", values=Values(doubt="wraps-overlap", fits=5.0, **seven)
        )
    for linked in (link_joints(joint()), link_joints(joint(), ring=Ring(diameter_mm=0.3, inside_mm=20.0))):
        yield from linked.findings
    yield Finding(
        code="own-unwound",
        severity=Severity.SHARP,
        place="twist_tag",
        values=Values(unwound=2.0, pieces=9.0, chance=0.19, make=6.0, pulled=False),
        remedy="turns-above",
    )
    like = {"turns": 5.0, "wraps": 5.0, "unwound": 2.0, "pieces": 9.0, "chance": 0.25}
    for alike, pin_mm, remedy in ((True, 8.0, "turns-above"), (False, None, "turns-above-first")):
        values = Values(**like, alike=alike, pin_mm=pin_mm, make=6.0, pulled=alike)
        yield Finding(code="like-unwound", severity=Severity.SHARP, place="twist_tag", values=values, remedy=remedy)
    yield from form(joint()).of_making
    other = Values(turns=5.0, wraps=5.0, unwound=3.0, pieces=5.0)
    yield Finding(code="not-pulled", severity=Severity.CAUTION, place="twist_tag", values=other, remedy="pull-these")
    off = Values(off_mm=1.0, allowed_mm=0.1, made_mm=7.0, recipe_mm=6.0)
    yield Finding(code="off-recipe", severity=Severity.CAUTION, place="eye", values=off)


def test_every_finding_reads_as_approved() -> None:
    found: dict[str, Finding] = {}
    for finding in examples():
        found.setdefault(finding.code, finding)
    assert set(found) == set(WORDS)
    lines = []
    for code in WORDS:
        told = explain(found[code], "inch")
        lines += [f"{code} ({told.short})", f"  {told.severity.name}: {told.sentence()}"]
    approved("findings", "\n".join(lines) + "\n")


def test_a_text_that_was_not_approved_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("HELIX_APPROVE", raising=False)
    with pytest.raises(AssertionError, match="read the change"):
        approved("compare", "something else")
