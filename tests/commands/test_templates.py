"""Files to fill in: they read as they stand, know every key, are in the units asked for, and replace nothing.

Map of what must hold:
  helix cut --template and helix inspect --template write a file that the same command reads without change
  it says that its numbers are invented, and so does the answer made from it
  every key that the reader knows stands in it; in inches nothing metric does
  a file in the way stays as it is
  a fault of a reading stands at its line; what is typed beside a file goes before it
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from helix.commands.main import main
from helix.model.batch.plan import plan_from_text
from helix.model.batch.plan_keys import KEYS
from helix.model.batch.plan_template import plan_template
from helix.model.measured.readings_file import _KEYS, read_readings_file, readings_template
from helix.studies.batch.cut_plan import cut_plan

RECIPE = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n'
TEMPLATES = {"cut": ("plan.toml", plan_template), "inspect": ("readings.toml", readings_template)}


@pytest.fixture
def at_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "joint.toml").write_text(RECIPE, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_reads_as_it_stands(
    name: str, units: str, at_work: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, text = TEMPLATES[name]
    assert main([name, "--template", "--units", units]) == 0
    assert (at_work / file).read_text(encoding="utf-8") == text(units)
    then = capsys.readouterr().out.splitlines()[-1]
    assert then.startswith(f"helix {name} ") and then.endswith(file)
    assert main([*then.split()[1:], "--units", units]) == 0
    out = capsys.readouterr().out
    assert re.match("OK|GOOD", out) and "invented" in out
    assert main([name, "--template", "--units", units]) == 2
    assert "exists already" in capsys.readouterr().err
    assert main([name, "--template", "other.toml", "--units", "in" if units == "inch" else units]) == 0
    assert (at_work / "other.toml").read_text(encoding="utf-8") == text(units)


@pytest.mark.parametrize("text", [plan_template, readings_template])
def test_a_template_is_in_the_units_asked_for_and_says_invented(text) -> None:
    assert not re.search(r"\d (mm|m|kg|N)\b", text("inch"))
    assert not re.search(r"\d (in|ft|lb|lbf)\b", text("metric"))
    assert "invented" in text("metric").splitlines()[1] and "invented" in tomllib.loads(text("metric"))["title"]
    assert max(map(len, text("inch").splitlines())) <= 110


def test_every_key_stands_in_its_template() -> None:
    lines = re.findall(r"(?m)^(?:# )?(\w+) = ", readings_template())
    assert set(_KEYS) == set(lines)
    lines = re.findall(r"(?m)^(?:# )?(\w+) = ", plan_template())
    known = {key for table in ("cutting", "end", "piece", "stock") for key in KEYS[table]} - {"length"}
    assert known <= set(lines) and {"title", "units"} <= set(lines)


def test_stock_without_limit_is_never_short_and_never_left() -> None:
    plan = plan_from_text(plan_template())
    assert [item.count for item in plan.stock] == [1, None]
    with_many = cut_plan(plan_from_text(plan_template().replace('"as needed"', "40"))).opened_mm
    made = cut_plan(plan)
    assert made.short == () and made.opened_mm == with_many
    assert all(unused.name != "rod" for unused in made.unused) and all(use.whole <= 1 for use in made.wires)


def test_readings_of_a_file_are_those_of_options(at_work: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (at_work / "r.toml").write_text('turns = 4\nwraps = "5"\nlength = "26.4 mm"\ncounted_to = "twist"\n')
    joint = ["inspect", "joint.toml"]
    assert main([*joint, "--readings", "r.toml", "--json"]) == 0
    from_file = capsys.readouterr().out
    assert main([*joint, "--turns", "4", "--wraps", "5", "--length", "26.4 mm", "--json"]) == 0
    assert capsys.readouterr().out == from_file
    assert main([*joint, "--readings", "r.toml", "--turns", "5", "--length", "31.2 mm"]) == 0
    assert capsys.readouterr().out.startswith("GOOD")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ('turns = 5\nlength = "31 furlongs"\n', "r.toml line 2: length: must be a length"),
        ("turns = 5\nlength = 31\n", "r.toml line 2: length: must be text"),
        ("turns = 5\nlenght = 3\n", "r.toml line 2: lenght: is not a key"),
        ("turns = true\n", "r.toml line 1: turns: must be a bare number"),
        ('title = "none"\n', "must be given, one at least"),
        (RECIPE, "this is a recipe; a file of readings is needed"),
    ],
)
def test_a_fault_of_a_reading_stands_at_its_line(
    text: str, fault: str, at_work: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (at_work / "r.toml").write_text(text, encoding="utf-8")
    assert main(["inspect", "joint.toml", "--readings", "r.toml"]) == 2
    assert fault in capsys.readouterr().err


def test_a_template_of_readings_is_read_by_name(at_work: Path) -> None:
    (at_work / "r.toml").write_text(readings_template(), encoding="utf-8")
    file = read_readings_file(at_work / "r.toml")
    assert file.title and file.texts["turns"] == "5" and "exit" not in file.texts
