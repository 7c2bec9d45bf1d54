"""What `helix link` refuses, a line a fault, and what --strict asks."""

from __future__ import annotations

from pathlib import Path

import pytest

from helix.commands.main import main

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "docs/examples/logger-tether.toml")
SHARP = str(ROOT / "docs/examples/faults/overbent-120.toml")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((DEMO, "--ring", "8 mm", "--ring-inside", "30 mm"), ["--ring: must be at most 6 mm"]),
        ((DEMO, "--ring", "6 mm", "--ring-inside", "0.5 mm"), ["--ring-inside: must be more than 0.7366 mm"]),
        (
            (DEMO, "--ring", "7 mm", "--ring-inside", "0.5 mm"),
            ["--ring: must be at most", "--ring-inside: must be more"],
        ),
        ((DEMO, "--ring", "5 mm"), ["--ring-inside: must be given beside"]),
        ((DEMO, "--ring-inside", "5 mm"), ["--ring: must be given beside"]),
        ((DEMO, "--ring", "nothing"), ["--ring: must be a length"]),
        ((DEMO, DEMO, "--ring", "5 mm", "--ring-inside", "20 mm"), ["--ring: must stand beside one recipe alone"]),
        ((DEMO, DEMO, DEMO), ["RECIPE: must be one recipe, or the two that are linked; got 3"]),
    ],
)
def test_what_cannot_be_linked_is_refused_in_a_line_each(
    words: tuple[str, ...], said: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["link", *words]) == 2
    err = capsys.readouterr().err.replace("pulling the eyes together, this takes a few seconds ...\n", "")
    lines = err.rstrip("\n").split("\n")
    assert len(lines) == len(said), lines
    for line, wanted in zip(lines, said, strict=True):
        assert line.startswith(f"helix: {wanted}"), line


def test_strict_ends_with_1_where_the_verdict_is_sharp(capsys: pytest.CaptureFixture[str]) -> None:
    ring = ("--ring", "2 mm", "--ring-inside", "20 mm")
    assert main(["link", DEMO, *ring, "--strict"]) == 0
    assert main(["link", SHARP, *ring, "--strict"]) == 1
    assert main(["link", DEMO, "--ring", "0.2 mm", "--ring-inside", "20 mm", "--strict"]) == 1
    assert capsys.readouterr().out.count("SHARP: ") == 2
