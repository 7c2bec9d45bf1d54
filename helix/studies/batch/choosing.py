"""Choosing the wire: sizes and materials whose joint holds a load with a margin, the lightest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import ClassVar

import helix
from helix.data.materials import find_material, materials
from helix.data.wire_sizes import WireSize, wire_sizes
from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.findings import Finding, Judgement
from helix.geometry.joint.eye import EyeCannotClose, closed_eye
from helix.mechanics import limits
from helix.mechanics.wire_mass import wire_mass
from helix.model.joint.joint import Joint, build_joint
from helix.model.joint.joint_curves import sizes_of
from helix.model.joint.wire import Wire, wire_of
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.batch.choosing_pair import PairChoice, lightest_pair, piece_mm
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold
from helix.studies.judge import judge_held, pieces_unwound
from helix.studies.shape.joint_sizes import barrel_diameter_mm, finished_mm, twist_diameter_mm
from helix.units import format_force
from helix.values import Result, hidden, keyed, result

SCHEMA = 2
ROWS = 12
USUAL_PIN_D = 8.0
_USUAL = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "8 d"\n'
OF_ANY_WIRE = frozenset({"opposite-hand", "no-barrel", "wraps-only", "one-wrap", "uneven-twist"})
"""Codes of what is no model's in any wire, as it is the recipe's own."""
_MOST_TRIED = 60
_TOLD_EVERY = 20  # wires, so that a short search says nothing
_LEAST_PIN_D = 1.0  # round a pin of its own diameter the wire is bent as its wrapping test bends it


@result
class Requirements:
    """What is wanted. load_n: to be held; margin: times that, 1 or more; pin_mm: what sits in the eye, None: 8
    wire diameters; piece_mm: finished length of a piece with a joint at each end; family, material: only these;
    prices: per kg of wire by material, "" for all others; rows: how many to show."""

    load_n: float
    margin: float = limits.LOAD_MARGIN
    pin_mm: float | None = None
    piece_mm: float = 1000.0
    family: str | None = None
    material: str | None = None
    prices: Mapping[str, float] | None = None
    currency: str = ""
    rows: int = ROWS


@result
class Choice:
    """One wire that will do. holds_n: what 19 of 20 joints hold in the weakest wire of its table; margin: that
    over the load; joint: its shape; finished_mm: its length from eye to last wrap; least_pin_mm: the smallest pin that its eye closes round without overstraining the wire;
    piece_mm, piece_kg: wire to cut for a piece, handles included; cost: of that wire, None without a price."""

    also: ClassVar = (
        "size=wire.size",
        "diameter_mm=wire.diameter_mm",
        "material=wire.material",
        "breaking_load_low_n",
        "hold_n=hold.hold_n",
        "hold_verdict=hold.verdict",
        "judgement",
        "joint_width_mm",
        "twist_diameter_mm",
        "barrel_diameter_mm",
    )
    wire: Wire = hidden()
    recipe: Recipe = hidden()
    hold: HoldResult = hidden()
    joint: Joint = hidden()
    finished_mm: float = keyed("joint_length_mm")
    holds_n: float
    margin: float
    least_pin_mm: float
    kg_per_m: float
    piece_mm: float = keyed("piece_wire_mm")
    piece_kg: float = keyed("piece_wire_kg")
    cost: float | None = keyed("piece_cost")

    @property
    def judgement(self) -> Judgement:
        """The one verdict on the joint in this wire."""
        return judge_held(self.hold)

    @property
    def breaking_load_low_n(self) -> float:
        """Breaking load of the straight wire at the lowest strength of its table."""
        return self.wire.breaking_load_n[0]

    @property
    def joint_width_mm(self) -> float:
        """Width of the eye, outside."""
        return (self.joint.layout.eye.width + 1.0) * self.wire.diameter_mm

    @property
    def twist_diameter_mm(self) -> float | None:
        """Outside diameter of the twist, None where there is none."""
        return twist_diameter_mm(self.joint)

    @property
    def barrel_diameter_mm(self) -> float | None:
        """Outside diameter of the barrel, None where there is none."""
        return barrel_diameter_mm(self.joint)


@result
class OfPieces:
    """What own pieces say against a recipe's turns and wraps: in its wire, as in no other was any pulled."""

    recipe: Recipe
    findings: tuple[Finding, ...]


