"""From a plan to a cutting list: lengths against `helix shape`, the list against a search of its own.

Map of what must hold:
  one joint and a plain end = the same wire that `shape` says, with the same interval
  two joints: bearing points lie the asked length apart, free or under load; marks lie where the curve says
  spares: the least number whose expected yield is enough, with the binomial chance
  the demo's list is one that can be cut, and its waste is the least of every list (dynamic programming here)
  what is short is told, and the rest is planned
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from helix.errors import ValidationError
from helix.model.batch.plan import Plan, plan_from_text, read_plan
from helix.model.joint.joint import build_joint
from helix.studies.batch import cut_plan as module
from helix.studies.batch.cut_plan import CutPlan, cut_plan
from helix.studies.hold.holding import hold
from helix.studies.hold.stretch import stretch
from helix.studies.shape.shape import shape

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
HEAD = '[wire.thin]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[end.logger]\nrecipe = "logger-tether.toml"\n'


SHAPED = cache(shape)


@pytest.fixture(autouse=True)
def each_joint_is_shaped_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "shape", SHAPED)


def plan(pieces: str, stock: str = 'length = "25 m"', head: str = "", wires: str = HEAD) -> Plan:
    return plan_from_text(f"{head}{wires}[[piece]]\n{pieces}\n[[stock]]\n{stock}\n", "plan.toml", EXAMPLES)


@cache
def demo() -> CutPlan:
    return cut_plan(read_plan(EXAMPLES / "reef-station.toml"))


@cache
def single(ends: str = '["logger", "plain"]', more: str = "", head: str = "") -> CutPlan:
    return cut_plan(plan(f'count = 10\nlength = "600 mm"\nends = {ends}\n{more}', head=head))


def test_one_joint_takes_the_wire_that_shape_says() -> None:
    made = single().pieces[0]
    recipe = made.piece.ends[0].recipe
    said = shape(replace(recipe, finish=replace(recipe.finish, standing_mm=made.straight_mm)))
    assert made.cut_mm == pytest.approx(said.cut.total_mm, abs=1e-9)
    assert made.low_mm == pytest.approx(said.cut.low_mm, abs=1e-9)
    assert made.high_mm == pytest.approx(said.cut.high_mm, abs=1e-9)
    # from the bearing point to the far face of the last wrap, then the straight wire from its middle on
    d = recipe.wire.diameter_mm
    assert said.finished.length_mm - d / 2 + made.straight_mm == pytest.approx(600.0, abs=1e-9)
    assert made.saw_mm == math.ceil(made.cut_mm)  # whole mm, as a tape shows it


def test_two_joints_and_none() -> None:
    one, two, none = (
        single(ends).pieces[0] for ends in ('["logger", "plain"]', '["logger", "logger"]', '["plain", "plain"]')
    )
    joint = one.cut_mm - one.straight_mm
    assert two.cut_mm == pytest.approx(two.straight_mm + 2 * joint, abs=1e-9)
    assert two.straight_mm == pytest.approx(600.0 - 2 * (600.0 - one.straight_mm), abs=1e-9)
    assert (none.cut_mm, none.low_mm, none.high_mm, none.marks) == (600.0, 600.0, 600.0, ())
    # what is one choice for both ends adds up; what is by chance does not
    half, twice = 0.5 * (one.high_mm - one.low_mm), 0.5 * (two.high_mm - two.low_mm)
    ramps = dict(one.ends[0].shares)["choice of ramps"]
    assert twice**2 - (2 * ramps) ** 2 == pytest.approx(2 * (half**2 - ramps**2), rel=1e-9)


@pytest.mark.parametrize("ends", ['["logger", "plain"]', '["plain", "logger"]'])
def test_marks_lie_where_the_curve_says(ends: str) -> None:
    made = single(ends).pieces[0]
    recipe = next(end.recipe for end in made.piece.ends if end.recipe)
    joint = build_joint(replace(recipe, finish=replace(recipe.finish, standing_mm=made.straight_mm)))
    line = joint.sample(0.01)
    part = np.array(joint.section_names)[line.section]
    from_tag = line.s_mm[-1] - line.s_mm + recipe.finish.handle_mm
    at = {mark.what: (mark.from_first_mm, mark.from_second_mm)[mark.end - 1] for mark in made.marks}
    wanted = {
        "tag throat": from_tag[part == "twist_tag"].max(),
        "eye middle": from_tag[np.argmin(line.points_mm[:, 2])],
        "leg throat": from_tag[part == "twist_standing"].min(),
        "barrel end": from_tag[part == "standing"].min(),
    }
    for what, mm in wanted.items():
        assert at[what] == pytest.approx(mm, abs=0.011 * recipe.wire.diameter_mm), what
    for mark in made.marks:
        assert mark.from_first_mm + mark.from_second_mm == pytest.approx(made.saw_mm, abs=1e-9)


def test_a_load_stretches_wire_and_joint() -> None:
    free, loaded = single().pieces[0], single(more='at_load = "200 N"').pieces[0]
    strain = 200.0 / (193_000.0 * np.pi * 0.7366**2 / 4.0)
    recipe = loaded.piece.ends[0].recipe
    joint = stretch(SHAPED(recipe), hold(recipe, draws=1000), 200.0).joint_stretch_mm.nominal
    assert 0.0 < joint < 0.2
    assert loaded.straight_mm * (1.0 + strain) == pytest.approx(free.straight_mm - joint, rel=1e-12)
    assert loaded.free_mm + loaded.stretch_mm == pytest.approx(600.0, abs=1e-9)
    assert loaded.stretch_mm == pytest.approx(strain * loaded.straight_mm + joint, rel=1e-9)
    assert free.stretch_mm == 0.0
    plain = single('["plain", "plain"]', 'at_load = "200 N"').pieces[0]
    assert plain.straight_mm == pytest.approx(600.0 / (1.0 + strain), rel=1e-12)
    with pytest.raises(ValidationError, match=r"piece piece 1: at_load: must be below the 837 N"):
        single('["plain", "plain"]', 'at_load = "900 N"')


@pytest.mark.parametrize("rate", [0.0, 0.02, 0.1, 0.5])
def test_spares(rate: float) -> None:
    for ends, joints in (('["logger", "logger"]', 2), ('["logger", "plain"]', 1), ('["plain", "plain"]', 0)):
        made = single(ends, head=f"[cutting]\nspare = {rate}\n").pieces[0]
        good = (1.0 - rate) ** joints
        assert made.to_cut * good >= 10 - 1e-9
        assert (made.to_cut - 1) * good < 10
        assert made.enough == pytest.approx(binom.sf(9, made.to_cut, good), rel=1e-9)


def test_cut_long_where_the_handle_cannot_take_it_up(tmp_path: Path) -> None:
    text = (EXAMPLES / "logger-tether.toml").read_text(encoding="utf-8") + '\n[finish]\nhandle = "8 mm"\n'
    (tmp_path / "logger-tether.toml").write_text(text, encoding="utf-8")
    for ends in ('["logger", "plain"]', '["logger", "logger"]', '["plain", "logger"]'):
        pieces = f'[[piece]]\ncount = 1\nlength = "600 mm"\nends = {ends}\n[[stock]]\nlength = "25 m"\n'
        made = cut_plan(plan_from_text(HEAD + pieces, "plan.toml", tmp_path)).pieces[0]
        assert 0.5 * (made.high_mm - made.low_mm) > 0.25 * 8.0
        assert made.long
        assert made.saw_mm == math.ceil(made.high_mm)
        both = ends.count("logger") == 2
        for mark in made.marks:
            own = (mark.from_first_mm, mark.from_second_mm)[mark.end - 1]
            stated = dict(made.ends[mark.end - 1].marks_mm)[mark.what]
            # the wire beyond lies in both handles, or at the plain end
            assert own == pytest.approx(stated + (0.5 * made.extra_mm if both else 0.0), abs=1e-9)
    assert not single().pieces[0].long


def test_the_demo_s_list_can_be_cut() -> None:
    result = demo()
    cut: dict[str, int] = {}
    for each in result.stock:
        assert each.cuts[0].from_mm == 0.0
        for before, after in zip(each.cuts, each.cuts[1:], strict=False):
            assert after.from_mm - before.to_mm == pytest.approx(1.0, abs=1e-9)
        assert each.cuts[-1].to_mm <= each.stock.length_mm
        assert sum(c.length_mm for c in each.cuts) + each.loss_mm + each.left_mm == pytest.approx(
            each.stock.length_mm, abs=1e-6
        )
        assert each.kept == (each.left_mm >= 600.0)
        for piece in each.cuts:
            cut[piece.name] = cut.get(piece.name, 0) + 1
            assert piece.length_mm == pytest.approx(next(p.saw_mm for p in result.pieces if p.piece.name == piece.name))
    assert cut == {each.piece.name: each.to_cut for each in result.pieces}
    assert result.short == ()
    assert result.gap == 0.0
    # the coil's price, less the share that is kept
    coil = result.stock[0]
    assert result.cost == pytest.approx(9.5 * (1.0 - coil.left_mm / coil.stock.length_mm))
    assert result.opened_cost == 9.5


def test_the_demo_s_waste_is_the_least_there_is() -> None:
    """Every way to share two kinds of piece out over five offcuts, by dynamic programming over the numbers cut."""
    result = demo()
    offcuts = [stock for stock in result.plan.stock if stock.wire == "thick"]
    kinds = [piece for piece in result.pieces if piece.piece.wire == "thick"]
    assert len(kinds) == 2
    lengths = [round(piece.saw_mm * 10) for piece in kinds]
    wanted = tuple(piece.to_cut for piece in kinds)
    best = {(0, 0): 0}
    for stock in offcuts:
        whole, after = round(stock.length_mm * 10), {}
        for (a, b), waste in best.items():
            for x, y in product(range(wanted[0] - a + 1), range(wanted[1] - b + 1)):
                pieces = x * lengths[0] + y * lengths[1]
                left = whole - pieces - 10 * (x + y)
                if left < -10:
                    continue
                more = 0 if x + y == 0 else 10 * (x + y) if left >= 6000 else whole - pieces
                key = (a + x, b + y)
                after[key] = min(after.get(key, 10**9), waste + more)
        best = after
    mine = sum(each.waste_mm for each in result.stock if each.stock.wire == "thick")
    assert round(mine * 10) == best[wanted]
    thin = sum(each.waste_mm for each in result.stock if each.stock.wire == "thin")
    assert thin == pytest.approx(30.0)  # a coil with a rest worth keeping: the saw's share of 30 cuts


def test_no_waste_is_none() -> None:
    """Without saw loss, and with a rest that is kept, nothing is lost: not a last bit either."""
    found = cut_plan(plan('count = 7\nlength = "617.3 mm"\nends = ["plain", "plain"]', 'length = "10 m"'))
    assert found.waste_mm == 0.0 and found.stock[0].kept
    assert found.wires[0].least_waste_mm == 0.0 and found.gap == 0.0
    exact = cut_plan(plan('count = 3\nlength = "333.3 mm"\nends = ["plain", "plain"]', 'length = "999.9 mm"'))
    assert exact.stock[0].left_mm == 0.0 and exact.waste_mm == 0.0


def test_short_of_stock() -> None:
    result = cut_plan(plan('count = 10\nlength = "600 mm"\nends = ["plain", "plain"]', 'length = "1.3 m"\ncount = 3'))
    assert [(each.name, each.count, each.missing_mm) for each in result.short] == [("piece 1", 4, 2400.0)]
    (lack,) = result.short
    assert lack.needed_mm == sum(piece.to_cut * piece.saw_mm for piece in result.pieces)
    assert lack.stock_mm == sum(bar.length_mm * (bar.count or 0) for bar in result.plan.stock) < lack.needed_mm
    assert sum(len(each.cuts) for each in result.stock) == 6
    nothing = plan('count = 10\nlength = "600 mm"\nends = ["plain", "plain"]', 'length = "1.3 m"\ncount = 0')
    with pytest.raises(ValidationError, match=r"takes 600 mm of wire thin, more than any stock: there is none of it"):
        cut_plan(nothing)


def test_pieces_that_cannot_be() -> None:
    with pytest.raises(ValidationError, match=r"more than any stock: the longest is 700 mm"):
        cut_plan(plan('count = 1\nlength = "701 mm"\nends = ["plain", "plain"]', 'length = "700 mm"'))
    with pytest.raises(ValidationError, match=r"length: must be more than the 61\.\d mm that its joints take up"):
        cut_plan(plan('count = 1\nlength = "60 mm"\nends = ["logger", "logger"]'))
    # flush: a piece that is exactly as long as the stock
    flush = cut_plan(
        plan(
            'count = 1\nlength = "700 mm"\nends = ["plain", "plain"]',
            'length = "700 mm"',
            '[cutting]\nsaw_loss = "3 mm"\n',
        )
    )
    assert flush.waste_mm == pytest.approx(0.0, abs=1e-9)
    assert flush.stock[0].left_mm == 0.0


def test_a_joint_that_cannot_exist_is_a_fault_of_its_end() -> None:
    wires = HEAD + 'pin = "0.2 d"\n'
    with pytest.raises(ValidationError, match=r"end logger: .*the eye does not close|end logger"):
        cut_plan(plan('count = 1\nlength = "600 mm"\nends = ["logger", "plain"]', wires=wires))


def test_what_is_minimised() -> None:
    stock = 'name = "dear"\nlength = "1210 mm"\nprice = 5\ncount = 5\n[[stock]]\n'
    stock += 'name = "cheap"\nlength = "1290 mm"\nprice = 1\ncount = 2'
    pieces = 'count = 4\nlength = "600 mm"\nends = ["plain", "plain"]'
    tail = '[cutting]\nleast_tail = "1 m"\n'
    found = {word: cut_plan(plan(pieces, stock, f'{tail}minimise = "{word}"\n')) for word in ("stock", "waste", "cost")}
    for word, waste, cost, opened in (("stock", 20, 10, 2420), ("waste", 20, 10, 2420), ("cost", 180, 2, 2580)):
        result = found[word]
        assert (result.waste_mm, result.cost) == (pytest.approx(waste), pytest.approx(cost))
        assert result.opened_mm == pytest.approx(opened)
        assert result.opened_cost == result.cost  # no rest is kept
        assert result.gap == 0.0
        assert result.wires[0].least_waste_mm == (None if word == "cost" else pytest.approx(waste))


def test_rests_are_no_reason_to_cut_into_more_stock() -> None:
    """Ten rods that each could keep a rest: the fewest are cut into, unless nothing but the waste counts."""
    pieces, stock = 'count = 20\nlength = "700 mm"\nends = ["plain", "plain"]', 'length = "2.9 m"\ncount = 20'
    few = cut_plan(plan(pieces, stock, '[cutting]\nleast_tail = "500 mm"\n'))
    # four pieces to a rod leave 100 mm; it takes five rods
    assert (len(few.stock), few.waste_mm) == (5, pytest.approx(500.0))
    none = cut_plan(plan(pieces, stock, '[cutting]\nleast_tail = "500 mm"\nminimise = "waste"\n'))
    assert none.waste_mm == 0.0
    assert len(none.stock) == 7  # three to a rod, the fewest that waste nothing


def doubled(ends: str, over: bool = False) -> CutPlan:
    folder = {
        "two.toml": {
            "wire": {"count": 2},
            "eye": {"pin": "6 mm", "pair": "one over the other" if over else "side by side"},
        },
        "one.toml": {"eye": {"pin": "6 mm"}},
    }
    wires = '[wire.thin]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[end.pair]\nrecipe = "two.toml"\n[end.one]\nrecipe = "one.toml"\n'
    text = f'{wires}[[piece]]\ncount = 3\nlength = "600 mm"\nends = {ends}\n[[stock]]\nlength = "25 m"\n'
    return cut_plan(plan_from_text(text, "plan.toml", folder))


def test_two_wires_are_cut_each() -> None:
    """Of one joint each wire takes what shape says; of two alike, crossed over, both wires take the same."""
    one = doubled('["pair", "plain"]', over=True)
    recipe = one.pieces[0].piece.ends[0].recipe
    assert recipe is not None and recipe.wire.count == 2
    said = shape(replace(recipe, finish=replace(recipe.finish, standing_mm=one.pieces[0].straight_mm)))
    assert [piece.cut_mm for piece in one.pieces] == pytest.approx([wire.cut_mm for wire in said.wires], rel=1e-12)
    assert one.pieces[0].cut_mm > one.pieces[1].cut_mm + 1.0
    both = doubled('["pair", "pair"]', over=True)
    assert both.pieces[0].cut_mm == pytest.approx(both.pieces[1].cut_mm, rel=1e-12)
    assert [piece.to_cut for piece in both.pieces] == [3, 3]


def test_a_piece_of_one_wire_and_of_two_is_none() -> None:
    with pytest.raises(ValidationError, match=r"ends: must be of one wire each, or of two each"):
        doubled('["pair", "one"]')
