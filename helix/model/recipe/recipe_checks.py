"""Checks of a recipe's values, whether they come from a file or were built in Python: ranges, and keys beside each other.

Values stand in dicts by attribute, in mm, rad and N, one dict for each table of the file.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from numbers import Real
from typing import Any, Final, NamedTuple

from helix.errors import InfeasibleJointError, InputValueError, IssuePath, ValidationError
from helix.geometry.twist.worked_wires import barrel_touching_pitch
from helix.model.files.file_keys import Key, above
from helix.model.recipe.recipe_keys import (
    DOUBLED_LAY_D,
    LONGEST_LAY_D,
    LONGEST_TWIST_D,
    MOST_WRAPS_OF_TWO,
    OWN,
    TABLES,
    TOP,
    key_of,
)
from helix.units import UnitSystem, format_force, format_length, in_wire_diameters
from helix.values import Values

Parts = Mapping[str, Mapping[str, Any]]

# Angle between tag and standing leg in a touching barrel: 90 deg less its lead of 9.158098 deg
# (docs/theory); an exit whose largest angle is below it cannot end in one.
TOUCHING_BARREL_DEG: Final = 80.841901658
OFF_TABLE: Final = (0.4, 1.6)  # straight wire outside these times its table is another wire or another unit (assumed)
_TWISTED: Final = {1: ("an even twist", "legs", 4.0), 2: ("a twist of two wires", "four strands", DOUBLED_LAY_D)}
_ROUNDING: Final = 1e-6  # relative: a default that was written out and read back is still the default


class Inconsistency(NamedTuple):
    """What is wrong at a table and key; `shape`: a shape that cannot exist."""

    table: str
    key: str
    error: InputValueError
    shape: bool = False


def value_error(key: Key, value: object, d_mm: float | None = None) -> InputValueError | None:
    """What is wrong with one value in helix's own unit; None where nothing is.

    While the wire's diameter is not known, ranges in d are checked for their sign only.
    """
    if value is None:
        return InputValueError("missing", give=f"{key.attribute}") if _has_default(key) or key.needed else None
    if key.kind in ("choice", "text"):
        return _word_error(key, value)
    if isinstance(value, bool) or not isinstance(value, Real):
        return InputValueError("wrong-type", wanted=f"a number, {key.limits}", got=repr(value)[:60], hint="")
    limits, number = key.limits, float(value)
    if limits is None:
        return None
    if limits.unit == "d" and d_mm is None:
        holds = math.isfinite(number) and (number > 0.0 if limits.low_open or limits.low > 0.0 else number >= 0.0)
    else:
        holds = limits.hold(number, key.size(d_mm or 1.0))
    return None if holds else limits.refuse(number, key.written(number))


def _has_default(key: Key) -> bool:
    return key.default is not None and key.default != key.word


def _word_error(key: Key, value: object) -> InputValueError | None:
    if not isinstance(value, str):
        return InputValueError("wrong-type", wanted="text", got=repr(value)[:60], hint="")
    if key.kind == "choice" and value not in (*key.choices, "given" if key.name == "style" else ""):
        listed = " or ".join(f'"{choice}"' for choice in key.choices)
        return InputValueError("not-a-choice", wanted=listed, got=repr(value)[:60], hint="")
    return None


def check_one_wire(recipe: Any, code: str) -> None:
    """Raise ValidationError for a recipe of two wires worked as one; code: why a study knows one only, and what does instead."""
    if recipe.wire.count > 1:
        place = IssuePath(file=recipe.place, table=("wire",), key="count")
        raise ValidationError.at(place, code=code, values=Values(got=recipe.wire.count))


def check_part(table: str, values: Mapping[str, Any]) -> None:
    """Raise ValidationError with every value of a part that is out of its range, the wire not known."""
    raise_found(_value_errors(table, values, None))


def check_exit(values: Mapping[str, Any]) -> None:
    """Raise ValidationError for an exit as `check_part` does, and where style, leg and swing do not go together."""
    problems = list(_value_errors("exit", values, None))
    given = [name for name in ("leg_mm", "swing_turns") if values[name] is not None]
    if given and values["style"] in ("gradual", "bench"):
        instead = 'style="given" goes with leg and swing'
        problems.append(
            Inconsistency("exit", "style", InputValueError("conflict", other=" and ".join(given), instead=instead))
        )
    elif not given and values["style"] == "given":
        problems.append(
            Inconsistency("exit", "style", InputValueError("missing", give='leg_mm or swing_turns, or style="gradual"'))
        )
    raise_found(problems)


def _value_errors(table: str, values: Mapping[str, Any], d_mm: float | None) -> Iterator[Inconsistency]:
    for key in {"wire.own": OWN, "": TOP}.get(table) or TABLES[table]:
        if key.attribute in values:
            error = value_error(key, values[key.attribute], d_mm)
            if error is not None:
                yield Inconsistency(table, key.name, error)


def check_recipe(values: Mapping[str, Any]) -> None:
    """Raise ValidationError with everything that is wrong with a whole recipe, its parts by their tables' names."""
    d_mm, parts = values["wire"].diameter_mm, {name: vars(values[name]) for name in TABLES if name != "wire"}
    problems = list(_value_errors("", values, None))
    problems += [error for table, values in parts.items() for error in _value_errors(table, values, d_mm)]
    if not problems:
        wires = values["wire"].count
        error = lay_error(parts["twist"]["turns"], parts["twist"]["lay_mm"], d_mm, wires)
        if error is not None:
            problems.append(Inconsistency("twist", "lay_length", error, error.code == "lay-too-short"))
        problems += inconsistencies(d_mm, parts, values["units"], wires=wires)
    raise_found(problems)


