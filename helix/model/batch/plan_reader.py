"""Reads the tables of a plan: wires, ends, pieces, stock and how to cut, all faults at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from helix.errors import ValidationError, quoted
from helix.findings import Finding
from helix.mechanics.wire_mass import wire_length
from helix.model.batch.plan_ends import Ends
from helix.model.batch.plan_keys import AS_NEEDED, CUTTING, KEYS, MOST_PIECES, PIECE, STOCK, TITLE, TOP_KEYS, UNITS
from helix.model.batch.plan_parts import CutPiece, Cutting, End, Plan, Stock
from helix.model.files.file_kinds import PLAN
from helix.model.files.file_table import Faults, Table, kind
from helix.model.files.toml_file import key_lines, toml_values
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_wire import read_wire


def read_plan_tables(text: str, place: str, folder: Path | Mapping[str, Mapping[str, Any]]) -> Plan:
    """The plan in a TOML text; recipes are looked for in `folder`, or are its tables by their file's name.

    Raises ValidationError with every fault at once, each at its file, line and key.
    """
    values = toml_values(text, place, PLAN)
    faults = Faults(place, key_lines(text), kind="plan")
    notes: list[str] = []
    top = Table(faults, (), values, None)
    top.known_keys(TOP_KEYS, _elsewhere())
    head = top.read((TITLE, UNITS))
    cutting = Table(faults, ("cutting",), values.get("cutting"), None)
    cutting.known_keys(KEYS["cutting"], {})
    how = cutting.read(CUTTING)
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
        faults.add(("piece",), "too-many", most=MOST_PIECES)
    if faults.issues or ends.issues:
        own = list(faults.error().faults) if faults.issues else []
        raise ValidationError(own + list(dict.fromkeys(ends.issues)))
    notes += [f"{note['text']}" for note in faults.notes]
    known = {name: wire for name, wire in wires.items() if isinstance(wire, Wire)}
    return Plan(
        wires=known,
        pieces=tuple(pieces),
        stock=tuple(stock),
        cutting=Cutting(**how),
        notes=tuple(dict.fromkeys(notes + ends.notes)),
        **head,
    )


def _elsewhere() -> dict[str, str]:
    """Where a key belongs that stands at the top."""
    places = dict.fromkeys(KEYS["cutting"], "under [cutting]")
    places |= dict.fromkeys(KEYS["piece"], "under [[piece]]")
    return places | {"mass": "under [[stock]]", "price": "under [[stock]]"}


def _tables(faults: Faults, values: dict[str, Any], name: str) -> list[Any]:
    value = values.get(name)
    if value is None:
        faults.add((name,), "missing", give=f"at least one [[{name}]] table")
        return []
    if not isinstance(value, list) or not value:
        faults.add((name,), "wrong-type", wanted=f"tables, each under a line [[{name}]]", got=kind(value), hint="")
        return []
    return value


def _numbered(faults: Faults, name: str, number: int, table: Any) -> Table:
    return Table(faults, (f"{name} {number}",), table, None)


def _read_wires(faults: Faults, values: object, notes: list[str]) -> dict[str, Wire | None]:
    """Every wire by name; None where it has a fault."""
    if not isinstance(values, dict) or not values:
        give = "at least one wire under a name of your own, [wire.thin]"
        if values is None:
            faults.add(("wire",), "missing", give=give)
        else:
            faults.add(
                ("wire",), "wrong-type", wanted="tables, [wire.NAME] each", got=kind(values), hint=f": give {give}"
            )
        return {}
    if not any(isinstance(table, dict) for table in values.values()):
        faults.add(("wire",), "not-named")
        return {}
    wires: dict[str, Wire | None] = {}
    for name, own in values.items():
        table = Table(faults, ("wire", name), own, None)
        table.known_keys(KEYS["wire"], {})
        remarks: list[Finding] = []
        wire = read_wire(table, remarks)
        wires[name] = wire if isinstance(wire, Wire) else None
        notes += [f"Wire {quoted(name)}: {remark['text']}" for remark in remarks]
    return wires


def _read_piece(table: Table, number: int, wires: dict[str, Wire | None], ends: Ends) -> CutPiece | None:
    table.known_keys(KEYS["piece"], {"mass": "under [[stock]]", "price": "under [[stock]]"})
    if not table.usable:
        return None
    values = {key.name: table.value(key) for key in PIECE if key.name not in ("wire", "ends")}
    count = _whole(table, "count", values["count"])
    table.missing(PIECE)
    wire_name, wire = _named_wire(table, wires)
    pair = _read_ends(table, wire, ends)
    if count is None or wire is None or pair is None or not table.good(*KEYS["piece"]):
        return None
    name = values["name"] or f"piece {number}"
    return CutPiece(name, count, values["length"], values["at_load"], wire_name, pair)


def _read_ends(table: Table, wire: Wire | None, ends: Ends) -> tuple[End, End] | None:
    """Both ends of a piece on its wire, None where one has a fault."""
    value = table.values.get("ends")
    if not isinstance(value, list) or len(value) != 2 or not all(isinstance(name, str) for name in value):
        wanted = 'the names of two ends, such as ["logger", "plain"]'
        if value is None:
            table.fault("ends", "missing", give=wanted)
            return None
        of = "" if not isinstance(value, list) else f" of {len(value)}" if len(value) != 2 else " of other things"
        table.fault("ends", "wrong-type", wanted=wanted, got=f"{kind(value)}{of}", hint="")
        return None
    first, second = (ends.on(table, name, wire) for name in value)
    return None if first is None or second is None else (first, second)


def _read_stock(table: Table, number: int, wires: dict[str, Wire | None], notes: list[str]) -> Stock | None:
    table.known_keys(KEYS["stock"], {})
    if not table.usable:
        return None
    values = table.read(key for key in STOCK if key.name != "wire")
    name, length_mm, mass_kg = values["name"] or f"stock {number}", values["length_mm"], values["mass_kg"]
    unlimited = table.values.get("count") == AS_NEEDED
    count = None if unlimited else _whole(table, "count", values["count"])
    wire_name, wire = _named_wire(table, wires)
    if "length" in table and "mass" in table:
        table.fault("mass", "conflict", other="length", instead="give one of the two")
    elif "length" not in table and "mass" not in table:
        table.fault("length", "missing", give='length = "25 m", or mass = "0.5 kg" of the wire alone')
    if mass_kg is not None and wire is not None:
        length_mm = wire_length(mass_kg, wire.diameter_mm, wire.density_kg_m3)
        notes.append(
            f"Stock {quoted(name)}: its length is found from its mass; a diameter off by 1 % takes that off by 2 %."
        )
        limits = next(key.limits for key in STOCK if key.name == "length")
        if limits is not None and not limits.hold(length_mm):
            table.fault("mass", "mass-of-length", wanted=str(limits), length_mm=length_mm)
    if length_mm is None or wire is None or (count is None and not unlimited) or not table.good(*KEYS["stock"]):
        return None
    return Stock(name, wire_name, length_mm, mass_kg, count, values["price"])


def _named_wire(table: Table, wires: dict[str, Wire | None]) -> tuple[str, Wire | None]:
    """The wire that a piece or stock names; the only one where it names none."""
    if "wire" not in table and len(wires) == 1:
        return next(iter(wires.items()))
    name = table.value(next(key for key in PIECE if key.name == "wire"))
    if name is None:
        if "wire" not in table:
            table.fault("wire", "missing", give=f"one of {_listed(wires)}")
        return "", None
    if name not in wires:
        table.fault("wire", "not-a-choice", wanted=f"one of {_listed(wires)}", got=quoted(name), hint="")
        return name, None
    return name, wires[name]


def _listed(names: dict[str, Any]) -> str:
    return ", ".join(quoted(name, 30) for name in names) or "the [wire.NAME] tables"


def _whole(table: Table, key: str, value: float | None) -> int | None:
    """A count as a whole number; None where it has a fault."""
    if value is not None and value != int(value):
        table.fault(key, "out-of-range", wanted="a whole number", got=quoted(table.values[key]))
        return None
    return None if value is None else int(value)


def _unlike_names(faults: Faults, name: str, values: dict[str, Any]) -> None:
    """Note where two tables bear one name."""
    seen: dict[str, int] = {}
    value = values.get(name)
    for number, table in enumerate(value if isinstance(value, list) else [], 1):
        own = table.get("name") if isinstance(table, dict) else None
        if not isinstance(own, str):
            continue
        if own in seen:
            faults.add((f"{name} {number}", "name"), "same-name", other=f"{name} {seen[own]}", got=quoted(own))
        seen.setdefault(own, number)
