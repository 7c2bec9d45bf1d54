"""Inspection of two wires worked as one.

Map of what must hold:
  calipers on a built joint, which know nothing of the recipe, read what the inspection expects of it
  exact readings give the recipe back; joints of known make off their recipe are found again within their limits
  the load as made is the pair's, if it holds; each wire's cut is that of the joint as made
  wraps of both tags, crossings counted as turns, a strand that stands out, an exit past square: each is told
  readings that say nothing of two wires are refused, one line each
"""

from __future__ import annotations

from functools import cache, partial

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.findings import Severity
from helix.model.joint.joint import build_joint
from helix.model.measured.readings import Reading, read_readings
from helix.model.recipe.recipe import Recipe, recipe_from_values
from helix.output.words.findings.reading_words import doubt_text
from helix.studies.hold.holding import hold
from helix.studies.inspect import made_load
from helix.studies.inspect.beside import intended_readings, readings_beside
from helix.studies.inspect.inspection import Found, found_of, found_to_tag, inspect
from helix.studies.inspect.inspection_result import Inspection
from helix.studies.shape.outline import draft
from tests.studies.inspect.caliper_readings import caliper_readings

BASE = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 8.0, "count": 2}
D = 0.7366
DRAWS = 400


@cache
def recipe(**values: object) -> Recipe:
    return recipe_from_values({**BASE, **values})


BUILT = cache(build_joint)
HELD = cache(partial(hold, draws=DRAWS))


@pytest.fixture(autouse=True)
def each_joint_is_held_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(made_load, "hold", HELD)


@cache
def inspected(**texts: str) -> Inspection:
    return inspect(recipe(), read_readings(texts, recipe()))


@cache
def found(**texts: str) -> Found:
    return found_of(recipe(), read_readings(texts, recipe()))


def readings(found: dict[str, float], sd: float = 0.01) -> dict[str, Reading]:
    counts = ("turns", "wraps")
    return {k: Reading(name=k, value=v, sd=0.0 if k in counts else sd, stated=True) for k, v in found.items()}


# ------------------------------------------------------------------ calipers, and what they give back


@pytest.mark.parametrize(
    ("pair", "lay_d"), [("one over the other", 9.0), pytest.param("side by side", 6.7, marks=pytest.mark.slow)]
)
def test_calipers_read_what_is_expected(pair: str, lay_d: float) -> None:
    made = recipe(pair=pair, lay_d=lay_d)
    expected = intended_readings(draft(made))
    for name, value in caliper_readings(BUILT(made)).items():
        assert value == pytest.approx(expected[name], abs=0.02 * D), name


@cache
def exact() -> Inspection:
    return inspect(recipe(), readings(caliper_readings(BUILT(recipe()))))


