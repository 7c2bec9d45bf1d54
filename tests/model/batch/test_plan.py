"""Plans: what reads, what each key means, and one line for every fault.

Map of what must hold:
  the demo reads, and says what it says
  a plan's wire and pin take the place of the recipe's own; lengths in d follow the wire
  mass = density pi d^2/4 length, both ways
  every fault of a plan and of its recipes at once, each with its file, line and key
"""

from __future__ import annotations

import math
import pickle
from pathlib import Path

import pytest

from helix.errors import ValidationError
from helix.mechanics.wire_mass import wire_length, wire_mass
from helix.model.batch.plan import Plan, plan_from_text, read_plan
from helix.model.joint.wire import wire_of
from helix.model.recipe.recipe import read_recipe
from helix.model.recipe.recipe_writing import wire_values

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
DEMO = EXAMPLES / "reef-station.toml"
WIRE = '[wire.thin]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
END = '[end.logger]\nrecipe = "logger-tether.toml"\n'
PIECE = '[[piece]]\nname = "stay"\ncount = 4\nlength = "600 mm"\nwire = "thin"\nends = ["logger", "plain"]\n'
STOCK = '[[stock]]\nname = "coil"\nwire = "thin"\nlength = "25 m"\n'


def plan(text: str) -> Plan:
    return plan_from_text(text, "plan.toml", EXAMPLES)


def faults(text: str) -> list[str]:
    with pytest.raises(ValidationError) as raised:
        plan(text)
    return [str(fault) for fault in raised.value.faults]


def test_the_demo() -> None:
    found = read_plan(DEMO)
    assert sum(piece.count for piece in found.pieces) == 48
    assert {piece.length_mm for piece in found.pieces} == {450.0, 800.0, 1400.0}
    assert {wire.size for wire in found.wires.values()} == {"MWG 12", "MWG 14"}
    assert [stock.mass_kg is not None for stock in found.stock] == [True] + [False] * 5
    assert found.pieces[3].at_load_n == 100.0
    assert found.cutting.saw_loss_mm == 1.0


def test_the_plan_s_wire_and_pin_take_the_place_of_the_recipe_s() -> None:
    own = read_recipe(EXAMPLES / "logger-tether.toml")
    thick = WIRE.replace("MWG 12", "MWG 14")
    text = thick + END + 'pin = "10 mm"\n' + PIECE + STOCK
    end = plan(text).pieces[0].ends[0].recipe
    assert end.eye.pin_mm == 10.0
    assert end.wire == wire_of("302 stainless", end.wire.diameter_mm, "MWG 14", end.wire.source.split("; ")[0])
    assert end.wire.size == "MWG 14"
    # 4 d of lay, 1 d of stub and 0.2 d of tolerance follow the wire; the handle's 60 mm does not
    scale = end.wire.diameter_mm / own.wire.diameter_mm
    assert end.twist.lay_mm == pytest.approx(own.twist.lay_mm * scale)
    assert end.finish.stub_mm == pytest.approx(own.finish.stub_mm * scale)
    assert end.tolerance.lay_mm == pytest.approx(own.tolerance.lay_mm * scale)
    assert end.finish.handle_mm == own.finish.handle_mm == 60.0
    assert any("written for MWG 12" in note for note in plan(text).notes)
    same = plan(WIRE + END + PIECE + STOCK).pieces[0].ends[0].recipe
    assert (same.eye, same.twist, same.wire.size) == (own.eye, own.twist, "MWG 12")
    assert plan(WIRE + END + 'pin = "8 d"\n' + PIECE + STOCK).pieces[0].ends[0].recipe.eye.pin_mm == pytest.approx(
        8.0 * own.wire.diameter_mm
    )


def test_a_wire_reads_back_from_its_own_table() -> None:
    from helix.model.recipe.recipe import recipe_from_text

    wire = wire_of("302 stainless", 0.7366, "MWG 12")
    rows = wire_values(wire)
    lines = [f'{key} = "{value}"' for key, value in rows["own"].items()]
    text = f'[wire]\ndiameter = "{rows["diameter"]}"\n[wire.own]\n' + "\n".join(lines) + '\n[eye]\npin = "6 mm"\n'
    read = recipe_from_text(text).wire
    assert read.diameter_mm == wire.diameter_mm
    assert read.strength_mpa == pytest.approx(wire.strength_mpa, rel=1e-15)
    assert read.modulus_mpa == wire.modulus_mpa
    assert read.density_kg_m3 == wire.density_kg_m3