def check_wire(values: Mapping[str, Any]) -> None:
    """Raise ValidationError with everything that is wrong with a wire."""
    low, nominal, high = strength = values["strength_mpa"]
    own = {**values, "strength_low_mpa": low, "strength_mpa": nominal, "strength_high_mpa": high}
    problems = [
        *_value_errors("wire", {**values, "size": values["size"] or ""}, None),
        *_value_errors("wire.own", own, None),
    ]
    if not problems and not low <= nominal <= high:
        error = InputValueError("out-of-range", wanted="low, nominal and high in this order", got=repr(strength))
        problems.append(Inconsistency("wire.own", "strength", error))
    if not problems and values["measured_load_n"] is not None:
        off = measured_error(values["measured_load_n"], nominal * math.pi * values["diameter_mm"] ** 2 / 4.0)
        problems += [Inconsistency("wire", "measured_load", off)] if off else []
    raise_found(problems)


def measured_error(load_n: float, usual_n: float) -> InputValueError | None:
    """What is wrong with a coil that is said to break at a load, beside what its table gives; None where nothing is."""
    low, high = OFF_TABLE
    if low <= load_n / usual_n <= high:
        return None
    return InputValueError(
        "off-table", low=low, high=high, table=format_force(usual_n), got=format_force(load_n), times=load_n / usual_n
    )


def raise_found(problems: Iterable[Inconsistency]) -> None:
    """Raise all of them at once, if there are any: InfeasibleJointError where each is a shape that cannot exist."""
    problems = list(problems)
    if problems:
        kind = InfeasibleJointError if all(problem.shape for problem in problems) else ValidationError
        raise kind(
            problem.error.at(IssuePath(table=tuple(problem.table.split(".")) if problem.table else (), key=problem.key))
            for problem in problems
        )


def lay_error(turns: float, lay_mm: float, d_mm: float, wires: int = 1) -> InputValueError | None:
    """What is wrong with a lay: it cannot exist, or the twist is too long to compute."""
    lay_d, strands = lay_mm / d_mm, 2 * wires
    if lay_d <= strands * (1 + 1e-12):
        lay = both_lengths(lay_mm, d_mm)
        of, parts, usual = _TWISTED[wires]
        return InputValueError("lay-too-short", lay=lay, lay_d=lay_d, least=strands, of=of, parts=parts, usual=usual)
    if turns * lay_d > LONGEST_TWIST_D:
        return InputValueError(
            "too-long", wanted=f"a twist of at most {LONGEST_TWIST_D:g} d", got=f"{turns * lay_d:.6g} d"
        )
    return None


def inconsistencies(
    d_mm: float | None, parts: Parts, units: UnitSystem, unusable: Collection[str] = (), wires: int = 1
) -> Iterator[Inconsistency]:
    """What does not go together of values that are right each for itself.

    unusable: the tables that have an issue of their own, whose tolerances are not looked at.
    """
    barrel = parts["barrel"]
    own_deg = TOUCHING_BARREL_DEG
    if barrel["pitch_mm"] is not None and d_mm is not None:
        own_deg = math.degrees(math.atan2(2.0 * math.pi * d_mm, barrel["pitch_mm"]))
    peak_rad = parts["exit"]["peak_angle_rad"]
    if peak_rad is not None and math.degrees(peak_rad) < own_deg * (1 - 1e-9):
        angle_deg = math.degrees(peak_rad)
        yield Inconsistency("exit", "peak_angle", InputValueError("too-sharp", least_deg=own_deg, angle_deg=angle_deg))
    if parts["twist"]["turns"] == 0.0 and barrel["wraps"] == 0.0:
        yield Inconsistency("twist", "turns", InputValueError("no-joint"), shape=True)
    elif wires > 1:
        yield from _not_for_two(parts)
    if d_mm is not None:
        yield from _swamping(d_mm, parts, units, unusable, wires)