@pytest.mark.slow
def test_exact_readings_give_the_recipe_back() -> None:
    result = exact()
    assert {finding.code for finding in result.whole.findings if finding.severity > Severity.NOTE} == {"two-wires"}
    assert not any(size.off for size in (result.wire_mm, result.lay_mm, result.gap_mm, result.pin_mm))
    assert result.made is not None and result.made.barrel.pitch_mm is None and result.made.twist.evenness == 1.0
    assert result.finished_off_mm is not None and abs(result.finished_off_mm.value) < 0.01
    handle_mm = recipe().finish.handle_mm
    assert result.cuts_mm == pytest.approx([wire.wire_mm + handle_mm for wire in BUILT(recipe()).wires], abs=0.05)


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.slow) for seed in (1, 2, 4, 5))])
def test_joints_of_known_make_are_found_again(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lay_d, pitch_d, pin_mm = rng.uniform(6.0, 8.5), rng.uniform(2.07, 2.4), rng.uniform(7.6, 8.4)
    turns, wraps = float(rng.integers(4, 7)), float(rng.integers(4, 7))
    pair = str(rng.choice(["side by side", "one over the other"]))
    made = recipe(lay_d=lay_d, pitch_d=pitch_d, pin_mm=pin_mm, turns=turns, wraps=wraps, pair=pair)
    read = caliper_readings(BUILT(made))
    read |= {k: v + rng.normal(0.0, 0.02) for k, v in read.items() if k not in ("turns", "wraps")}
    found = found_of(recipe(pair=pair), readings(read, 0.02))
    assert found.made is not None
    for name, value in {"lay": lay_d * D, "pin": pin_mm}.items():
        assert found.sizes[name].low <= value <= found.sizes[name].high, name
    gap = BUILT(made).layout.sizes.wrap_gap * D  # along the core; what is found is square to the wires
    assert found.sizes["gap"].low - 0.05 * gap <= gap <= found.sizes["gap"].high + 0.05 * gap


# ------------------------------------------------------------------ load, counts, doubts


def test_the_load_is_the_pair_s_if_it_holds() -> None:
    pair = HELD(recipe()).pair
    as_asked, fewer = exact().load, inspected(turns="4", wraps="5").load
    assert pair is not None and pair.load is not None and as_asked is not None and fewer is not None
    assert as_asked.intended_plan_with_n == pytest.approx(pair.load.plan_with_n)
    assert as_asked.plan_with_n == pytest.approx(as_asked.intended_plan_with_n, rel=1e-3)  # its lengths are a hair off
    assert np.isnan(as_asked.unwinds)
    assert fewer.plan_with_n <= as_asked.plan_with_n


def test_counts_to_where_the_tags_leave() -> None:
    between = exact().between
    texts = {"turns": f"{5.0 + between.twist_turns:.6f}", "wraps": f"{5.0 + between.wrap_turns:.6f}"}
    made = found_to_tag(recipe(), read_readings(texts, recipe())).made
    assert made is not None and (made.twist.turns, made.barrel.wraps) == (5.0, 5.0)


def test_wraps_of_both_tags_are_told() -> None:
    doubts = found(wraps="10", barrel_length="8.56 mm").doubts
    assert [(doubt.code, doubt.fits, doubt.impossible) for doubt in doubts] == [("wraps-overlap", 5.0, True)]
    assert doubt_text(doubts[0]).endswith("5 wraps would fit; count again: those of one tag only")


def test_crossings_counted_as_turns() -> None:
    doubts = found(turns="10", twist_length="24.68 mm").doubts
    assert [(doubt.code, doubt.fits) for doubt in doubts] == [("lay-cannot-be", 5.0)]
    assert doubts[0].values["shortest_d"] == 4.0


@pytest.mark.parametrize(
    ("across", "says"), [("2.1 mm", "stands out"), ("1.87 mm", "slipped into the open middle"), ("1.96 mm", "")]
)
def test_four_strands_that_are_no_ring(across: str, says: str) -> None:
    doubts = found(twist_diameter=across).doubts
    assert [(doubt.code, doubt.impossible) for doubt in doubts] == ([("no-ring", False)] if says else [])
    assert not says or says in doubt_text(doubts[0])


def test_an_exit_past_square_has_no_load() -> None:
    result = inspected(exit="100 deg")
    assert result.verdict == "remake" and result.judgement.code == "steep-exit"
    assert result.load is not None and np.isnan(result.load.plan_with_n) and result.load.intended_plan_with_n > 900.0
    rows = readings_beside(result, intended_readings(draft(recipe())))
    assert [(row.name, row.severity) for row in rows] == [("exit", Severity.SHARP)]


@pytest.mark.parametrize(
    ("name", "text"), [("twist_diameter", "1.5 mm"), ("barrel_diameter", "2.2 mm"), ("barrel_diameter", "5.3 mm")]
)
def test_what_is_across_four_strands_and_an_oval(name: str, text: str) -> None:
    doubts = found(**{name: text}).doubts
    assert [(doubt.name, doubt.code in ("too-thin", "too-thick")) for doubt in doubts if doubt.impossible] == [
        (name, True)
    ]


@pytest.mark.parametrize(("name", "text"), [("turns", "0"), ("crossings", "0"), ("evenness", "even"), ("wraps", "51")])
def test_readings_that_say_nothing_of_two_wires(name: str, text: str) -> None:
    with pytest.raises(ValidationError) as refused:
        read_readings({name: text}, recipe())
    assert [(fault.path.key, fault.code) for fault in refused.value.faults] == [(name, "not-for-two")]
