"""`import helix`: every name is there when it is asked for, nothing is loaded before; keywords are the tasks' options.

Map of what must hold:
  importing helix loads no other module of it; every name resolves, and type checkers are told the same names
  every keyword of a function is an option of its task, and every option has its keyword
  what a function gives is what its study gives; faults name keywords, all of them at once
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import helix
from helix.api.asking import option_of
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.stretch import stretch as stretch_of
from helix.tasks.opening import recipe_of
from helix.tasks.registry import task

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "docs" / "examples"
SMALL = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}
TASKS = {
    "hold": "hold", "why": "why", "stretch": "stretch", "form": "form", "inspect": "inspect", "spread": "spread",
    "cut": "cut", "choose": "choose", "pulls.read": "pulls read", "pulls.compare": "pulls compare",
    "pulls.plan": "pulls plan", "draw": "draw", "link": "link", "hold_table": "hold",
    "simulate": "simulate",
}  # fmt: skip
OTHERWISE = {"units", "table", "recipes"}  # of text for people; a function of its own; positional
OF_FILES = {"quality", "scale", "standing", "bed", "split", "beside"}  # of models, which a picture is not


def function(name: str) -> Any:
    owner, _, last = name.rpartition(".")
    return getattr(getattr(helix, owner) if owner else helix, last)


def test_importing_helix_loads_nothing_else_of_it() -> None:
    code = "import sys, helix; print(sorted(m for m in sys.modules if m.split('.')[0] in ('helix', 'numpy')))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.strip() == "['helix']"


def test_every_name_is_there_and_told_to_type_checkers() -> None:
    told = set()
    for node in ast.walk(ast.parse((ROOT / "helix" / "__init__.py").read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("helix"):
            told |= {(node.module, alias.asname or alias.name) for alias in node.names}
    homes = {(module, name) for module, names in helix._NAMES.items() for name in names.split()}
    assert told == homes
    assert {name for _, name in homes} | {"__version__"} == set(helix.__all__) == set(dir(helix))
    for module, name in homes:
        pulls = importlib.import_module("helix.api.pull_tests")
        expected = pulls if name == "pulls" else getattr(importlib.import_module(module), name)
        assert getattr(helix, name) is expected
    with pytest.raises(AttributeError, match="sideways"):
        helix.sideways  # noqa: B018


@pytest.mark.parametrize("name", TASKS)
def test_keywords_are_the_options_of_the_task(name: str) -> None:
    chosen = task(TASKS[name])
    keywords = set(inspect.signature(function(name)).parameters) - {"recipes", "kind"}
    meant = {option_of(chosen, keyword)[0].key for keyword in keywords}
    left = {option.key for option in chosen.options} - meant
    own = {"draw": OF_FILES, "hold_table": {"broke_at", "slack", "free_length"}, "cut": {"paper"}}.get(
        name, set()
    )  # a table stands for counts that were not pulled and did not break, of one wire
    assert left <= OTHERWISE | own
    assert "units" in left or name == "hold_table"


def test_a_function_gives_what_its_study_gives() -> None:
    recipe = helix.make_recipe(SMALL, turns=4)
    assert recipe == helix.make_recipe(
        eye={"pin": "6 mm"}, wire={"size": "MWG 12", "material": "302 stainless"}, turns=4
    )
    how = setting_of(recipe, None, None, {"L": 0.05}, 0.0, 300, 7)
    held = helix.hold(recipe, friction={"L": 0.05}, draws=300, seed=7)
    assert held == hold_with(recipe, how)
    assert helix.stretch(recipe, load_n=100.0) == stretch_of(helix.shape(recipe), helix.hold(recipe), 100.0)
    assert helix.form(recipe, hand_force_n=50).hand_force_n == 50.0
    assert pickle.loads(pickle.dumps(held)) == held
    table = helix.hold_table(recipe, draws=100)
    assert len(table.cells) == 121


def test_recipes_are_taken_as_they_come() -> None:
    path = EXAMPLES / "logger-tether.toml"
    recipe = helix.read_recipe(path)
    assert recipe_of(path) == recipe_of(str(path)) == recipe_of(recipe) == recipe
    assert helix.shape(path).cut == helix.shape(recipe).cut
    assert helix.judge(path).is_ok and not helix.judge(SMALL | {"turns": 2}).is_ok
    compared = helix.compare(path, SMALL)
    assert len(compared.results) == 2
    assert helix.steps(SMALL)[0].number == 1
    wide = helix.sweep(SMALL, turns=np.arange(2, 9))
    assert np.all(np.diff(wide.cut_mm) > 0.0)


@pytest.mark.parametrize(
    ("name", "keywords", "places"),
    [
        (
            "hold",
            {"friction": {"Q": 0.1}, "ductility": 1.5, "pin": "rolls", "draws": 3},
            "friction ductility pin draws",
        ),
        ("form", {"hand_force_n": "5 N"}, "hand_force_n"),
        ("stretch", {"load_n": -1.0}, "load_n"),
        ("spread", {"angle_deg": 90.0, "draws": 1, "seed": -1}, "angle_deg draws seed"),
        ("inspect", {"lay_mm": -1.0, "wraps": "many"}, "wraps lay_mm"),
        ("draw", {"size": (10, 10), "colour": "pink"}, "colour size"),
    ],
)
def test_everything_wrong_is_told_by_its_keyword(name: str, keywords: dict[str, Any], places: str) -> None:
    with pytest.raises(helix.ValidationError) as caught:
        function(name)(SMALL, **keywords)
    assert sorted(issue.path.key for issue in caught.value.faults) == sorted(places.split())


def test_batches_and_pulls_are_as_strict() -> None:
    with pytest.raises(helix.ValidationError) as caught:
        helix.choose(load_n=-5, pin_mm=0, margin=0.5)
    assert {issue.path.key for issue in caught.value.faults} == {"load_n", "pin_mm", "margin"}
    with pytest.raises(helix.ValidationError) as caught:
        helix.pulls.plan(SMALL, apart=0.05, apart_n=20.0)
    assert caught.value.faults[0].code == "conflict"
    with pytest.raises(helix.ValidationError):
        helix.make_recipe(SMALL, turns=-3, hand="sideways")
    planned = helix.pulls.plan(SMALL, expect=0.9, cv=0.05, turns=[3, 4, 5], each=4, controls=3)
    assert len(planned.order) == 3 * 4 + 3


def test_pictures_show_themselves(tmp_path: Path) -> None:
    drawn = helix.draw(SMALL, kind="svg")
    assert (drawn._repr_png_(), drawn._repr_svg_()) == (None, drawn.content.decode())
    drawn.save(tmp_path / "joint.svg")
    assert (tmp_path / "joint.svg").read_bytes() == drawn.content
    for name in ("joint.svg", "joint.png"):
        with pytest.raises(helix.ValidationError):
            drawn.save(tmp_path / name)


def test_a_picture_needs_drawing_in_3_d(rendering: None, tmp_path: Path) -> None:
    drawn = helix.draw(SMALL, size=(640, 360), view="top")
    content = drawn._repr_png_()
    assert content is not None and content[:4] == b"\x89PNG" and drawn._repr_svg_() is None
