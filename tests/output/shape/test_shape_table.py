"""What people read.

Map of what must hold:
  the answer is the first line after the title; every finding stands before the tables
  no line is wider than 100 columns or holds anything but plain ASCII
  colour adds escape codes and takes away nothing
  metric and inch tables say the same lengths
  that parts overlap, touch or stand apart is told in words, and overlap where a flag says so
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from helix.findings import Severity, remark
from helix.output.shape.shape_table import WIDTH, shape_text
from helix.output.words.words import findings, gap_line
from helix.studies.shape.shape import ShapeResult

ALL = (
    "logger-tether", "faults/bench-exit", "faults/loose-twist", "faults/open-barrel",
    "faults/opposite-hand-barrel", "faults/over-twist", "faults/overbent-120", "faults/short-exit",
    "faults/small-entry-radius", "faults/tight-pitch", "faults/twist-only", "faults/uneven-zero",
    "faults/wide-throat", "faults/wraps-only",
)  # fmt: skip
ESCAPES = re.compile(r"\x1b\[[0-9;]*m")


def squeezed(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", ALL)
def test_lines_are_narrow_and_plain(example: Callable[[str], ShapeResult], name: str) -> None:
    for units in ("metric", "inch"):
        text = shape_text(example(name), units, every=True)
        assert text.isascii()
        assert max(len(line) for line in text.splitlines()) <= WIDTH
        assert "None" not in text and "nan" not in text and " inf" not in text


@pytest.mark.parametrize("name", ALL)
def test_answer_then_findings_then_tables(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    text = shape_text(result)
    title, answer, rest = text.split("\n\n", 2)
    assert title == result.recipe.title
    assert answer.startswith(f"Cut {result.cut.total_mm:.0f} mm ({result.cut.low_mm:.0f} to")
    told = squeezed(rest.split("\n\nWire:")[0])
    found = findings(result)
    for finding in found:
        assert f"{finding.word} {squeezed(finding.sentence())}" in told
    if not any(finding.severity > Severity.NOTE for finding in found):
        assert re.match("OK Every bend is (only just )?within its limits and nothing overlaps[.]", told)
    assert "wear eye protection." in squeezed(text) and squeezed(text).endswith("loads over people.")
    assert "Not for lifting, fall arrest or loads over people." in squeezed(text)


def test_the_gravest_comes_first(example: Callable[[str], ShapeResult]) -> None:
    words = re.findall(r"^(SHARP|FAULT|CAUTION|NOTE)", shape_text(example("faults/over-twist")), re.MULTILINE)
    assert words == ["FAULT", "SHARP", "CAUTION", "CAUTION", "CAUTION"]


def test_one_cause_at_both_legs_is_told_once(example: Callable[[str], ShapeResult]) -> None:
    result = example("faults/wide-throat")
    assert [bend.severity for bend in result.bends[:2]] == [Severity.SHARP, Severity.SHARP]
    assert [finding.code for finding in result.findings] == ["steep-first-bend"]
    assert shape_text(result).count("First bend of 100 deg") == 1


def test_notes_alone_are_no_verdict(good: ShapeResult) -> None:
    result = replace(good, findings=(remark("turns-from-length", "read as 5 turns"),))
    assert result.judgement.severity is Severity.NOTE and result.judgement.is_ok
    text = shape_text(result)
    assert re.search(r"^OK ", text, re.MULTILINE)
    assert re.search(r"^NOTE  Read as 5 turns", text, re.MULTILINE)


@pytest.mark.parametrize("name", ["faults/good", "faults/over-twist"])
def test_colour_only_adds(example: Callable[[str], ShapeResult], name: str) -> None:
    plain, coloured = (shape_text(example(name), colour=colour) for colour in (False, True))
    assert "\x1b" not in plain
    assert coloured != plain
    assert ESCAPES.sub("", coloured) == plain


def test_inches_say_the_same_lengths(good: ShapeResult) -> None:
    def lengths(units: str, unit: str) -> list[float]:
        text = shape_text(good, units).split("Finished size")[1].split("Springback")[0]
        return [float(number) for number in re.findall(rf"([0-9.]+) {unit}", text)]

    metric, inch = lengths("metric", "mm"), lengths("inch", "in")
    assert len(metric) == len(inch) == 10
    assert [25.4 * value for value in inch] == pytest.approx(metric, rel=0.006)
    assert metric[0] == pytest.approx(good.finished.length_mm, rel=0.005)
    assert "lbf" in shape_text(good, "inch") and " N " not in shape_text(good, "inch")


def test_titles_cannot_colour_the_terminal(good: ShapeResult) -> None:
    text = shape_text(replace(good, recipe=replace(good.recipe, title="a\x1b[31m\nb")))
    assert "\x1b" not in text
    assert text.startswith("a\\x1b[31m b\n\n")


@pytest.mark.parametrize("name", ALL)
def test_parts_overlap_in_words_where_a_flag_says_so(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    said = gap_line(result, "metric")
    overlaps = any(finding.code in ("overlap", "wraps-overlap") for finding in result.findings)
    assert said.startswith("Parts overlap by up to ") == (result.clearance.least_d < -1e-9) == overlaps
    assert squeezed(shape_text(result)).count(said) == squeezed(shape_text(result, every=True)).count(said) == 1


@pytest.mark.parametrize(
    ("least_d", "between", "said"),
    [
        (0.0, ("barrel", "barrel"), "Parts touch, none overlap."),
        (-1e-10, ("barrel", "barrel"), "Parts touch, none overlap."),
        (1e-8, ("barrel", "barrel"), "Parts touch, none overlap."),
        (-0.5, ("barrel", "barrel"), "Parts overlap by up to 0.5 d (0.368 mm), within the barrel."),
        (
            0.25,
            ("eye", "barrel"),
            "No two parts touch: the least gap is 0.25 d (0.184 mm), between (eye) and (barrel).",
        ),
    ],
)
def test_a_gap_in_words(good: ShapeResult, least_d: float, between: tuple[str, str], said: str) -> None:
    clearance = replace(good.clearance, least_d=least_d, between=between)
    assert gap_line(replace(good, clearance=clearance), "metric") == said
