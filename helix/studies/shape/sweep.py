"""Many joints at once: wire to cut, sizes, strains and gaps of twist and barrel, as arrays.

Everything here is what `shape` gives, to rounding, for the parts that have a closed form: twist and barrel, the eye's
wire (:mod:`helix.geometry.joint.eye_lengths`), stub, standing leg and handle. An exit is found by search; it depends on
the lay, the evenness and the pitch only, so each different one is searched once, as `shape` does, and shared. Where
there are more than `MOST_EXITS` different lays, the exit's wire is interpolated between that many and the result says
so. docs/python.md shows how to use it.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from functools import partial
from typing import Any, Final

import numpy as np

from helix.errors import InputValueError, IssuePath, ValidationError, ValidationIssue
from helix.geometry.joint.exits import exit_curves
from helix.geometry.joint.eye_lengths import Throats, eye_lengths
from helix.geometry.maths.jets import Array
from helix.geometry.twist.helices import helix_curvature, helix_length
from helix.geometry.twist.strands import coil_gap, pair_gap
from helix.geometry.wire.curves import curve_length
from helix.model.joint.joint_curves import LEAST_STUB, Sizes, plan_of, sizes_of, twist_end
from helix.model.recipe.recipe_checks import check_one_wire, lay_error
from helix.model.recipe.recipe_keys import LONGEST_TWIST_D
from helix.model.recipe.recipe_parts import Recipe
from helix.model.recipe.recipe_values import key_meant
from helix.quantities import parse
from helix.values import Result, Scalar, result

MOST_EXITS: Final = 64  # different exits that are searched for; a search takes as long as half a `shape`
MOST_JOINTS: Final = 2_000_000
LEFT_OUT: Final = (
    "the cut's interval",
    "the eye's sizes and the finished length",
    "bends, and strains and gaps of the exit",
    "flags and the judgement",
    "the hold",
)
_FEWEST: Final = 9  # values that an interpolation starts from
_LENGTHS: Final = ("lay", "pin", "pitch")
_SHOWN: Final = ("turns", "lay_d", "lay_mm", "evenness", "pin_d", "pin_mm", "wraps", "pitch_d", "pitch_mm")
_TABLES: Final = {
    "turns": "twist",
    "lay": "twist",
    "evenness": "twist",
    "pin": "eye",
    "wraps": "barrel",
    "pitch": "barrel",
}


@result
class SweptTwist(Result):
    """The even twist of each joint; nan where there is none.

    length_mm: along the axis. diameter_mm: across both legs. standing_strain, tag_strain: outer fibre, d/(2 R).
    gap_d: between the legs, or of a leg and its own next turn where that is less [d]; below 0 they overlap.
    """

    length_mm: Array
    diameter_mm: Array
    standing_strain: Array
    tag_strain: Array
    gap_d: Array


@result
class SweptBarrel(Result):
    """The barrel of each joint; nan where there is none.

    length_mm: along the axis, wraps times pitch. diameter_mm: outside. strain: outer fibre, d/(2 R). gap_d: between
    neighbouring wraps of a barrel without end [d], inf where they stand too far apart to have a nearest place.
    """

    length_mm: Array
    diameter_mm: Array
    strain: Array
    gap_d: Array


@result
class SweepResult(Result):
    """Many joints as arrays of one shape: an axis a keyword (a grid), or one axis (`paired`).

    names: the keywords. inputs: their values, one array each. feasible: whether the joint can be made. cut_mm: wire to
    cut, handle included; nan where it cannot. cut_error_mm: 0 where the exit was searched for; where its wire is
    interpolated, how far that was off at the nearest lay that was looked at. left_out: what `shape` gives and this does not.
    """

    recipe: Recipe
    names: tuple[str, ...]
    inputs: tuple[Array, ...]
    feasible: np.ndarray
    cut_mm: Array
    cut_error_mm: Array
    twist: SweptTwist
    barrel: SweptBarrel
    left_out: tuple[str, ...] = LEFT_OUT

    rows_in = "cut_mm"

    def to_rows(self) -> list[dict[str, Scalar]]:
        """One dict a joint: its inputs, whether it can be made, and its numbers."""
        columns = dict(zip(self.names, self.inputs, strict=True))
        columns |= {"feasible": self.feasible, "cut_mm": self.cut_mm, "cut_error_mm": self.cut_error_mm}
        for name, part in (("twist", self.twist), ("barrel", self.barrel)):
            columns |= {f"{name}_{field.name}": getattr(part, field.name) for field in fields(part)}
        lists = [array.ravel().tolist() for array in columns.values()]
        return [dict(zip(columns, row, strict=True)) for row in zip(*lists, strict=True)]


def sweep(recipe: Recipe, *, paired: bool = False, **values: Sequence[float] | float | Array) -> SweepResult:
    """Compute many joints at once: wire to cut, and sizes, strains and gaps of twist and barrel.

    Parameters
    ----------
    recipe : Recipe
        What every joint has but for the values that are swept.
    paired : bool
        False: every combination of the values (a grid, one axis a keyword, in their order). True: the values stand side
        by side, arrays of equal length.
    **values : array-like
        turns, wraps, evenness, and lay, pin and pitch with their unit in the keyword: lay_d, lay_mm, pin_mm, pin_in ...
        Any number; ranges as in a recipe.

    Returns
    -------
    SweepResult
        Arrays of the grid's shape; nan where a joint cannot be made.

    Raises
    ------
    ValidationError
        With every keyword that is none, or whose values are out of range.

    Notes
    -----
    As exact as `shape`, to 1e-9 of it: twist, barrel, and the wire to cut while there are at most `MOST_EXITS` different
    exits. Above that the exit's wire is interpolated along the lay: `cut_error_mm` tells what that costs.

    Examples
    --------
    >>> from helix.model.recipe.recipe import recipe_from_values
    >>> recipe = recipe_from_values({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6})
    >>> swept = sweep(recipe, turns=[3, 4, 5], lay_d=[4.0, 5.0])
    >>> swept.cut_mm.shape, swept.cut_mm.round(1)[2].tolist()
    ((3, 2), [459.6, 465.6])
    """
    check_one_wire(recipe, "sweep-of-two")
    d = recipe.wire.diameter_mm
    keys, arrays = _checked(values, d, paired)
    arrays = arrays if paired else list(np.meshgrid(*arrays, indexing="ij"))
    shape = arrays[0].shape
    own = {
        "turns": recipe.twist.turns, "lay": recipe.twist.lay_mm, "evenness": recipe.twist.evenness,
        "pin": recipe.eye.pin_mm, "wraps": recipe.barrel.wraps, "pitch": recipe.barrel.pitch_mm or 0.0,
    }  # fmt: skip
    of_key = {name: (array * size).ravel() for (name, size), array in zip(keys, arrays, strict=True)}
    inputs = {name: of_key.get(name, np.full(arrays[0].size, value)) for name, value in own.items()}
    turns, wraps = inputs["turns"], inputs["wraps"]

    # every different pair of legs with its barrel, and what is made of it
    pairs, pair = _different(turns > 0.0, inputs["lay"], inputs["evenness"], inputs["pitch"])
    made = [_sizes(recipe, *row) for row in pairs.tolist()]
    known = np.array([sizes is not None for sizes in made])
    sizes = [one_size for one_size in made if one_size is not None]
    place = np.cumsum(known) - 1  # of a pair that exists, among `sizes`
    feasible = known[pair] & ((turns > 0.0) | (wraps > 0.0)) & (turns * inputs["lay"] / d <= LONGEST_TWIST_D)

    def of_pair(measure: Callable[[Sizes], float]) -> Array:
        every = np.full(len(made), np.nan)
        every[known] = [measure(one_size) for one_size in sizes]
        return np.asarray(every[pair])

    # the wire: eye, exit, twist, barrel and the standing leg under it; stub, standing leg, handle
    eye_d = np.full(turns.size, np.nan)
    eyes, eye = _different(place[pair[feasible]], inputs["pin"][feasible] / d)
    own_pair = eyes[:, 0].astype(int)
    throats = [
        Throats.of([getattr(one_size, name) for one_size in sizes]) for name in ("tag_throat", "standing_throat")
    ]
    tag, standing = (Throats(*(array[own_pair] for array in throat)) for throat in throats)
    eye_d[feasible] = eye_lengths(eyes[:, 1], tag, standing)[eye]
    feasible &= np.isfinite(eye_d)
    exit_d, rise_d, error_d = np.full((3, turns.size), np.nan)
    kinds, kind = _different(place[pair[feasible]], wraps[feasible] > 0.0)
    exits = _exits(recipe, sizes, kinds)
    exit_d[feasible], rise_d[feasible], error_d[feasible] = exits[:, kind]
    pitch = of_pair(lambda s: s.pitch)
    twist_d = turns * of_pair(lambda s: helix_length(s.standing_radius, s.lay) + helix_length(s.tag_radius, s.lay))
    barrel_d = wraps * of_pair(lambda s: helix_length(1.0, s.pitch)) + np.maximum(rise_d + wraps * pitch, 0.0)
    wire_d = eye_d + exit_d + np.where(turns > 0.0, twist_d, 0.0) + np.where(wraps > 0.0, barrel_d, 0.0)
    finish = recipe.finish
    stub_mm = finish.stub_mm if finish.stub_mm / d > LEAST_STUB else 0.0
    cut = np.where(feasible, wire_d * d + (stub_mm + finish.standing_mm + finish.handle_mm), np.nan)
    twisted, wrapped = (np.where(feasible & (count > 0.0), 1.0, np.nan) for count in (turns, wraps))

    def shaped(array: Array) -> Array:
        return np.asarray(array).reshape(shape)

    return SweepResult(
        recipe=recipe,
        names=tuple(values),
        inputs=tuple(arrays),
        feasible=shaped(feasible),
        cut_mm=shaped(cut),
        cut_error_mm=shaped(np.where(feasible, error_d * d, np.nan)),
        twist=SweptTwist(
            length_mm=shaped(turns * inputs["lay"] * twisted),
            diameter_mm=shaped((2.0 * of_pair(lambda s: max(s.standing_radius, s.tag_radius)) + 1.0) * d * twisted),
            standing_strain=shaped(of_pair(lambda s: _curvature(s.standing_radius, s.lay) / 2.0) * twisted),
            tag_strain=shaped(of_pair(lambda s: _curvature(s.tag_radius, s.lay) / 2.0) * twisted),
            gap_d=shaped(of_pair(_legs_gap) * twisted),
        ),
        barrel=SweptBarrel(
            length_mm=shaped(wraps * pitch * d * wrapped),
            diameter_mm=shaped(3.0 * d * wrapped),
            strain=shaped(of_pair(lambda s: helix_curvature(1.0, s.pitch) / 2.0) * wrapped),
            gap_d=shaped(of_pair(lambda s: _no_dust(coil_gap(1.0, s.pitch))) * wrapped),
        ),
    )


def _checked(values: Mapping[str, Any], d_mm: float, paired: bool) -> tuple[list[tuple[str, float]], list[Array]]:
    """Name and size of the unit (of mm) of each keyword, and its values; raises ValidationError with every fault."""
    keys: list[tuple[str, float]] = []
    arrays: list[Array] = []
    issues: list[ValidationIssue] = []
    called: dict[str, str] = {}
    for keyword, given in values.items():
        try:
            key, array = _values(keyword, given, d_mm)
            if key[0] in called:
                raise InputValueError("conflict", other=called[key[0]], instead="give one of the two")
            called[key[0]] = keyword
            keys.append(key)
            arrays.append(array)
        except InputValueError as error:
            issues.append(error.at(IssuePath(key=keyword)))
    lengths = {array.size for array in arrays}
    joints = max(lengths, default=0) if paired else int(np.prod([float(array.size) for array in arrays]))
    if not values:
        issues.append(InputValueError("missing", give="turns, lay_d, pin_mm or wraps").at("sweep"))
    elif paired and len(lengths) > 1:
        got = " and ".join(map(str, sorted(lengths)))
        issues.append(InputValueError("out-of-range", wanted="arrays of one length", got=got).at("sweep"))
    elif joints > MOST_JOINTS:
        wanted = f"at most {MOST_JOINTS:,} joints"
        issues.append(InputValueError("out-of-range", wanted=wanted, got=f"{joints:,}").at("sweep"))
    if issues:
        raise ValidationError(issues)
    return keys, arrays


def _values(keyword: str, given: Any, d_mm: float) -> tuple[tuple[str, float], Array]:
    """One keyword: its name without unit and the unit's size, and its values."""
    name = next((name for name in _TABLES if keyword == name or keyword.startswith(f"{name}_")), "")
    if keyword in _LENGTHS:
        raise InputValueError("no-unit", wanted=f"{name}_mm, {name}_d or {name}_in", got=keyword, offered="mm, d, in")
    meant = key_meant(_TABLES[name], keyword) if name else None
    if meant is None or (name in _LENGTHS) != bool(meant[1]):
        raise InputValueError("unknown-key", of="of a sweep", hint=f"; its keywords are {', '.join(_SHOWN)}")
    key, unit = meant
    size = parse(f"1 {unit}", key.dimension, d_mm) if key.dimension else 1.0
    try:
        array = np.atleast_1d(np.asarray(given, dtype=float))
    except (TypeError, ValueError):
        raise InputValueError("wrong-type", wanted="numbers", got=repr(given)[:60], hint="") from None
    if array.ndim != 1 or not array.size or not np.isfinite(array).all():
        raise InputValueError("wrong-type", wanted="finite numbers in one row", got=repr(given)[:60], hint="")
    for value in (float(array.min()) * size, float(array.max()) * size):
        if key.limits is not None and not key.limits.hold(value, key.size(d_mm)):
            raise key.limits.refuse(value, key.written(value))
    return (name, size), array


