"""What is raised for an input that cannot be used: one line a fault, whatever the input held."""

from __future__ import annotations

import ast
import pickle
from pathlib import Path
from string import Formatter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.errors import (
    HelixError,
    InfeasibleJointError,
    InputValueError,
    IssuePath,
    ValidationError,
    ValidationIssue,
    by_rows,
    one_line,
    quoted,
)
from helix.issue_words import WORDS, issue_message
from helix.model.measured.pull_file import pull_file_from_text
from helix.values import Values


def test_each_fault_is_one_line_in_the_order_given():
    faults = (ValidationIssue("a.toml line 3: [eye] pin", "is missing"), ValidationIssue("a.toml", "has\ntwo lines"))
    error = ValidationError(iter(faults))
    assert error.faults == faults
    assert str(error).splitlines() == ["a.toml line 3: [eye] pin: is missing", r"a.toml: has\ntwo lines"]


def test_an_error_without_a_fault_is_a_mistake_of_ours():
    with pytest.raises(ValueError, match="at least one"):
        ValidationError([])


def test_a_refused_shape_is_caught_with_the_other_faults():
    assert issubclass(InfeasibleJointError, ValidationError)
    assert issubclass(ValidationError, HelixError)


@pytest.mark.parametrize("kind", [ValidationError, InfeasibleJointError])
def test_errors_survive_a_trip_to_another_process(kind):
    error = kind([ValidationIssue("a", "b"), ValidationIssue("c", "d")])
    back = pickle.loads(pickle.dumps(error))
    assert (type(back), back.faults, str(back)) == (kind, error.faults, str(error))


@given(st.text())
def test_one_line_never_holds_a_break_or_a_control_character(text):
    shown = one_line(text)
    assert shown.isprintable()
    assert text.isprintable() == (shown == text)


@given(st.text(), st.integers(1, 80))
def test_what_is_quoted_is_cut(text, longest):
    shown = quoted(text, longest)
    assert shown.startswith('"') and shown.endswith('"')
    assert len(shown) <= 10 * longest + 5  # a character is at most ten when escaped
    assert shown.endswith('..."') or len(text) <= longest


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (True, "true"),
        (False, "false"),
        (1.5, "1.5"),
        (10**400, "1" + "0" * 59 + "..."),
        ({}, "a table"),
        ([1], "a list"),
        (float("nan"), "nan"),
        pytest.param(1 << 100_000, "a number too long to show", id="huge"),
    ],
)
def test_values_that_are_not_text_are_shown_as_the_file_writes_them(value, shown):
    assert quoted(value) == shown


def test_every_code_with_words_is_in_use():
    package = Path(__file__).resolve().parents[1] / "helix"
    written = {
        node.value
        for path in package.rglob("*.py")
        if path.name != "issue_words.py"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert set(WORDS) <= written


@pytest.mark.parametrize("code", WORDS)
def test_an_issue_is_data_whose_sentence_is_made_last(code):
    fields = {name for _, name, _, _ in Formatter().parse(WORDS[code]) if name}
    values = Values(**dict.fromkeys(fields, 7.0))
    issue = ValidationIssue(IssuePath(file="a.toml", line=3, table=("eye",), key="pin"), code=code, values=values)
    assert str(issue) == f"a.toml line 3: [eye] pin: {issue_message(code, values)}"
    assert (issue.path.name, issue.code, issue.values) == ("eye.pin", code, values)
    assert pickle.loads(pickle.dumps(issue)) == issue and hash(issue) == hash(pickle.loads(pickle.dumps(issue)))
    error = InputValueError(code, **values)
    assert error.at(issue.path) == issue and pickle.loads(pickle.dumps(error)).at(issue.path) == issue


def test_an_issue_without_its_values_is_a_mistake_of_ours():
    with pytest.raises(KeyError):
        ValidationIssue("a.toml", code="out-of-range")
    with pytest.raises(KeyError):
        ValidationIssue("a.toml", code="no such code")


def test_what_is_said_of_several_rows_is_one_line_that_lists_them() -> None:
    """Failed once: five rows without a load were five lines."""
    heading = "id,group,load,unit,failure\n"
    rows = ["1,a,,N,broke", "2,a,800,N,broke", "3,a,,N,broke", "4,a,,N,broke", "5,a,,N,snapped", "6,a,-3,N,broke"]
    faults = pull_file_from_text(heading + "\n".join(rows), "mine.csv").faults
    merged = by_rows(faults)
    assert [str(each).split(":")[0] for each in merged] == [
        "mine.csv rows 2 and 4 to 6, column load",
        "mine.csv row 6, column failure",
        "mine.csv row 7, column load",
    ]
    assert len(faults) == 6 and str(ValidationError(faults)).splitlines() == [str(each) for each in merged]
    told = sorted(row for each in merged for row in (each.path.row or 0, *each.path.more_rows))
    assert told == sorted(fault.path.row or 0 for fault in faults)
    many = [ValidationIssue(IssuePath(file="a.csv", row=row), "is short") for row in range(1, 60, 2)]
    assert str(by_rows(many)[0]) == "a.csv rows 1, 3, 5, 7, 9, 11, 13, 15, 17, 19 and 20 more: is short"
