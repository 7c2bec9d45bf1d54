"""One joint with its sizes moved by small steps: exactly, one at a time, and by closed forms and a table, many at once."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from helix.geometry.joint.doubled_choice import turned_exit
from helix.geometry.joint.doubled_eye import Ring
from helix.geometry.joint.exit_choice import Planned
from helix.geometry.joint.exits import mean_sine, riding_lay
from helix.geometry.twist.helices import helix_length, lay_angle, lay_angles
from helix.geometry.twist.strands import uneven_radii
from helix.geometry.twist.worked_wires import strand_lay_angle, strand_radius
from helix.model.joint.joint import Joint, build_joint, checked_sizes, rebuilt, shortened
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.response import Axis, Floats, Response, tabulated_response
from helix.studies.shape.bends import BENDS, strains_of_bends, strains_of_wires
from helix.studies.shape.joint_sizes import finished_mm
from helix.values import result

REST = ("finished", "cut", *(f"strain {name}" for name in BENDS), *(f"peak {name}" for name in BENDS))
"""What has no closed form: lengths less twist, barrel, stub and handle [mm]; strain and sharpest curvature [1/d]."""
SHAPING = ("lay angle", "throat", "peak angle", "pin", "gap between wraps", "exit leg", "swing")
"""Inputs that move the rest; turns, wraps, stub and handle have closed forms."""
KINKED = ("exit leg", "swing")
"""Inputs whose strains have a kink: below a length the exit is sharper than the barrel, above it is not."""
_STANDING_D = 4.0
_LEAST_LAY_OF_TWO = 4.0  # no four strands are laid shorter [d]
_SMALL = 0.01  # of a step, for first derivatives
_SMOOTH = Axis((-1.0, -0.5, 0.0, 0.5, 1.0))
_SHARP = Axis((-1.0, -0.75, -0.5, -0.25, -0.1, 0.0, 0.1, 0.5, 1.0), smooth=False)
_UP = Axis((0.0, 0.5, 1.0))
_TOGETHER = (
    ("lay angle", "throat"),
    ("lay angle", "pin"),
    ("lay angle", "exit leg"),
    ("lay angle", "swing"),
    ("throat", "pin"),
    ("exit leg", "swing"),
    ("gap between wraps", "swing"),
    ("peak angle", "swing"),
    ("lay angle", "peak angle"),
)
"""Inputs that act on one another; others act on different parts."""


@result
class Input:
    """One size that is off: its step and unit (deg, mm, turns), and whether it can only grow."""

    name: str
    step: float
    unit: str
    upward: bool = False


@result
class Moved:
    """The joint's outputs at many points: cut and finished length [mm] (n,), strain and sharpest curvature of the
    four bends (n, 4), angle of the first bend and of the tag's exit [deg] (n,)."""

    cut_mm: Floats
    finished_mm: Floats
    strain: Floats
    peak: Floats
    first_deg: Floats
    exit_deg: Floats