def test_mass_and_length() -> None:
    found = plan(WIRE + END + PIECE + STOCK.replace('length = "25 m"', 'mass = "100 g"'))
    d = 0.7366
    assert found.stock[0].length_mm == pytest.approx(0.1 / (7920e-9 * math.pi * d * d / 4.0))
    assert wire_mass(wire_length(0.1, d, 7920.0), d, 7920.0) == pytest.approx(0.1, rel=1e-15)
    # a density of 1 t/m3 and a cross section of 1 mm2: a gram a metre
    assert wire_mass(1000.0, 2.0 / math.sqrt(math.pi), 1000.0) == pytest.approx(1e-3, rel=1e-14)
    pound = plan(WIRE + END + PIECE + STOCK.replace('length = "25 m"', 'mass = "1 lb"'))
    assert pound.stock[0].length_mm == pytest.approx(4.5359237 * found.stock[0].length_mm)
    assert any("a diameter off by 1 % takes that off by 2 %" in note for note in found.notes)
    for bad in ({"mass_kg": 0.0}, {"d_mm": -1.0}, {"density_kg_m3": math.inf}):
        with pytest.raises(ValueError, match=f"{next(iter(bad))} must be above 0"):
            wire_length(**({"mass_kg": 1.0, "d_mm": 1.0, "density_kg_m3": 1.0} | bad))


def test_defaults() -> None:
    found = plan(WIRE + END + PIECE + STOCK)
    cutting = found.cutting
    assert (cutting.saw_loss_mm, cutting.least_tail_mm, cutting.spare) == (0.0, None, 0.0)
    assert (cutting.handle_give, cutting.minimise) == (0.25, "stock")
    assert found.stock[0].count == 1
    assert found.stock[0].price is None
    # the only wire need not be named
    bare = PIECE.replace('wire = "thin"\n', "")
    assert plan(WIRE + END + bare + STOCK.replace('wire = "thin"\n', "")).pieces[0].wire == "thin"


FAULTS = [
    ('title = ""\n', "", "title: must be one line"),
    ("pieces = 4\n", "", "pieces: is not a key or table of a plan; did you mean piece?"),
    ("", "[cutting]\nsaw_loss = 2\n", '[cutting] saw_loss: must be text with a unit, such as "2 mm"; got 2'),
    ("", '[cutting]\nsaw_loss = "-1 mm"\n', "[cutting] saw_loss: must be 0 or more"),
    ("", '[cutting]\nleast_tail = "3 N"\n', "which is a force"),
    ("", "[cutting]\nspare = 0.9\n", "[cutting] spare: must be at least 0 and at most 0.5"),
    ("", '[cutting]\nminimise = "wast"\n', 'did you mean "waste"?'),
    ("", "[cutting]\nkerf = 2\n", "[cutting] kerf: is not a key of [cutting]"),
    ("", '[wire.other]\nsize = "12"\nmaterial = "302 stainless"\n', "[wire.other] size: must be a gauge family"),
    ("", '[end.plain]\nrecipe = "logger-tether.toml"\n', "[end.plain]: must have another name"),
    ("", "[end.x]\n", None),  # an end that no piece has is only remarked on
]


