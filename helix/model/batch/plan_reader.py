"""Reads the tables of a plan: wires, ends, pieces, stock and how to cut, all faults at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, Literal, cast

from helix.errors import ValidationError, quoted
from helix.mechanics.wire_mass import wire_length
from helix.model.batch.plan_ends import Ends
from helix.model.batch.plan_parts import CutPiece, Cutting, End, Plan, Stock
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_file import Kind, key_lines, toml_values
from helix.model.recipe.recipe_table import Faults, Limits, Table, kind
from helix.model.recipe.recipe_wire import read_wire
from helix.units import UnitSystem

PLAN: Final = Kind(
    "plan",
    "a plan needs at least one [wire.NAME], one [[piece]] and one [[stock]]; docs/planning.md shows one",
    "docs/planning.md shows a plan to start from",
)
TOP_KEYS: Final = ("title", "units", "cutting", "wire", "end", "piece", "stock")
CUTTING_KEYS: Final = ("saw_loss", "least_tail", "spare", "handle_give", "minimise", "currency")
WIRE_KEYS: Final = ("size", "diameter", "material", "rated_load", "own")
PIECE_KEYS: Final = ("name", "count", "length", "at_load", "wire", "ends")
STOCK_KEYS: Final = ("name", "wire", "length", "mass", "count", "price")
MOST_PIECES: Final = 5000

_SAW: Final = Limits(0.0, 50.0, "mm", example="2 mm")
_TAIL: Final = Limits(0.0, 1e6, "mm", example="300 mm")
_SPARE: Final = Limits(0.0, 0.5)
_GIVE: Final = Limits(0.0, 1.0)
_COUNT: Final = Limits(0.0, MOST_PIECES, low_open=True)
_STOCK_COUNT: Final = Limits(0.0, 100_000.0)
_LENGTH: Final = Limits(0.0, 1e6, "mm", low_open=True, example="600 mm")
_STOCK_LENGTH: Final = Limits(1.0, 1e8, "mm", example="25 m")
_LOAD: Final = Limits(0.0, 1e7, "N", low_open=True, example="120 N")
_MASS: Final = Limits(0.0, 1e5, "kg", low_open=True, example="0.5 kg")
_PRICE: Final = Limits(0.0, 1e9)


def read_plan_tables(text: str, place: str, folder: Path | Mapping[str, Mapping[str, Any]]) -> Plan:
    """The plan in a TOML text; recipes are looked for in `folder`, or are its tables by their file's name.

    Raises ValidationError with every fault at once, each at its file, line and key.
    """
    values = toml_values(text, place, PLAN)
    faults = Faults(place, key_lines(text), kind="plan")
    notes: list[str] = []
    top = Table(faults, (), values, None)
    top.known_keys(TOP_KEYS, _elsewhere())
    title = top.text("title", '"Reef station"') or "Untitled plan"
    units = cast(UnitSystem, top.word("units", ("metric", "inch")) or "metric")
    cutting = _read_cutting(faults, values.get("cutting"))
    wires = _read_wires(faults, values.get("wire"), notes)
    ends = Ends(faults, values.get("end"), folder)
    pieces, stock = [], []
    for number, table in enumerate(_tables(faults, values, "piece"), 1):
        piece = _read_piece(_numbered(faults, "piece", number, table), number, wires, ends)
        pieces += [] if piece is None else [piece]
    for number, table in enumerate(_tables(faults, values, "stock"), 1):
        item = _read_stock(_numbered(faults, "stock", number, table), number, wires, notes)
        stock += [] if item is None else [item]
    ends.unused()
    _unlike_names(faults, "piece", values)
    _unlike_names(faults, "stock", values)
    if sum(piece.count for piece in pieces) > MOST_PIECES:
        faults.add(("piece",), f"must be at most {MOST_PIECES} pieces in all")
    if faults.found or ends.found:
        own = list(faults.error().faults) if faults.found else []
        raise ValidationError(own + list(dict.fromkeys(ends.found)))
    known = {name: wire for name, wire in wires.items() if isinstance(wire, Wire)}
    return Plan(title, units, known, tuple(pieces), tuple(stock), cutting, tuple(dict.fromkeys(notes + ends.notes)))


def _elsewhere() -> dict[str, str]:
    """Where a key belongs that stands at the top."""
    places = dict.fromkeys(CUTTING_KEYS, "under [cutting]")
    places |= dict.fromkeys(PIECE_KEYS, "under [[piece]]")
    return places | {"mass": "under [[stock]]", "price": "under [[stock]]"}


def _tables(faults: Faults, values: dict[str, Any], name: str) -> list[Any]:
    found = values.get(name)
    if found is None:
        faults.add((name,), f"is missing: give at least one [[{name}]] table")
        return []
    if not isinstance(found, list) or not found:
        faults.add((name,), f"must be tables, each under a line [[{name}]]; got {kind(found)}")
        return []
    return found


def _numbered(faults: Faults, name: str, number: int, table: Any) -> Table:
    return Table(faults, (f"{name} {number}",), table, None)


def _read_cutting(faults: Faults, values: object) -> Cutting:
    table = Table(faults, ("cutting",), values, None)
    table.known_keys(CUTTING_KEYS, {})
    saw_loss = table.diameter("saw_loss", _SAW)
    least_tail = table.diameter("least_tail", _TAIL)
    spare = table.number("spare", _SPARE)
    give = table.number("handle_give", _GIVE)
    minimise = cast(Literal["stock", "waste", "cost"], table.word("minimise", ("stock", "waste", "cost")) or "stock")
    return Cutting(
        saw_loss_mm=saw_loss or 0.0,
        least_tail_mm=least_tail,
        spare=spare or 0.0,
        handle_give=0.25 if give is None else give,
        minimise=minimise,
        currency=table.text("currency", '"EUR"', 12) or "",
    )


def _read_wires(faults: Faults, values: object, notes: list[str]) -> dict[str, Wire | None]:
    """Every wire by name; None where it has a fault."""
    if not isinstance(values, dict) or not values:
        what = "is missing" if values is None else f"must be tables, [wire.NAME] each; got {kind(values)}"
        faults.add(("wire",), f"{what}: give at least one wire under a name of your own, [wire.thin]")
        return {}
    if not any(isinstance(each, dict) for each in values.values()):
        faults.add(("wire",), 'must be named: write [wire.thin] for [wire], and wire = "thin" in the pieces')
        return {}
    found: dict[str, Wire | None] = {}
    for name, each in values.items():
        table = Table(faults, ("wire", name), each, None)
        table.known_keys(WIRE_KEYS, {})
        said: list[str] = []
        wire = read_wire(table, said)
        found[name] = wire if isinstance(wire, Wire) else None
        notes += [f"Wire {quoted(name)}: {each}" for each in said]
    return found


def _read_piece(table: Table, number: int, wires: dict[str, Wire | None], ends: Ends) -> CutPiece | None:
    table.known_keys(PIECE_KEYS, {"mass": "under [[stock]]", "price": "under [[stock]]"})
    if not table.usable:
        return None
    name = table.text("name", '"short tether"', 60)
    count = _whole(table, "count", _COUNT)
    length_mm = table.diameter("length", _LENGTH)
    at_load_n = table.quantity("at_load", "force", _LOAD)
    for key, example in (("count", "count = 12"), ("length", 'length = "600 mm"')):
        if key not in table:
            table.fault(key, f"is missing: give {example}")
    wire_name, wire = _named_wire(table, wires)
    pair = _read_ends(table, wire, ends)
    if count is None or length_mm is None or wire is None or pair is None or not table.good(*PIECE_KEYS):
        return None
    return CutPiece(name or f"piece {number}", count, length_mm, at_load_n, wire_name, pair)


def _read_ends(table: Table, wire: Wire | None, ends: Ends) -> tuple[End, End] | None:
    """Both ends of a piece on its wire, None where one has a fault."""
    value = table.values.get("ends")
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(each, str) for each in value):
        got = "" if value is None else f"; got {kind(value)}"
        if isinstance(value, list):
            got += f" of {len(value)}" if len(value) != 2 else " of other things"
        table.fault("ends", f'must be the names of two ends, such as ["logger", "plain"]{got}')
        return None
    first, second = (ends.on(table, name, wire) for name in value)
    return None if first is None or second is None else (first, second)


def _read_stock(table: Table, number: int, wires: dict[str, Wire | None], notes: list[str]) -> Stock | None:
    table.known_keys(STOCK_KEYS, {})
    if not table.usable:
        return None
    name = table.text("name", '"coil A"', 60) or f"stock {number}"
    length_mm = table.diameter("length", _STOCK_LENGTH)
    mass_kg = table.quantity("mass", "mass", _MASS)
    count = _whole(table, "count", _STOCK_COUNT) if "count" in table else 1
    price = table.number("price", _PRICE)
    wire_name, wire = _named_wire(table, wires)
    if "length" in table and "mass" in table:
        table.fault("mass", "must not stand beside length: give one of the two")
    elif "length" not in table and "mass" not in table:
        table.fault("length", 'is missing: give length = "25 m", or mass = "0.5 kg" of the wire alone')
    if mass_kg is not None and wire is not None:
        length_mm = wire_length(mass_kg, wire.diameter_mm, wire.density_kg_m3)
        notes.append(
            f"Stock {quoted(name)}: its length is found from its mass; a diameter off by 1 % takes that off by 2 %."
        )
        if not _STOCK_LENGTH.hold(length_mm):
            table.fault("mass", f"must give a length of {_STOCK_LENGTH}; it gives {length_mm:.3g} mm")
    if length_mm is None or count is None or wire is None or not table.good(*STOCK_KEYS):
        return None
    return Stock(name, wire_name, length_mm, mass_kg, count, price)


def _named_wire(table: Table, wires: dict[str, Wire | None]) -> tuple[str, Wire | None]:
    """The wire that a piece or stock names; the only one where it names none."""
    if "wire" not in table and len(wires) == 1:
        return next(iter(wires.items()))
    name = table.text("wire", '"thin"', 60)
    if name is None:
        if "wire" not in table:
            table.fault("wire", f"is missing: give one of {_listed(wires)}")
        return "", None
    if name not in wires:
        table.fault("wire", f"must be one of {_listed(wires)}; got {quoted(name)}")
        return name, None
    return name, wires[name]


def _listed(names: dict[str, Any]) -> str:
    return ", ".join(quoted(name, 30) for name in names) or "the [wire.NAME] tables"


def _whole(table: Table, key: str, limits: Limits) -> int | None:
    """A count."""
    value = table.number(key, limits)
    if value is not None and value != int(value):
        table.fault(key, f"must be a whole number; got {quoted(table.values[key])}")
        return None
    return None if value is None else int(value)


def _unlike_names(faults: Faults, name: str, values: dict[str, Any]) -> None:
    """Note where two tables bear one name."""
    seen: dict[str, int] = {}
    found = values.get(name)
    for number, each in enumerate(found if isinstance(found, list) else [], 1):
        own = each.get("name") if isinstance(each, dict) else None
        if not isinstance(own, str):
            continue
        if own in seen:
            faults.add((f"{name} {number}", "name"), f"must differ from that of {name} {seen[own]}; got {quoted(own)}")
        seen.setdefault(own, number)