def _not_for_two(parts: Parts) -> Iterator[Inconsistency]:
    """What is not modelled where two wires are worked as one."""
    stated = (
        ("twist", "turns", parts["twist"]["turns"] == 0.0, "more than 0"),
        ("twist", "evenness", parts["twist"]["evenness"] != 1.0, "1"),
        ("entry", "radius", parts["entry"]["radius_mm"] is not None, '"tangent"'),
        ("exit", "peak_angle", parts["exit"]["peak_angle_rad"] is not None, "left out"),
        ("barrel", "hand", parts["barrel"]["hand"] != "same", '"same"'),
        ("barrel", "wraps", parts["barrel"]["wraps"] > MOST_WRAPS_OF_TWO, f"at most {MOST_WRAPS_OF_TWO:g}"),
    )
    for table, key, is_stated, wanted in stated:
        if is_stated:
            yield Inconsistency(table, key, InputValueError("not-for-two", wanted=wanted))


def _swamping(
    d_mm: float, parts: Parts, units: UnitSystem, unusable: Collection[str], wires: int
) -> Iterator[Inconsistency]:
    """Tolerances that swamp what they are tolerances of; one no larger than the default is none, as it is not."""
    eye, twist, end, barrel, finish = (parts[name] for name in ("eye", "twist", "exit", "barrel", "finish"))
    pitch_mm = barrel_touching_pitch(wires) * d_mm if barrel["pitch_mm"] is None else barrel["pitch_mm"]
    measures = (  # the tolerance, where its measure stands, its name, its size, the largest share of it that is allowed
        ("lay", "twist", "lay", twist["lay_mm"], 0.5),
        ("pin", "eye", "pin", eye["pin_mm"], 0.5),
        ("wrap_gap", "barrel", "pitch", pitch_mm, 0.5),
        ("swing", "exit", "swing", end["swing_turns"], 1.0),
        ("turns", "twist", "turns", twist["turns"], 0.5),
        ("wraps", "barrel", "wraps", barrel["wraps"], 0.5),
        ("stub", "finish", "stub", finish["stub_mm"], 1.0),
        ("handle", "finish", "handle", finish["handle_mm"], 1.0),
    )
    for name, table, measure, size, share in measures:
        key = key_of("tolerance", name)
        value, usual = parts["tolerance"][key.attribute], key.usual(d_mm)
        if table in unusable or not size or not isinstance(usual, float) or value <= usual * (1 + _ROUNDING):
            continue
        most = share * size
        if value > most * (1 + 1e-9):
            is_length = key.kind == "length"
            shown = f"{in_wire_diameters(most, d_mm)} ({format_length(most, units)})" if is_length else f"{most:.3g}"
            part = "half the" if share == 0.5 else "the"
            values = {"part": part, "measure": measure, "most": shown, "got": key.written(value)}
            yield Inconsistency("tolerance", name, InputValueError("swamps", **values))


def lay_of_angle(angle_rad: float, d_mm: float) -> float:
    """Lay in mm of an even twist from its lay angle: tan(angle) = pi d / lay, the leg at radius d/2.

    Raises InputValueError above 45 deg, and for a lay longer than a recipe may state.
    """
    if angle_rad > math.pi / 4.0 * (1 + 1e-12):
        raise InputValueError("too-steep", angle_deg=math.degrees(angle_rad))
    lay_mm = math.pi * d_mm / math.tan(angle_rad)
    if not above(0.0, LONGEST_LAY_D, "d").hold(lay_mm, d_mm):
        got = f'"{math.degrees(angle_rad):.3g} deg"'
        raise InputValueError(
            "out-of-range", wanted=f"an angle that gives a lay of at most {LONGEST_LAY_D:g} d", got=got
        )
    return lay_mm


def both_lengths(lay_mm: float, d_mm: float) -> str:
    """A length in wire diameters and mm, for messages."""
    return f"{lay_mm / d_mm:.4g} d ({format_length(lay_mm)})"
