"""From a recipe to curves: the whole wire, in wire diameters, right-handed, in the wire's order."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from helix.geometry.joint.exit_choice import ExitRequest, Planned, plan_exit
from helix.geometry.joint.exit_clearance import barrel_coil
from helix.geometry.joint.exits import ExitCurves, ExitPlan, TwistEnd, core_line, exit_curves
from helix.geometry.joint.eye import EyeShape, Throat, closed_eye
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.twist.strands import touching_pitch, uneven_radii
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
WRAP_LEAD_IN = np.deg2rad(8.0)  # wraps only: how much flatter the tag comes in, to clear its first wrap


@dataclass(frozen=True)
class Sizes:
    """The numbers of a recipe that fix its shape, in wire diameters and radians: the one place where mm become diameters.

    lay_slack, pitch_slack: the recipe's tolerances of the lay and of the gap between wraps. handle: held while winding.
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

    @property
    def barrel_lay(self) -> float:
        """Lay angle of the barrel, always positive [rad]."""
        return lay_angle(1.0, self.pitch)


@dataclass(frozen=True)
class Layout:
    """The wire's path (wire diameters) with the choices and heights that made it."""

    sizes: Sizes
    path: Path
    planned: Planned
    eye: EyeShape
    exits: ExitCurves
    twist_end: TwistEnd


def sizes_of(recipe: Recipe) -> Sizes:
    """Dimensionless sizes; raises ValueError where two legs cannot be twisted so."""
    d = recipe.wire.diameter_mm
    twist, barrel = recipe.twist, recipe.barrel
    pitch = touching_pitch() if barrel.pitch_mm is None else barrel.pitch_mm / d
    lay = twist.lay_mm / d
    radius = None if recipe.entry.radius_mm is None else recipe.entry.radius_mm / d
    throat = recipe.eye.throat_rad
    if twist.turns == 0.0:
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
    return plan_exit(twist_end(sizes), _request(recipe.exit, recipe.wire.diameter_mm, sizes), checked)


def gradual_plan(layout: Layout, d_mm: float) -> ExitPlan:
    """The gradual exit for the same twist and barrel, whatever the recipe asks for; as closely as its own was planned."""
    sizes = layout.sizes
    request = _request(Exit("gradual", None, None, None), d_mm, sizes)
    return plan_exit(twist_end(sizes), request, layout.planned.checked).plan


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
        tag.extend(("stub", c) for c in _stub(tag[-1][1], sizes.stub, sizes.wraps > 0.0))
    standing.append(("standing", Line((0.0, 0.0, top), (0.0, 0.0, 1.0), sizes.standing)))
    loop = [("entry_tag", c) for c in eye.entry_tag] + [("eye", c) for c in eye.eye]
    loop += [("entry_standing", c) for c in eye.entry_standing]
    backward = loop + standing
    pieces = [CurvePiece(n, Reversed(c)) for n, c in reversed(backward)] + [CurvePiece(n, c) for n, c in tag]
    if not sizes.right_handed:
        pieces = [CurvePiece(p.section, Mirrored(p.curve)) for p in pieces]
    path = Path(tuple(p for p in pieces if p.curve.span > 1e-12))
    return Layout(sizes, path, planned, eye, exits, end)


def _stub(last: Curve, length: float, on_wraps: bool) -> list[Curve]:
    """The stub: straightens and lifts clear of the last wrap, or of the leg where there are no wraps.

    A stub shorter than its bend is the first part of it, no sharper.
    """
    d = derivatives(last, np.array([last.span]), 2)[:, 0]
    speed = float(np.linalg.norm(d[1]))
    t = d[1] / speed
    k = (d[2] - t * float(d[2] @ t)) / speed**2
    curvature = float(np.linalg.norm(k))
    n = k / curvature
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
