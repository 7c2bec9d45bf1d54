"""From a recipe to curves: the whole wire, in wire diameters, right-handed, in the wire's order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from helix.geometry.joint.doubled_choice import plan_two, straight_wire
from helix.geometry.joint.doubled_exit import doubled_exit, laid_on_pair
from helix.geometry.joint.doubled_eye import OVER, Ring, doubled_eye
from helix.geometry.joint.exit_choice import ExitRequest, Planned, plan_exit
from helix.geometry.joint.exit_clearance import barrel_coil
from helix.geometry.joint.exits import ExitCurves, ExitPlan, TwistEnd, core_line, exit_curves, mean_sine, unwound
from helix.geometry.joint.eye import EyeShape, Throat, closed_eye
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.twist.strands import uneven_radii
from helix.geometry.twist.worked_wires import barrel_touching_pitch, core_round
from helix.geometry.wire.curves import (
    Curve,
    Line,
    Mirrored,
    Reversed,
    Strand,
    TransitionCurve,
    curve_length,
    derivatives,
)
from helix.geometry.wire.path import CurvePiece, Path
from helix.model.recipe.recipe_parts import Exit, Recipe

STUB_FADE = 0.6  # length over which the stub straightens [d]
STUB_LIFT = np.deg2rad(8.0)  # how far the stub rises off the last wrap (or off the leg)
LEAST_STUB = 1e-9  # a shorter stub is none [d]
_STRAIGHT = 1e-9  # a curvature below it is none [1/d]
WRAP_LEAD_IN = np.deg2rad(8.0)  # wraps only: how much flatter the tag comes in, to clear its first wrap


@dataclass(frozen=True)
class Sizes:
    """The numbers of a recipe that fix its shape, in wire diameters and radians: the one place where mm become diameters.

    lay_slack, pitch_slack: the recipe's tolerances of the lay and of the gap between wraps. handle: held while winding.
    count: wires worked as one; of two the radii and lays are those of each strand, ``line_lay`` is that of a pair's middle
    line, and ``over`` tells whether they lie one over the other on the pin.
    """

    turns: float
    lay: float
    standing_radius: float
    tag_radius: float
    barrel_sign: float
    wraps: float
    pitch: float
    pin: float
    tag_throat: Throat
    standing_throat: Throat
    stub: float
    standing: float
    handle: float
    lay_slack: float
    pitch_slack: float
    right_handed: bool
    count: int = 1
    over: bool = False
    line_lay: float | None = None

    @property
    def ring(self) -> Ring:
        """The four strands of two wires."""
        return Ring(self.lay)

    @property
    def tangent_half(self) -> float:
        """Half the angle between the eye legs where they run on from the twist at its own angle [rad]."""
        return 0.5 * (self.tag_throat.lay + self.standing_throat.lay) if self.line_lay is None else self.line_lay

    @property
    def round_core(self) -> float:
        """Length of the barrel's centre line once round its core, seen along it [d]."""
        return core_round(self.count)

    @property
    def touching_pitch(self) -> float:
        """Pitch of a barrel whose wraps touch [d]."""
        return barrel_touching_pitch(self.count)

    @property
    def wrap_gap(self) -> float:
        """Gap between neighbouring wraps, as their distance along the core tells it [d]."""
        return (self.pitch - self.touching_pitch) / self.count

    @property
    def barrel_lay(self) -> float:
        """Lay angle of the barrel, always positive [rad]."""
        return float(np.arctan2(self.round_core, self.pitch))

    def wrap_length(self, pitch: float) -> float:
        """Wire in one wrap at a pitch [d]."""
        return float(np.hypot(self.round_core, pitch))