@result
class Choices(Result):
    """The wires that will do, lightest first. tried: how many were looked at closely; more: whether heavier ones
    will do too; left_out: why some were not looked at. nearest: where none will do, the one whose joint holds most; pair: the lightest two
    worked as one that would, of the first choice's material where there is one. of_pieces: what own pieces with the turns and wraps that were asked for
    say against these, and in which wire."""

    rows_in: ClassVar = "choices"
    also: ClassVar = (
        "load_n=requirements.load_n",
        "margin=requirements.margin",
        "pin_mm=requirements.pin_mm",
        "piece_length_mm=requirements.piece_mm",
        "currency",
    )
    requirements: Requirements = hidden()
    choices: tuple[Choice, ...]
    tried: int = hidden()
    more: bool
    left_out: tuple[str, ...]
    nearest: Choice | None
    pair: PairChoice | None
    of_pieces: OfPieces | None = hidden(default=None)
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def first_recipe(self) -> Recipe:
        """The joint in the first wire, one or two."""
        return self.choices[0].recipe if self.choices or self.pair is None else self.pair.one.recipe

    @property
    def currency(self) -> str | None:
        """Of the prices."""
        return self.requirements.currency or None


def usual_joint() -> Recipe:
    """The joint whose turns, lay and wraps are taken where no other is given: 5 turns, 4 d and 5 wraps."""
    return recipe_from_text(_USUAL)


def choose(
    requirements: Requirements,
    on_wire: Callable[[Wire, float], Recipe],
    on_output: Callable[[str], None] = lambda _: None,
    estimated: Callable[[Recipe], HoldResult] | None = None,
) -> Choices:
    """The wires of the tables whose joint holds the load with the margin, the lightest first.

    on_wire: the recipe in a wire round a pin [mm]; estimated: what such a joint holds, where not as `hold` says. Raises ValidationError where no wire of the tables will do, alone or as a
    pair, with the strongest that was found, and for a gauge family or material that is not known.
    """
    look = cache(
        lambda wire: _looked_at(requirements, wire, on_wire, estimated or hold)
    )  # a wire is looked at for one, and again for two
    wanted = requirements.load_n * requirements.margin
    candidates = sorted(_candidates(requirements), key=lambda wire: (_kg_per_m(wire), wire.material))
    strong = [wire for wire in candidates if wire.breaking_load_n[0] >= wanted]
    choices: list[Choice] = []
    left_out: list[str] = []
    tried = 0
    nearest: Choice | None = None
    more = on_any = False
    for wire in strong:
        if len(choices) == requirements.rows or tried == _MOST_TRIED:
            more = True
            break
        tried += 1
        if tried % _TOLD_EVERY == 0:
            on_output(f"{tried} wires tried ...")
        choice, why, on_any = look(wire)
        if why:
            left_out.append(why)
            if on_any:
                break
        elif choice is not None:
            if nearest is None or choice.holds_n > nearest.holds_n:
                nearest = choice
            if choice.holds_n >= wanted:
                choices.append(choice)
    if not choices and nearest is None and candidates and not on_any:
        nearest, _, _ = look(max(candidates, key=lambda wire: wire.breaking_load_n[0]))
    pair = None if on_any else _pair(requirements, candidates, choices, look)
    if not choices and pair is None:
        raise ValidationError(
            [argument_issue("load", _none_will_do(requirements, candidates, left_out, nearest if tried else None))]
        )
    return Choices(
        requirements=requirements,
        choices=tuple(choices),
        tried=tried,
        more=more,
        left_out=tuple(dict.fromkeys(left_out)),
        nearest=None if choices else nearest,
        pair=pair,
    )


def _pair(
    requirements: Requirements,
    candidates: list[Wire],
    choices: list[Choice],
    look: Callable[[Wire], tuple[Choice | None, str, bool]],
) -> PairChoice | None:
    """The lightest two wires that would do; of the first choice's material where there is one."""

    def held(wire: Wire) -> HoldResult | None:
        choice, _, _ = look(wire)
        return None if choice is None else choice.hold

    wires = [wire for wire in candidates if not choices or wire.material == choices[0].wire.material]
    return lightest_pair(wires, requirements.load_n, requirements.margin, requirements.piece_mm, held, _kg_per_m)


def _candidates(requirements: Requirements) -> Iterator[Wire]:
    """Every wire of the tables that is asked for; sizes that a material's table does not cover are left out."""
    faults: list[ValidationIssue] = []
    sizes: tuple[WireSize, ...] = ()
    try:
        sizes = wire_sizes(requirements.family)
    except ValueError as problem:
        faults.append(argument_issue("family", str(problem)))
    try:
        chosen = materials() if requirements.material is None else (find_material(requirements.material),)
    except ValueError as problem:
        faults.append(argument_issue("material", str(problem)))
    if faults:
        raise ValidationError(faults)
    for size in sizes:
        for candidate in chosen:
            try:
                yield wire_of(candidate.name, size.diameter_mm, size.name, f"diameter: {size.source}")
            except ValueError:
                continue