@pytest.mark.parametrize(("top", "more", "said"), FAULTS)
def test_one_fault_one_line(top: str, more: str, said: str | None) -> None:
    text = top + WIRE + END + PIECE + STOCK + more
    if said is None:
        assert any('No piece has the end "x"' in note for note in plan(text).notes)
        return
    found = faults(text)
    assert len(found) == 1
    assert said in found[0]
    assert found[0].startswith("plan.toml line ")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("count = 4", "count = 0", "[piece 1] count: must be more than 0"),
        ("count = 4", "count = 2.5", "must be a whole number; got 2.5"),
        ("count = 4", 'count = "4"', "must be a bare number"),
        ("count = 4", "count = 1000000", "must be above 0 and at most 5000"),
        ("count = 4\n", "", "[piece 1] count: is missing: give count = 12"),
        ('length = "600 mm"', 'length = "600"', "which has no unit"),
        ('length = "600 mm"', 'length = "600 d"', "d, the wire diameter, cannot be used here"),
        ('length = "600 mm"', 'length = "0.6 kg"', "which is a mass"),
        ('length = "600 mm"', 'length = "nan mm"', "not a finite number"),
        ('length = "600 mm"', 'length = "600 mm"\nat_load = "5 kg"', "write kgf"),
        ('wire = "thin"\nends', 'wire = "thick"\nends', 'must be one of "thin"; got "thick"'),
        ('["logger", "plain"]', '["logger"]', "got a list of 1"),
        ('["logger", "plain"]', '["loger", "plain"]', 'must be among "logger", "plain"; got "loger"'),
        ('["logger", "plain"]', '"logger"', 'must be the names of two ends, such as ["logger", "plain"]; got "logger"'),
        ("logger-tether.toml", "none.toml", "[end.logger] recipe: "),
        ("logger-tether.toml", "faults", "must be a recipe; got a folder"),
        ('recipe = "logger-tether.toml"', "", "[end.logger] recipe: is missing"),
        ('length = "25 m"', 'length = "25 m"\nmass = "1 kg"', "mass: must not stand beside length"),
        ('length = "25 m"', 'mass = "25 m"', "which is a length"),
        ('length = "25 m"', 'mass = "-1 kg"', "must be more than 0"),
        ('length = "25 m"\n', "", "[stock 1] length: is missing"),
        ('name = "coil"', 'name = "coil"\nprice = -1', "price: must be 0 or more"),
        ('name = "coil"', 'name = "coil"\ncount = 1.5', "must be a whole number"),
        (WIRE, '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n', "must be named: write [wire.thin]"),
    ],
)
def test_one_fault_in_a_table(old: str, new: str, said: str) -> None:
    text = (WIRE + END + PIECE + STOCK).replace(old, new)
    found = faults(text)
    assert any(said in line for line in found), found
    # a wire that is not there is told once more by each table that names it
    assert len(found) == 1 or "[wire" in said or "must be named" in said
    assert all("\n" not in line for line in found)


def test_a_fault_of_a_recipe_is_told_once_at_its_own_place() -> None:
    text = (WIRE + END + PIECE + PIECE.replace("stay", "guy") + STOCK).replace(
        "logger-tether.toml", "faults/crossings-as-turns.toml"
    )
    found = faults(text)
    assert len(found) == 1
    assert "crossings-as-turns.toml line" in found[0]
    assert "looks like a count of crossings" in found[0]


def test_every_fault_at_once_in_the_order_of_the_lines() -> None:
    text = (WIRE + END + PIECE + PIECE + STOCK + STOCK).replace("600 mm", "-600 mm").replace("25 m", "25 furlongs")
    found = faults(text)
    lines = [int(line.split(" line ")[1].split(":")[0]) for line in found]
    assert lines == sorted(lines)
    assert sum("[piece" in line for line in found) == 3  # two lengths, and one name twice
    assert sum("[stock" in line for line in found) == 3
    assert any('[piece 2] name: must differ from that of piece 1; got "stay"' in line for line in found)


@pytest.mark.parametrize("text", ["", "x", "title = 'a'", "[[piece]]\n", "piece = 1\n", "[wire]\n", "[end]\nx = 1\n"])
def test_what_is_no_plan(text: str) -> None:
    assert all(line.startswith("plan.toml") for line in faults(text))


def test_a_file_that_is_no_plan(tmp_path: Path) -> None:
    for path, said in ((tmp_path, "must be a plan; got a folder"), (tmp_path / "no.toml", "no such file")):
        with pytest.raises(ValidationError, match=said):
            read_plan(path)
    (tmp_path / "empty.toml").write_text("", encoding="utf-8")
    with pytest.raises(ValidationError, match="a plan needs at least one"):
        read_plan(tmp_path / "empty.toml")


def test_a_plan_compares_hashes_and_pickles():
    one, other = read_plan(DEMO), read_plan(DEMO)
    assert one == other and hash(one) == hash(other) and pickle.loads(pickle.dumps(one)) == one