def _different(*columns: Array | np.ndarray) -> tuple[Array, np.ndarray]:
    """The different rows of columns (n,), and for each row which of them it is."""
    rows, index = np.unique(
        np.stack([np.asarray(c, dtype=float) for c in columns], axis=1), axis=0, return_inverse=True
    )
    return rows, index.reshape(-1)


def _sizes(recipe: Recipe, twisted: float, lay_mm: float, evenness: float, pitch_mm: float) -> Sizes | None:
    """The sizes of a twist of one turn (or none) and its barrel (pitch 0: the recipe's); None where they cannot exist."""
    barrel = recipe.barrel if pitch_mm == 0.0 else replace(recipe.barrel, pitch_mm=pitch_mm)
    twist = replace(recipe.twist, turns=twisted, lay_mm=lay_mm, evenness=evenness, length_mm=None)
    if lay_error(twisted, lay_mm, recipe.wire.diameter_mm) is not None:
        return None
    try:
        return sizes_of(recipe.variant(twist=twist, barrel=barrel))
    except ValueError:  # the legs overlap their own next turns
        return None


def _exits(recipe: Recipe, sizes: Sequence[Sizes], kinds: Array) -> Array:
    """Wire in both exits, rise from where the leg is straight to the first wrap, and error of the wire (3, kinds) [d].

    kinds: a place in `sizes`, and whether there are wraps.
    """

    def searched(row: int) -> tuple[float, float]:
        own = replace(sizes[int(kinds[row, 0])], wraps=float(kinds[row, 1]))
        end = exit_curves(twist_end(own), plan_of(recipe, own).plan)
        return sum(curve_length(curve) for curve in (*end.standing, *end.tag)), end.z_end - end.run_in_z

    exits = np.zeros((3, len(kinds)))
    if len(kinds) <= MOST_EXITS:
        exits[:2] = np.array([searched(row) for row in range(len(kinds))]).reshape(-1, 2).T
        return exits
    lays = np.array([sizes[int(row)].lay for row in kinds[:, 0]])
    others = [(s.turns, s.standing_radius / s.tag_radius, s.pitch) for s in (sizes[int(row)] for row in kinds[:, 0])]
    _, group = _different(*np.round(np.array(others).T, 12), kinds[:, 1])
    for own in range(group.max() + 1):
        rows = np.flatnonzero(group == own)
        rows = rows[np.argsort(lays[rows])]
        budget = MOST_EXITS // (int(group.max()) + 1)
        if budget < min(len(rows), _FEWEST):
            wanted = f"at most {MOST_EXITS // _FEWEST} different pairs of evenness and pitch beside so many lays"
            raise ValidationError(
                [InputValueError("out-of-range", wanted=wanted, got=f"{group.max() + 1}").at("sweep")]
            )
        exits[:, rows] = _interpolated(lays[rows], [partial(searched, int(row)) for row in rows], budget)
    return exits


