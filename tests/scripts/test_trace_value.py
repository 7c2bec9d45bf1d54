"""One length of a recipe passes few files on its way to the answer, and is turned between mm and diameters in one place."""

from __future__ import annotations

import importlib.util
import json
import math
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from helix.model.recipe.recipe import read_recipe

ROOT = Path(__file__).resolve().parents[2]
MOST_FILES = 30


@pytest.fixture(scope="module")
def tracer() -> ModuleType:
    spec = importlib.util.spec_from_file_location("trace_value", ROOT / "scripts" / "studies" / "trace_value.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_followed_length_is_known_again_wherever_it_is_held(tracer):
    tracer.Traced.diameter_mm, tracer.Traced.conversions = 0.5, []
    lay = tracer.Traced(2.0)
    assert tracer.held({"twist": [lay]}) and tracer.held(lay / 0.5) and tracer.held(lay * 0.5)
    assert not tracer.held({"twist": [2.0]}) and not tracer.held(lay + 1.0) and not tracer.held(lay / math.pi)
    assert len(tracer.Traced.conversions) == 2


@pytest.mark.parametrize("recipe", ["logger-tether.toml", "faults/uneven-half.toml"])
def test_the_lay_passes_few_files_and_two_conversions(recipe):
    path = ROOT / "docs" / "examples" / recipe
    command = [sys.executable, str(ROOT / "scripts" / "studies" / "trace_value.py"), str(path)]
    lines = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    held = [line.split()[1] for line in lines if line.strip()[:1].isdigit() and line.endswith(".py")]
    turned = [line.split(": ")[1] for line in lines if ".py: " in line]
    assert "model/joint/joint_curves.py" in held and "output/report/record.py" in held  # it was followed to the end
    assert len(held) <= MOST_FILES
    assert set(turned) == {"sizes_of", "lay_error"}  # into diameters for the shape, and to see whether it can exist


def test_the_answer_still_holds_the_lay_as_it_was_read():
    path = ROOT / "docs" / "examples" / "logger-tether.toml"
    command = [sys.executable, "-m", "helix", "shape", str(path), "--json"]
    record = json.loads(subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT).stdout)
    assert record["recipe"]["twist"]["lay_mm"] == read_recipe(path).twist.lay_mm