@dataclass(frozen=True)
class Layout:
    """The wires' paths (wire diameters) with the choices and heights that made them.

    ``paths`` and ``exits_of``: one for each wire.
    """

    sizes: Sizes
    paths: tuple[Path, ...]
    planned: Planned
    eye: EyeShape
    exits_of: tuple[ExitCurves, ...]
    twist_end: TwistEnd

    @property
    def path(self) -> Path:
        """The path of the wire, the first of several."""
        return self.paths[0]

    @property
    def exits(self) -> ExitCurves:
        """The exits of the wire, of the first of several."""
        return self.exits_of[0]

    def of_wire(self, number: int) -> Layout:
        """The same with one of the wires first."""
        order = sorted(range(len(self.paths)), key=lambda k: k != number)
        paths, exits = tuple(self.paths[k] for k in order), tuple(self.exits_of[k] for k in order)
        return replace(self, paths=paths, exits_of=exits)

    @property
    def swing_after_leg(self) -> float:
        """Turns of the tag round the straight standing leg before its barrel."""
        turned = sum(s.length * mean_sine(s.lay_from, s.lay_to) for s in self.planned.plan.swings)
        return turned / self.sizes.round_core


def sizes_of(recipe: Recipe) -> Sizes:
    """Dimensionless sizes; raises ValueError where two legs cannot be twisted so."""
    d = recipe.wire.diameter_mm
    twist, barrel = recipe.twist, recipe.barrel
    count = recipe.wire.count
    pitch = barrel_touching_pitch(count) if barrel.pitch_mm is None else barrel.pitch_mm / d
    lay, line_lay = twist.lay_mm / d, None
    radius = None if recipe.entry.radius_mm is None else recipe.entry.radius_mm / d
    throat = recipe.eye.throat_rad
    if count > 1:
        ring = Ring(lay)
        a_s = a_t = ring.radius
        line_lay = ring.throat.lay
        leg = line_lay if throat is None else 0.5 * throat
        curvature = helix_curvature(a_s, lay)
        tag = standing = Throat(a_s, curvature, lay_angle(a_s, lay), leg, 1.0 / curvature)
    elif twist.turns == 0.0:
        flatter = lay_angle(1.0, pitch) - WRAP_LEAD_IN
        angle = flatter if throat is None else throat
        first = min(angle, flatter)
        a_s, a_t = 0.0, 1.0
        curvature = float(np.sin(first) ** 2)
        tag = Throat(1.0, curvature, first, angle, radius or 1.0 / curvature)
        standing = Throat(0.0, 0.0, 0.0, 0.0, 1.0)
    else:
        a_s, a_t = uneven_radii(lay, twist.evenness)
        lay_t, lay_s = lay_angle(a_t, lay), lay_angle(a_s, lay) if a_s else 0.0
        share = 1.0 if throat is None else throat / (lay_t + lay_s)
        k_t, k_s = helix_curvature(a_t, lay), helix_curvature(a_s, lay) if a_s else 0.0
        tag = _throat(a_t, k_t, lay_t, share, radius)
        standing = _throat(a_s, k_s, lay_s, share, radius)
    return Sizes(
        turns=twist.turns,
        lay=lay,
        standing_radius=a_s,
        tag_radius=a_t,
        barrel_sign=-1.0 if barrel.hand == "opposite" and twist.turns else 1.0,
        wraps=barrel.wraps,
        pitch=pitch,
        pin=recipe.eye.pin_mm / d,
        tag_throat=tag,
        standing_throat=standing,
        stub=recipe.finish.stub_mm / d,
        standing=recipe.finish.standing_mm / d,
        handle=recipe.finish.handle_mm / d,
        lay_slack=recipe.tolerance.lay_mm / d,
        pitch_slack=recipe.tolerance.wrap_gap_mm / d,
        right_handed=twist.hand == "right",
        count=count,
        over=recipe.eye.pair == OVER,
        line_lay=line_lay,
    )


def _throat(a: float, curvature: float, lay: float, share: float, radius: float | None) -> Throat:
    """One leg of a twist at the throat; no stated radius: bent no sharper than the twist itself."""
    own = 1.0 / curvature if curvature else 1.0
    kinked = share == 1.0 and radius is not None and curvature > 0.0 and radius < own
    return Throat(a, curvature, lay, lay * share, radius or own, kinked)


def twist_end(sizes: Sizes) -> TwistEnd:
    """Where the even twist ends (at the throat when there is none)."""
    return TwistEnd(
        sizes.standing_radius,
        sizes.tag_radius,
        sizes.lay,
        np.pi / 2.0 + 2.0 * np.pi * sizes.turns,
        sizes.turns * sizes.lay,
    )


