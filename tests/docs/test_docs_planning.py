"""docs/json-planning.md explains every key that the planning commands print, and none besides."""

from __future__ import annotations

import contextlib
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from helix.commands.main import main
from helix.output.batch.cut_record import CSV_HEADER

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "json-planning.md").read_text(encoding="utf-8")
TETHER = str(ROOT / "docs" / "examples" / "logger-tether.toml")
WRAPS = str(ROOT / "docs" / "examples" / "faults" / "wraps-only.toml")
PLAN = """[cutting]
currency = "EUR"
[wire.thin]
size = "MWG 12"
material = "302 stainless"
[end.logger]
recipe = "{tether}"
[[piece]]
name = "stay"
count = 5
length = "600 mm"
ends = ["logger", "plain"]
[[stock]]
name = "rod"
length = "1.5 m"
count = 2
price = 1
[[stock]]
name = "stub"
length = "100 mm"
"""
SIZES = {"value", "low", "high", "recipe", "read"}


def section(name: str) -> dict[str, str]:
    """Keys and units of a section of the page."""
    text = PAGE.split(f"## {name}\n")[1].split("\n## ")[0]
    rows = re.findall(r"^\| `([\w.\[\]]+)` \| ([^|]*)\|", text, re.MULTILINE)
    assert len(rows) == len(dict(rows))
    return {key: unit.strip() for key, unit in rows}


def keys_of(value: object, path: str = "") -> Iterator[str]:
    """Paths of all values; a size of an inspection, a judgement and a recipe count as one."""
    if (
        isinstance(value, dict)
        and set(value) != SIZES
        and path not in ("recipe", "made")
        and not path.endswith(("judgement", ".values"))
    ):
        for key, item in value.items():
            if key == "caution" and not path:  # docs/json.md tells of it once for all
                continue
            yield from keys_of(item, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for item in value:
            yield from keys_of(item, path + "[]")
    else:
        yield path + "[]" if isinstance(value, list) else path


def printed(*words: str) -> dict:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        main(list(words))
    return json.loads(out.getvalue())


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("helix cut", ("cut", "plan.toml")),
        (
            "helix choose",
            ("choose", "--load", "400 N", "--family", "MWG", "--material", "302 stainless", "--rows", "1"),
        ),
        ("helix inspect", ("inspect", TETHER, "--twist-length", "14.7 mm", "--turns", "6")),
        ("helix spread", ("spread", WRAPS, "--draws", "100")),
    ],
)
def test_every_key_is_explained(name: str, words: tuple[str, ...], tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("plan.toml").write_text(PLAN.format(tether=TETHER), encoding="utf-8")
    found, told = set(keys_of(printed(*words, "--json"))), section(name)
    # a list that is empty here shows no keys of its own
    empty = {key.removesuffix("[]") for key in found if key.endswith("[]")}
    assert found - set(told) <= {f"{key}[]" for key in empty if any(t.startswith(f"{key}[].") for t in told)}
    unseen = {key for key in told if key not in found}
    assert all(any(key.startswith(f"{each}[].") for each in empty) for key in unseen), unseen
    for key, unit in told.items():
        end = re.search(r"_(mm|deg|n|kg|m3)$", key.removesuffix("[]"))
        assert unit == ({"mm": "mm", "deg": "deg", "n": "N", "kg": "kg", "m3": "kg/m3"}[end[1]] if end else unit), key


def test_the_columns_of_the_list_are_explained() -> None:
    text = PAGE.split("## The CSV of helix cut\n")[1]
    assert tuple(re.findall(r"`(\w+)`", text)) == CSV_HEADER