def _looked_at(
    requirements: Requirements,
    wire: Wire,
    on_wire: Callable[[Wire, float], Recipe],
    estimated: Callable[[Recipe], HoldResult],
) -> tuple[Choice | None, str, bool]:
    """One wire's joint with what it holds; or why it was left out, and whether any other wire would be for the same."""
    pin_mm = USUAL_PIN_D * wire.diameter_mm if requirements.pin_mm is None else requirements.pin_mm
    try:
        recipe = on_wire(wire, pin_mm)
        least = least_pin_d(recipe) * wire.diameter_mm
        if least > pin_mm * (1.0 + 1e-9):
            return (
                None,
                f"{wire.size}: the pin is smaller than {least:.3g} mm, the least that its eye closes round",
                False,
            )
        held = estimated(recipe)
        if pieces_unwound(held):
            return None, f"{wire.size} {wire.material}: own pieces of these turns and wraps unwound", False
        holds_n = held.plan_with_n
        if not holds_n >= 0.0:
            on_any = not OF_ANY_WIRE.isdisjoint((*held.not_estimated, *held.not_modelled))
            return None, f"{wire.size} {wire.material}: no model says what this joint holds", on_any
        joint = build_joint(recipe)
    except ValidationError as problem:
        return None, f"{wire.size} {wire.material}: {problem.faults[0].message}", False
    length = finished_mm(joint)
    piece = piece_mm(joint, requirements.piece_mm, length)
    mass = wire_mass(piece, wire.diameter_mm, wire.density_kg_m3)
    price = _price(requirements, wire.material)
    return (
        Choice(
            wire=wire,
            recipe=recipe,
            hold=held,
            joint=joint,
            finished_mm=length,
            holds_n=holds_n,
            margin=holds_n / requirements.load_n,
            least_pin_mm=least,
            kg_per_m=_kg_per_m(wire),
            piece_mm=piece,
            piece_kg=mass,
            cost=None if price is None else mass * price,
        ),
        "",
        False,
    )


def least_pin_d(recipe: Recipe) -> float:
    """Smallest pin, in wire diameters, that the recipe's eye closes round with the wire bent no sharper than on
    its own diameter.

    Raises ValidationError where its throat closes round no pin at all.
    """
    sizes = sizes_of(recipe)
    least: float | None = 0.0
    try:
        closed_eye(0.01, sizes.tag_throat, sizes.standing_throat)
    except EyeCannotClose as problem:
        least = problem.least_pin
    if least is None:
        raise ValidationError.at("recipe", "no pin works at this throat angle; make the throat narrower")
    return max(_LEAST_PIN_D, least)


def _kg_per_m(wire: Wire) -> float:
    return wire_mass(1000.0, wire.diameter_mm, wire.density_kg_m3)


def _price(requirements: Requirements, material: str) -> float | None:
    prices = requirements.prices or {}
    return prices.get(material, prices.get(""))


def _none_will_do(requirements: Requirements, candidates: list[Wire], left_out: list[str], best: Choice | None) -> str:
    """Why no wire will do, and what comes nearest."""
    load = f"{format_force(requirements.load_n)} times {requirements.margin:g}"
    if left_out and not best:
        return f"no wire of the tables will do for {load}: {left_out[0]}"
    strongest = max(candidates, key=lambda wire: wire.breaking_load_n[0], default=None)
    if strongest is None:
        return "no wire of the tables has this gauge family and material"
    words = f"no wire of the tables holds {load}"
    if best is not None:
        return f"{words}; the best joint found holds {format_force(best.holds_n)}"
    weakest = format_force(strongest.breaking_load_n[0])
    return f"{words}: the strongest, {strongest.size} {strongest.material}, breaks at {weakest} when straight"


def with_wire(recipe: Recipe, wire: Wire, pin_mm: float) -> Recipe:
    """A recipe in another wire round another pin, its sizes kept in wire diameters, the handle in mm."""
    k = wire.diameter_mm / recipe.wire.diameter_mm
    end, slack = recipe.exit, recipe.tolerance
    return recipe.variant(
        wire=wire,
        eye=replace(recipe.eye, pin_mm=pin_mm),
        twist=replace(recipe.twist, lay_mm=k * recipe.twist.lay_mm, length_mm=None),
        entry=replace(recipe.entry, radius_mm=_times(recipe.entry.radius_mm, k)),
        exit=replace(end, leg_mm=_times(end.leg_mm, k)),
        barrel=replace(recipe.barrel, pitch_mm=_times(recipe.barrel.pitch_mm, k)),
        finish=replace(recipe.finish, stub_mm=k * recipe.finish.stub_mm),
        tolerance=replace(slack, lay_mm=k * slack.lay_mm, wrap_gap_mm=k * slack.wrap_gap_mm, stub_mm=k * slack.stub_mm),
        notes=(),
    )


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else factor * value
