"""Kinds of options: text to value, within its range, each fault in words.

Map of what must hold:
  a quantity reads the same in every unit, d included where there is a wire; both ends of a range belong to it
  what is out of range, of another dimension, not finite or no number is refused, in every kind
  what is given more than once tells every fault; what is not given is the default, read as if it were given
  all faults of a task come at once: of files, of targets, of options, of options beside each other
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, strategies

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.model.recipe.recipe import recipe_from_text
from helix.tasks.options import (
    RECIPE,
    TICK,
    Kind,
    Option,
    choice,
    each_of,
    finite,
    names,
    number,
    numbers,
    proportion,
    quantity,
    whole,
)
from helix.tasks.task import Task, given_of

WIRE = recipe_from_text('[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n')
D_MM = WIRE.wire.diameter_mm


@given(strategies.floats(0.001, 1000.0))
def test_a_quantity_is_the_same_in_every_unit(value: float) -> None:
    length = quantity("length", of_wire=True)
    assert length.read(f"{value!r} mm", WIRE) == pytest.approx(value, rel=1e-12)
    assert length.read(f"{value / 25.4!r} in", WIRE) == pytest.approx(value, rel=1e-12)
    assert length.read(f"{value / D_MM!r} d", WIRE) == pytest.approx(value, rel=1e-12)
    assert quantity("angle").read(f"{math.radians(value)!r} rad", None) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "good", "bad"),
    [
        (
            quantity("force", most=100.0),
            ["100 N", "0.1 kN", "1e-9 N"],
            ["100.1 N", "0 N", "-1 N", "5", "5 mm", "x", ""],
        ),
        (quantity("none", least=1.0, most=3.0), ["1", "3"], ["0.999", "3.001", "0", "nan", "1 mm"]),
        (quantity("length", most_d=2.0, of_wire=True), ["2 d", "0.1 mm"], ["2.001 d", "0 d", "1 N"]),
        (quantity("length"), ["1000 m"], ["2 d"]),
        (number(0.1, 3600.0), ["0.1", "3600", " 5 "], ["0.0999", "3600.1", "inf", "nan", "5 s", ""]),
        (proportion(0.999, "0.9"), ["0.999", "1e-9"], ["0", "1", "-0.1", "90 %", "nan"]),
        (whole(2, 4), ["2", "4", " 3 "], ["1", "5", "2.0", "-3", "\u0663", "", "99999999999999999999"]),
        (numbers(0.0, 1.0, 2), ["0,1", "0.5, 0.5"], ["0.5", "0,1,1", "0,1.1", "0,", "a,b", "nan,0"]),
        (numbers(0.0, 9.0), ["1", "1,2,3"], ["", "10", "1,,2"]),
        (names(), ["A", "A, B"], ["A,A", "A,,B", "", ",".join(str(k) for k in range(21))]),
        (choice("a", b="the other"), ["a", "b"], ["c", "", "A"]),
    ],
    ids=lambda value: value.name if isinstance(value, Kind) else None,
)
def test_ranges_hold_at_both_ends(kind: Kind, good: list[str], bad: list[str]) -> None:
    for text in good:
        kind.read(text, WIRE)
    for text in bad:
        with pytest.raises(ValueError, match="must "):
            kind.read(text, WIRE)


def test_lists_keep_their_order_and_drop_what_is_said_twice() -> None:
    assert numbers(0.0, 9.0).read("3,1,3,2", None) == (3.0, 1.0, 2.0)
    assert numbers(0.0, 1.0, 2).read("0.5,0.5", None) == (0.5, 0.5)


@given(strategies.text(max_size=8))
def test_a_finite_number_is_one_or_none(text: str) -> None:
    value = finite(text)
    assert value is None or math.isfinite(value)


def _digit(text: str) -> int:
    if text not in "0123456789" or len(text) != 1:
        raise ValueError(f"must be a digit; got {text}")
    return int(text)


def test_what_is_given_more_than_once_tells_every_fault() -> None:
    option = Option("digit", "a digit", each_of(_digit, "D"), many=True)
    assert option.value(["1", "2"], None) == (1, 2)
    assert option.value(None, None) == option.value([], None) == ()
    with pytest.raises(ValueError, match="must be") as found:
        option.value(["1", "x", "yy"], None)
    assert found.value.args == ("must be a digit; got x", "must be a digit; got yy")


def test_what_is_not_given_is_the_default_read_as_if_it_were() -> None:
    option = Option("load", "the load", quantity("force"), "2 kN")
    assert option.value(None, None) == option.value("2 kN", None) == 2000.0
    assert Option("load", "the load", quantity("force")).value(None, None) is None
    assert Option("all", "all of it", TICK).value(None, None) is False
    with pytest.raises(ValueError, match='must be given, such as "5 N"'):
        Option("load", "the load", quantity("force"), required=True, example="5 N").value(None, None)


def test_all_faults_come_at_once_and_in_order() -> None:
    def together(given: Any) -> list[ValidationIssue]:
        return [argument_issue("load", "is beside a tick")] if given.tick and given.load is None else []

    task = Task(
        options=(Option("load", "the load", quantity("force")), Option("tick", "a tick", TICK), RECIPE),
        run=lambda given: given.load,
        check=together,
    )

    def look(option: Option) -> Any:
        if option is RECIPE:
            raise ValidationError([ValidationIssue("a.toml", "is empty")])
        return {"load": "5 mm", "tick": True}[option.key]

    with pytest.raises(ValidationError) as found:
        given_of(task, look, lambda line: None, [ValidationIssue("b.png", "exists")])
    assert [fault.place for fault in found.value.faults] == ["a.toml", "b.png", "load", "load"]
    assert [fault.path.key for fault in found.value.faults] == ["", "", "load", "load"]