def plan_of(recipe: Recipe, sizes: Sizes, checked: bool = True) -> Planned:
    """The exit that the recipe asks for, see :func:`helix.geometry.joint.exit_choice.plan_exit`."""
    return _planned(sizes, _request(recipe.exit, recipe.wire.diameter_mm, sizes), checked)


def _planned(sizes: Sizes, request: ExitRequest, checked: bool) -> Planned:
    if sizes.count > 1:
        return plan_two(sizes.ring, request, checked)
    return plan_exit(twist_end(sizes), request, checked)


def gradual_plan(layout: Layout, d_mm: float) -> ExitPlan:
    """The gradual exit for the same twist and barrel, whatever the recipe asks for; as closely as its own was planned."""
    sizes = layout.sizes
    request = _request(Exit("gradual", None, None, None), d_mm, sizes)
    return _planned(sizes, request, layout.planned.checked).plan


def _request(stated: Exit, d: float, sizes: Sizes) -> ExitRequest:
    return ExitRequest(
        style=stated.style,
        leg=None if stated.leg_mm is None else stated.leg_mm / d,
        swing=stated.swing_turns,
        peak=stated.peak_angle_rad,
        barrel_lay=sizes.barrel_sign * sizes.barrel_lay if sizes.wraps > 0.0 else None,
        pitch=sizes.pitch,
        first_lay=sizes.tag_throat.lay if sizes.turns == 0.0 else None,
    )


def lay_out(sizes: Sizes, planned: Planned) -> Layout:
    """All curves of the joint; raises EyeCannotClose where the legs do not reach the throat."""
    if sizes.count > 1:
        return _lay_out_two(sizes, planned)
    eye = closed_eye(sizes.pin, sizes.tag_throat, sizes.standing_throat)
    end = twist_end(sizes)
    exits = exit_curves(end, planned.plan)
    tag: list[tuple[str, Curve]] = []
    standing: list[tuple[str, Curve]] = []
    if sizes.turns > 0.0:
        height, rate = end.z, (2.0 * np.pi / sizes.lay,)
        tag.append(("twist_tag", Strand((sizes.tag_radius,), rate, np.pi / 2.0, 0.0, height)))
        leg = Strand((sizes.standing_radius,), rate, -np.pi / 2.0, 0.0, height)
        standing.append(("twist_standing", leg))
    tag.extend(("exit_tag", c) for c in exits.tag)
    standing.extend(("exit_standing", c) for c in exits.standing)
    top = exits.run_in_z
    if sizes.wraps > 0.0:
        coil = barrel_coil(exits, sizes.pitch, sizes.barrel_sign, sizes.wraps)
        tag.append(("barrel", coil))
        # a tag bent far back can end its wraps below the place where the leg is straight: overlapping, but one wire
        top = max(top, coil.z0 + coil.span)
        standing.append(("barrel_core", core_line(exits.run_in_z, top)))
    if sizes.stub > LEAST_STUB:
        tag.extend(("stub", c) for c in stub_curves(tag[-1][1], sizes.stub, sizes.wraps > 0.0))
    standing.append(("standing", Line((0.0, 0.0, top), (0.0, 0.0, 1.0), sizes.standing)))
    loop = [("entry_tag", c) for c in eye.entry_tag] + [("eye", c) for c in eye.eye]
    loop += [("entry_standing", c) for c in eye.entry_standing]
    backward = loop + standing
    pieces = [CurvePiece(n, Reversed(c)) for n, c in reversed(backward)] + [CurvePiece(n, c) for n, c in tag]
    if not sizes.right_handed:
        pieces = [CurvePiece(p.section, Mirrored(p.curve)) for p in pieces]
    return Layout(sizes, (path_of(pieces),), planned, eye, (exits,), end)