def _interpolated(x: Array, of: Sequence[Callable[[], tuple[float, float]]], budget: int) -> Array:
    """Two functions of ascending x, and the error of the first, from so many calls (3, n).

    Straight between the known ones, which are put where the first function was farthest off.
    """
    known = {int(k): of[int(k)]() for k in np.unique(np.linspace(0, len(x) - 1, min(len(x), _FEWEST)).round())}
    off = dict.fromkeys(known, np.inf)  # by the interval's left end
    heap = [(-np.inf, a, b) for a, b in zip(sorted(known), sorted(known)[1:], strict=False)]
    while heap and len(known) < budget:
        _, a, b = heapq.heappop(heap)
        middle = (a + b) // 2
        if middle == a:
            off[a] = 0.0
            continue
        known[middle] = of[middle]()
        straight = np.interp(x[middle], [x[a], x[b]], [known[a][0], known[b][0]])
        off[a] = off[middle] = abs(known[middle][0] - float(straight))
        for low, high in ((a, middle), (middle, b)):
            heapq.heappush(heap, (-off[a] * float(x[high] - x[low]), low, high))
    nodes = sorted(known)
    first, second = (np.interp(x, x[nodes], [known[k][part] for k in nodes]) for part in (0, 1))
    interval = np.searchsorted(nodes, np.arange(len(x)), side="right") - 1
    error = np.array([off[k] for k in nodes])[interval]
    error[nodes] = 0.0
    return np.stack([first, second, error])


def _curvature(radius: float, lay: float) -> float:
    return helix_curvature(radius, lay) if radius else 0.0


def _legs_gap(sizes: Sizes) -> float:
    """The least gap of two legs and of each leg with its own next turn [d]."""
    radii = (sizes.standing_radius, sizes.tag_radius)
    return _no_dust(min(pair_gap(*radii, sizes.lay), *(coil_gap(radius, sizes.lay) for radius in radii)))


def _no_dust(gap: float) -> float:
    """A gap that is 0 but for rounding, as 0."""
    return 0.0 if abs(gap) < 1e-12 else gap
