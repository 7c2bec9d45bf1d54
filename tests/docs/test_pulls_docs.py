"""The pages about pull tests say what the program does: keys of the JSON, numbers of the coverage study."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from helix.data.pull_coverage import FILE, pull_coverage
from helix.data.tables import DATA_FOLDER
from helix.model.measured.curve_file import read_mapping
from helix.model.measured.pull_file import read_pull_file
from helix.output.report.record import record
from helix.studies.pulls.pull_compare import compare_pulls
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls.pulls import read_pulls
from helix.studies.pulls_plan.pull_plan import Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "docs" / "examples" / "pulls"
PAGE = (ROOT / "docs" / "json-pulls.md").read_text(encoding="utf-8")
THEORY = (ROOT / "docs" / "theory" / "pulls.md").read_text(encoding="utf-8")


def keys_of(value: object, path: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from keys_of(item, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for item in value:
            yield from keys_of(item, path + "[]")
    else:
        yield path + "[]" if isinstance(value, list) else path


def test_every_key_of_a_reading_is_explained_and_no_other() -> None:
    file = read_pull_file(DEMO / "logger-tethers.csv")
    curves, _ = curves_of(file.pieces, DEMO, read_mapping(DEMO / "curves.toml"), file.place)
    found = set(keys_of(record(read_pulls(file, None, curves))))
    rows = re.findall(r"^\| `([\w.\[\]]+)` \|", PAGE, re.MULTILINE)
    assert len(set(rows)) == len(rows)
    for key in found:
        # a row may stand for what is below it
        assert any(key == row or key.startswith((f"{row}.", f"{row.removesuffix('[]')}[]")) for row in rows), key
    for row in set(rows) - {"predicted[]"}:
        stem = row.removesuffix("[]")
        assert any(key == row or key.startswith((f"{stem}.", f"{stem}[]")) for key in found), row


def test_every_key_of_a_comparison_and_a_plan_is_named() -> None:
    compared = record(compare_pulls(read_pull_file(DEMO / "logger-tethers.csv"), "maker"))
    plan = record(plan_pulls([], Wanted(), Setup(expected_n=800.0)))
    named = set(re.findall(r"`(\w+)(?:\[\])?`", PAGE))
    top = {key for data in (compared, plan) for key in data}
    below = {key for item in compared["comparisons"] for key in item} | {k for c in plan["cells"] for k in c}
    assert top | below <= named


def test_the_table_of_coverage_is_that_of_the_study() -> None:
    text = (DATA_FOLDER / FILE).read_text(encoding="ascii").splitlines()
    rows = [line.split(",") for line in text if not line.startswith(("#", "case"))]
    claims = [r for r in rows if r[0] == "claim" and r[2] in ("10", "30")]
    shown = re.findall(r"^\| (10|30) \| (\d+)[^|]*((?:\| [\d.]+ )+)\|$", THEORY, re.MULTILINE)
    assert len(shown) == len(claims) == 12
    for pieces, censored, cells in shown:
        printed = [float(cell) for cell in cells.split("|")[1:]]
        matches = []
        for row in claims:
            study = [float(row[k]) for k in (7, 8, 9, 12, 13, 14, 15)]
            near = all(abs(100.0 * s - p) <= 0.0501 for s, p in zip(study, printed, strict=True))
            matches.append(row[2] == pieces and round(100.0 * float(row[6])) == int(censored) and near)
        assert sum(matches) == 1, (pieces, censored, printed)


def test_the_cost_of_a_broken_assumption_is_that_of_the_study() -> None:
    kept = {(row.case, row.pieces): row for row in pull_coverage()}
    for case, printed in (
        ("correlation 0.5 taken as 0", "| correlation 0.5 | 0 | 76.0 | 87.9 | 94.1 |"),
        ("correlation 1 taken as 0", "| correlation 1 | 0 | 7.1 | 75.5 | 72.3 |"),
        ("correlation 0 taken as 1", "| correlation 0 | 1 | 19.0 | 84.1 | 99.4 |"),
        ("bounds; correlation 0", "| correlation 0 | not known | 97.1 | 97.8 | 99.5 |"),
        ("bounds; correlation 0.5", "| correlation 0.5 | not known | 99.9 | 98.4 | 99.5 |"),
        ("bounds; correlation 1", "| correlation 1 | not known | 97.1 | 97.1 | 95.5 |"),
        ("Weibull joints taken as normal", "| Weibull joints of the same mean and SD | normal | 85.4 | 64.2 | 91.5 |"),
    ):
        assert printed in THEORY
        row = kept[case, 30]
        shares = [float(cell) for cell in printed.split("|")[3:6]]
        for share, study in zip(shares, (row.mean, row.sd, row.tolerance), strict=True):
            assert abs(share - 100.0 * study) <= 0.0501, case