class SpreadModel:
    """A recipe's joint and the inputs that are off, each in steps of its own."""

    def __init__(self, recipe: Recipe, inputs: tuple[Input, ...]) -> None:
        self.recipe, self.inputs = recipe, inputs
        self.joint = build_joint(recipe)
        sizes = self.joint.layout.sizes
        short = recipe.variant(
            twist=replace(recipe.twist, turns=_short(sizes.turns)),
            barrel=replace(recipe.barrel, wraps=_short(sizes.wraps), pitch_mm=sizes.pitch * self.joint.diameter_mm),
            finish=replace(recipe.finish, stub_mm=0.0, standing_mm=_STANDING_D * self.joint.diameter_mm),
        )
        self.short = rebuilt(self.joint, short)
        self.longest = max(range(sizes.count), key=lambda wire: self.joint.wires[wire].wire_mm)
        self.shaping = [k for k, quantity in enumerate(inputs) if quantity.name in SHAPING]
        self.response: Response | None = None
        self.builds = 0

    def exact(self, z: Floats) -> Moved:
        """Outputs at one point (k,), from an exact build of the whole joint."""
        moves = self._moves(z)
        joint = self._built(self.joint, moves, whole=True)
        rest = self._rest(joint)
        cut = joint.wires[self.longest].wire_mm + joint.recipe.finish.handle_mm + moves.get("handle", 0.0)
        return self._moved(z[None, :], rest[None, :], np.array([cut]), np.array([finished_mm(joint)]))

    def fit(self) -> None:
        """Tabulate the rest over the inputs that shape it, from exact builds."""
        inputs = [self.inputs[k] for k in self.shaping]
        axes = [_UP if quantity.upward else _SHARP if quantity.name in KINKED else _SMOOTH for quantity in inputs]
        names = [quantity.name for quantity in inputs]
        pairs = [(names.index(one), names.index(two)) for one, two in _TOGETHER if {one, two} <= set(names)]
        self.response = tabulated_response(lambda z: self._rest_at(self._full(z)), axes, pairs)

    def slopes(self) -> Floats:
        """First derivatives of the rest by each shaping input (k, m); by small exact steps where there is a kink."""
        if self.response is None:
            raise ValueError("fit must be called before slopes")
        gradients = self.response.slopes()
        for k, place in enumerate(self.shaping):
            if self.inputs[place].name in KINKED:
                z = np.zeros(len(self.shaping))
                z[k] = _SMALL
                gradients[k] = (self._rest_at(self._full(z)) - self._rest_at(self._full(-z))) / (2.0 * _SMALL)
        return gradients

    def _full(self, z: Floats) -> Floats:
        full = np.zeros(len(self.inputs))
        full[self.shaping] = z
        return full

    def _rest_at(self, z: Floats) -> Floats:
        joint = self._built(self.short, self._moves(z), whole=False)
        rest = self._rest(joint)
        rest[0] = finished_mm(joint) - self._finished_known(joint)
        wire = joint.wires[self.longest]
        rest[1] = wire.wire_mm - wire.section_mm("standing") - self._cut_known(joint)
        return rest

    def many(self, z: Floats) -> Moved:
        """Outputs at many points (n, k): closed forms for twist, barrel, stub and handle, the table for the rest."""
        if self.response is None:
            raise ValueError("fit must be called before many")
        return self._joined(z, self.response.at(z[:, self.shaping]))

    def near(self, z: Floats, slopes: Floats) -> Moved:
        """The same with the rest by its first derivatives alone."""
        if self.response is None:
            raise ValueError("fit must be called before near")
        return self._joined(z, self.response.base + z[:, self.shaping] @ slopes)

    def _joined(self, z: Floats, rest: Floats) -> Moved:
        finish, d, sizes = self.recipe.finish, self.joint.diameter_mm, self.joint.layout.sizes
        at = {quantity.name: z[:, k] * quantity.step for k, quantity in enumerate(self.inputs)}
        none = np.zeros(len(z))
        turns = np.maximum(sizes.turns + at.get("turns", none), 0.0) if sizes.turns else none
        wraps = np.maximum(sizes.wraps + at.get("wraps", none), 0.0) if sizes.wraps else none
        lay = self._lays(at.get("lay angle", none)) if sizes.turns else np.full(len(z), sizes.lay)
        pitch = sizes.pitch + sizes.count * at.get("gap between wraps", none) / d
        twist = turns * self._per_turn(lay) if sizes.turns else none
        coil = np.hypot(sizes.round_core, pitch)
        stub = np.maximum(finish.stub_mm + at.get("stub", none), 0.0)
        handle = finish.handle_mm + at.get("handle", none)
        cut = (twist + wraps * (coil + pitch)) * d + rest[:, 1] + finish.standing_mm + stub + handle
        finished = (turns * lay + wraps * pitch) * d + rest[:, 0]
        return self._moved(z, rest, cut, finished)

    def _moved(self, z: Floats, rest: Floats, cut: Floats, finished: Floats) -> Moved:
        at = {quantity.name: z[:, k] * quantity.step for k, quantity in enumerate(self.inputs)}
        none = np.zeros(len(z))
        sizes, swings = self.joint.layout.sizes, self.joint.layout.planned.plan.swings
        throat = np.degrees(sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle)
        first = np.full(len(z), throat) + at.get("throat", none)
        if self.recipe.eye.throat_rad is None and sizes.turns:  # a tangent throat follows the lay
            legs = self._leg_angles(self._lays(at.get("lay angle", none)))
            first = first + np.degrees(legs) - throat
        largest = max((abs(swing.lay_to) for swing in swings), default=sizes.tag_throat.lay)
        out = np.degrees(largest) + (at.get("peak angle", none) if len(swings) > 1 else none)
        if len(swings) <= 1 and sizes.wraps:
            pitch = sizes.pitch + sizes.count * at.get("gap between wraps", none) / self.joint.diameter_mm
            out = np.degrees(np.arctan2(sizes.round_core, pitch))
        return Moved(
            cut_mm=cut, finished_mm=finished, strain=rest[:, 2:6], peak=rest[:, 6:10], first_deg=first, exit_deg=out
        )

    def _moves(self, z: Floats) -> dict[str, float]:
        return {quantity.name: float(move) * quantity.step for quantity, move in zip(self.inputs, z, strict=True)}

    def _built(self, joint: Joint, moves: dict[str, float], *, whole: bool) -> Joint:
        """The joint with every move made in it, the exit's choices kept but for those that are moved."""
        self.builds += 1
        recipe, d, sizes = joint.recipe, joint.diameter_mm, self.joint.layout.sizes
        lay = float(self._lays(np.array([moves.get("lay angle", 0.0)]))[0]) if sizes.turns else sizes.lay
        throat = recipe.eye.throat_rad
        if moves.get("throat", 0.0):
            natural = float(self._leg_angles(np.array([lay]))[0])
            throat = (natural if throat is None else throat) + math.radians(moves["throat"])
        finish, twist, barrel = recipe.finish, recipe.twist, recipe.barrel
        if whole:
            finish = replace(finish, stub_mm=max(finish.stub_mm + moves.get("stub", 0.0), 0.0))
            twist = replace(twist, turns=max(twist.turns + moves.get("turns", 0.0), 0.0))
            barrel = replace(barrel, wraps=max(barrel.wraps + moves.get("wraps", 0.0), 0.0))
        recipe = recipe.variant(
            eye=replace(recipe.eye, pin_mm=recipe.eye.pin_mm + moves.get("pin", 0.0), throat_rad=throat),
            twist=replace(twist, lay_mm=lay * d if sizes.turns else twist.lay_mm),
            barrel=replace(barrel, pitch_mm=sizes.pitch * d + sizes.count * moves.get("gap between wraps", 0.0)),
            finish=finish,
        )
        return rebuilt(self.joint, recipe, self._planned(recipe, moves))

    def _planned(self, recipe: Recipe, moves: dict[str, float]) -> Planned:
        """The exit's choices with its leg and swing moved, joined to the twist and barrel as they now are."""
        planned = self.joint.layout.planned
        plan, d = planned.plan, self.joint.diameter_mm
        sizes = checked_sizes(recipe)
        leg = plan.leg + moves.get("exit leg", 0.0) / d
        swings = list(plan.swings)
        if swings and sizes.turns:
            lay = plan.open_lay if plan.open_length else sizes.lay
            radius = plan.open_radii[0] if plan.open_length else sizes.standing_radius
            swings[0] = replace(swings[0], lay_from=riding_lay(radius, lay))
        if swings:
            end = sizes.barrel_sign * sizes.barrel_lay
            swings[-1] = replace(swings[-1], lay_to=end)
            if len(swings) > 1:
                peak = swings[0].lay_to + math.copysign(math.radians(moves.get("peak angle", 0.0)), swings[0].lay_to)
                swings[0], swings[1] = replace(swings[0], lay_to=peak), replace(swings[1], lay_from=peak)
            around = sizes.round_core
            turns = [swing.length * mean_sine(swing.lay_from, swing.lay_to) / around for swing in plan.swings]
            turns[0] = max(turns[0] + moves.get("swing", 0.0), 0.02)
            swings = [
                replace(swing, length=around * turn / mean_sine(swing.lay_from, swing.lay_to))
                for swing, turn in zip(swings, turns, strict=True)
            ]
        leg, doubled = max(leg, 0.02) if plan.leg else leg, planned.doubled
        if doubled is not None:
            doubled = turned_exit(sizes.ring, leg, swings[0].length if swings else 0.0)
        return replace(planned, plan=replace(plan, leg=leg, swings=tuple(swings)), doubled=doubled)

    def _rest(self, joint: Joint) -> Floats:
        """Strain and sharpest curvature of the four bends, of the wires that are bent hardest, behind two places for the lengths."""
        of_wires = strains_of_wires(joint, shortened(joint))
        bends = np.max([strains_of_bends(wire, own) for wire, own in zip(joint.wires, of_wires, strict=True)], axis=0)
        return np.array([0.0, 0.0, *bends[:, 0], *(2.0 * bends[:, 1])])

    def _cut_known(self, joint: Joint) -> float:
        sizes, d = joint.layout.sizes, joint.diameter_mm
        twist = sum(helix_length(r, sizes.lay, sizes.turns) for r in (sizes.standing_radius, sizes.tag_radius))
        barrel = sizes.wraps * (sizes.wrap_length(sizes.pitch) + sizes.pitch)
        return (twist * (sizes.turns > 0.0) + barrel) * d

    def _finished_known(self, joint: Joint) -> float:
        sizes, d = joint.layout.sizes, joint.diameter_mm
        return (sizes.turns * sizes.lay + sizes.wraps * sizes.pitch) * d

    def _lays(self, off_deg: Floats) -> Floats:
        """Lay lengths [d] for changes of the lay angle of an even leg, of its centre line's mean radius."""
        sizes = self.joint.layout.sizes
        if sizes.count > 1:
            return self._lays_of_two(np.radians(off_deg))
        mean = 0.5 * (sizes.standing_radius + sizes.tag_radius)
        angle = lay_angle(mean, sizes.lay) + np.radians(off_deg)
        return 2.0 * np.pi * mean / np.tan(np.clip(angle, 0.02, 1.4))

    def _lays_of_two(self, off: Floats) -> Floats:
        """The same of two wires, whose ring is the wider the shorter its lay is; on a fine grid, straight lines between."""
        lay = self.joint.layout.sizes.lay
        low, high = (max(lay + span, 1.001 * _LEAST_LAY_OF_TWO) for span in (-2.0, 40.0))
        grid = np.concatenate(
            (np.linspace(low, lay, 257), np.linspace(lay, lay + 4.0, 513)[1:], np.linspace(lay + 4.0, high, 128)[1:])
        )
        angles = np.array([strand_lay_angle(float(each), 2) for each in grid])
        found: Floats = np.interp(-(strand_lay_angle(lay, 2) + off), -angles, grid)
        return found

    def _per_turn(self, lay: Floats) -> Floats:
        """Wire of both legs in one turn [d]."""
        standing, tag = self._radii(lay)
        return np.hypot(2.0 * np.pi * standing, lay) + np.hypot(2.0 * np.pi * tag, lay)

    def _leg_angles(self, lay: Floats) -> Floats:
        """Angle between the legs of a tangent throat [rad]."""
        if self.joint.layout.sizes.count > 1:
            low, high = float(lay.min()), float(lay.max())
            grid = np.linspace(low, high, 33) if high > low else np.array([low])
            return np.interp(lay, grid, [2.0 * Ring(float(each)).throat.lay for each in grid])
        standing, tag = self._radii(lay)
        return lay_angles(standing, lay) + lay_angles(tag, lay)

    def _radii(self, lay: Floats) -> tuple[Floats, Floats]:
        """Radii of both legs, exact on a fine grid of lays and straight lines between."""
        evenness, wires = self.recipe.twist.evenness, self.recipe.wire.count
        low, high = float(lay.min()), float(lay.max())
        grid = np.linspace(low, high, 129) if high > low else np.array([low])
        exact = np.array([_radii_or_nearest(float(lay), evenness, wires) for lay in grid])
        return np.interp(lay, grid, exact[:, 0]), np.interp(lay, grid, exact[:, 1])


def _radii_or_nearest(lay: float, evenness: float, wires: int) -> tuple[float, float]:
    """Radii of a twist; those of the shortest lay that exists where this one does not."""
    if wires > 1:
        return (strand_radius(max(lay, 1.001 * _LEAST_LAY_OF_TWO), wires),) * 2
    for factor in (1.0, 1.05, 1.1, 1.2, 1.4, 2.0):
        try:
            return uneven_radii(max(lay, 2.02) * factor, evenness)
        except ValueError:
            continue
    return 0.5 * evenness, 1.0 - 0.5 * evenness


def _short(count: float) -> float:
    """One whole turn or wrap and the part of one beyond (screw symmetry covers the rest)."""
    return count if count <= 1.0 else 1.0 + count % 1.0
