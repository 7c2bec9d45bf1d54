"""What is written about recipes is true: docs/recipe.md key by key, and every example in docs/examples.

Map of what must hold:
  the tables of keys in docs/recipe.md and docs/planning.md are the ones that the reader reads by
  the page has the keys that are read, no more and no fewer, each under its table
  a recipe that states every default of the page is the recipe that states none
  the range of the page is the range that a fault names
  every example is invented and says so; all read, but for the two that are there to be refused
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from helix.data.materials import materials
from helix.errors import InfeasibleJointError, ValidationError
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.model.recipe.recipe_keys import KEYS, OWN_KEYS, TOP_KEYS

DOCS = Path(__file__).resolve().parents[3] / "docs"
PAGE = (DOCS / "recipe.md").read_text(encoding="utf-8")
EXAMPLES = [DOCS / "examples" / "logger-tether.toml", *sorted((DOCS / "examples" / "faults").glob("*.toml"))]
REFUSED = {"lay-two", "crossings-as-turns"}
LEAST = {"wire": 'size = "MWG 12"\nmaterial = "302 stainless"\n', "eye": 'pin = "6 mm"\n'}


def rows_of(heading: str) -> dict[str, tuple[str, str]]:
    """Default and range of each key, from the four-column table under a heading."""
    section = PAGE.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    cells = ([cell.strip() for cell in line.split("|")[1:-1]] for line in section.splitlines() if line[:3] == "| `")
    return {row[0].strip("`"): (row[2], row[3]) for row in cells if len(row) == 4}


SECTIONS = {name: rows_of(f"`[{name}]`") for name in (*KEYS, "wire.own")}
RANGED = [
    (name, key, limits) for name, rows in SECTIONS.items() for key, (_, limits) in rows.items() if " and " in limits
]


def test_the_tables_of_the_pages_are_those_that_are_read_by():
    command = [sys.executable, str(DOCS.parent / "scripts" / "key_tables.py"), "--check"]
    found = subprocess.run(command, capture_output=True, text=True, check=False)
    assert found.returncode == 0, found.stdout + found.stderr


def test_the_page_has_every_key_and_no_other():
    assert {name: set(rows) for name, rows in SECTIONS.items() if name in KEYS} == {
        name: set(keys) for name, keys in KEYS.items()
    }
    assert set(SECTIONS["wire.own"]) == set(OWN_KEYS)
    assert set(rows_of("At the top")) == set(TOP_KEYS) - set(KEYS)
    assert "the table `[wire.own]`" in PAGE


def test_the_page_has_every_material():
    for material in materials():
        assert f"| `{material.name}` | " in PAGE
        assert f"{material.modulus_mpa / 1000:g} GPa" in PAGE and f"{material.density_kg_m3 / 1000:.2f} g/cm3" in PAGE


def test_the_defaults_of_the_page_are_the_defaults():
    top = "".join(f"{key} = {_default(cell)}\n" for key, (cell, _) in rows_of("At the top").items())
    stated = 0
    for name in KEYS:
        top += f"[{name}]\n{LEAST.get(name, '')}"
        for key, (cell, _) in SECTIONS[name].items():
            if _default(cell) and key not in LEAST.get(name, ""):
                top += f"{key} = {_default(cell)}\n"
                stated += 1
    assert stated == 25
    assert recipe_from_text(top) == recipe_from_text("".join(f"[{name}]\n{keys}" for name, keys in LEAST.items()))


def _default(cell: str) -> str:
    found = re.match(r"`([^`]*)`", cell)
    return found[1] if found else ""


@pytest.mark.parametrize(("name", "key", "limits"), RANGED, ids=[f"{name}.{key}" for name, key, _ in RANGED])
def test_the_range_of_the_page_is_the_range_that_a_fault_names(name, key, limits):
    unit = re.search(r" [0-9.e+]+ (d|mm|deg|N|MPa|kg/m3)\b", limits)
    value = f'"{1e12:g} {unit[1]}"' if unit else "1e12"
    text = 'own = {strength = "2 GPa"}\n' if name == "wire.own" else ""
    text = f"[{name}]\n{text if name != 'wire.own' else ''}{key} = {value}\n"
    if name != "wire" and name != "wire.own":
        text += f"[wire]\n{LEAST['wire']}"
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(text)
    said = [str(fault) for fault in caught.value.faults if f"[{name}] {key}: " in str(fault)]
    assert said and limits.split(";")[0].strip() in said[0]


def test_the_block_of_the_page_reads():
    blocks = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert blocks
    for block in blocks:
        recipe_from_text(block)


def test_there_is_an_example_of_each_fault():
    faults = """
        good wide-throat small-entry-radius overbent-100 overbent-120 short-exit bench-exit
        opposite-hand-barrel opposite-hand-barrel-pi uneven-half uneven-zero loose-twist over-twist
        open-barrel tight-pitch lay-two crossings-as-turns wraps-only twist-only
    """
    assert {path.stem for path in EXAMPLES} == {"logger-tether", *faults.split()}


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_is_invented_and_reads_or_is_refused(path):
    assert path.read_text(encoding="ascii").startswith(("# Invented example", "# Invented data"))
    if path.stem in REFUSED:
        with pytest.raises(InfeasibleJointError) as caught:
            read_recipe(path)
        assert len(caught.value.faults) == 1
        return
    recipe = read_recipe(path)
    assert recipe.notes == () and recipe.wire.size == "MWG 12" and recipe.eye.pin_mm == 6.0


def test_an_example_differs_from_the_good_one_by_its_fault_alone():
    good = read_recipe(DOCS / "examples" / "faults" / "good.toml")
    for path in (DOCS / "examples" / "faults").glob("*.toml"):
        if path.stem in REFUSED | {"good"}:
            continue
        other = read_recipe(path)
        changed = [
            part
            for part in ("wire", "eye", "twist", "entry", "exit", "barrel", "finish", "tolerance")
            if getattr(other, part) != getattr(good, part)
        ]
        two = path.stem in ("small-entry-radius", "opposite-hand-barrel-pi")
        assert len(changed) == (2 if two else 1), (path.stem, changed)