@lru_cache(maxsize=32)
def _lay_out_two(sizes: Sizes, planned: Planned) -> Layout:
    """All curves of two wires worked as one; kept, for shape, hold and steps of one joint ask for the same few."""
    if planned.doubled is None:
        raise ValueError("the exit of one wire does not fit two")
    ring, end, wrapped = sizes.ring, twist_end(sizes), sizes.wraps > 0.0
    throat = sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle
    loops, eye = doubled_eye(sizes.pin, ring, throat, sizes.over)
    exits = doubled_exit(ring, end.z, planned.doubled, sizes.pitch if wrapped else None)
    top = exits.z_end + sizes.wraps * sizes.pitch
    paths, exits_of = [], []
    for loop in loops:
        k, on = loop.standing - 2, 1 - loop.tag  # the exits of its standing leg and of its tag
        direction = exits.row + on * np.pi
        tag: list[tuple[str, Curve]] = [("twist_tag", ring.strand(loop.tag, ring.foot(loop.tag), exits.tag_from[on]))]
        tag += [("exit_tag", curve) for curve in exits.tag[on]]
        if wrapped:
            length = sizes.wraps * sizes.wrap_length(sizes.pitch)
            tag += [("barrel", c) for c in laid_on_pair((sizes.barrel_lay,), length, *exits.starts[on], direction)[0]]
        if sizes.stub > LEAST_STUB:
            tag += [("stub", c) for c in stub_curves(tag[-1][1], sizes.stub, wrapped)]
        core = straight_wire(exits, k, top)
        foot = (core.start[0], core.start[1], top)
        backward = [
            ("entry_tag", loop.entry_tag),
            *(("eye", curve) for curve in loop.eye),
            ("entry_standing", loop.entry_standing),
            ("twist_standing", ring.strand(loop.standing, ring.foot(loop.standing), end.z)),
            ("exit_standing", exits.standing[k]),
            ("barrel_core", core),
            ("standing", Line(foot, (0.0, 0.0, 1.0), sizes.standing)),
        ]
        pieces = [CurvePiece(n, Reversed(c)) for n, c in reversed(backward)] + [CurvePiece(n, c) for n, c in tag]
        if not sizes.right_handed:
            pieces = [CurvePiece(p.section, Mirrored(p.curve)) for p in pieces]
        paths.append(path_of(pieces))
        turn = unwound(
            exits.tag[on][:1], (0.25 + 0.5 * loop.tag) * np.pi + 2.0 * np.pi * exits.tag_from[on] / sizes.lay
        )
        place, leg = exits.starts[on][0], exits.standing[k]
        exits_of.append(ExitCurves((leg,), exits.tag[on], exits.run_in_z, turn, place, exits.z_end, sizes.barrel_lay))
    return Layout(sizes, tuple(paths), planned, eye, tuple(exits_of), end)


def path_of(pieces: list[CurvePiece]) -> Path:
    """Chain the pieces that have a length."""
    return Path(tuple(p for p in pieces if p.curve.span > 1e-12))


def stub_curves(last: Curve, length: float, on_wraps: bool) -> list[Curve]:
    """The stub: straightens and lifts clear of the last wrap, or of the leg where there are no wraps.

    A stub shorter than its bend is the first part of it, no sharper.
    """
    d = derivatives(last, np.array([last.span]), 2)[:, 0]
    speed = float(np.linalg.norm(d[1]))
    t = d[1] / speed
    k = (d[2] - t * float(d[2] @ t)) / speed**2
    curvature = float(np.linalg.norm(k))
    n = k / curvature if curvature > _STRAIGHT else np.array([-t[1], t[0], 0.0]) / np.hypot(t[0], t[1])
    b = np.cross(t, n) if on_wraps else -n
    b = -b if on_wraps and b[2] < 0.0 else b
    frame = tuple((float(v[0]), float(v[1]), float(v[2])) for v in (d[0], t, n, b))
    lift = float(np.tan(STUB_LIFT))
    bend = TransitionCurve(frame, curvature, lift, STUB_FADE, 0, STUB_FADE)
    bent = curve_length(bend)
    if bent < length:
        rest = TransitionCurve(frame, curvature, lift, STUB_FADE, 1, 1.0)
        return [bend, replace(rest, span=(length - bent) / (rest.speed or 1.0))]
    for _ in range(30):  # its speed is 1 at first and little more at the end
        bend = replace(bend, span=bend.span * length / bent)
        bent = curve_length(bend)
        if abs(bent - length) <= 1e-15 * length:
            break
    return [bend]
