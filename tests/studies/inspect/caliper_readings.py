"""What calipers would read on a joint, taken from its curve alone: for trying an inspection on joints of known make.

Nothing here knows the recipe's numbers: crossings are found as they are seen from the side, diameters and
faces from the wire's surface.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from helix.model.joint.joint import Joint

Floats = NDArray[np.float64]
_STEP_D = 0.02


def caliper_readings(joint: Joint) -> dict[str, float]:
    """Sizes of a joint as calipers find them [mm], and counts; those of parts that are not there are left out.

    wire, turns, twist_length, lay, twist_diameter, wraps, barrel_length, barrel_diameter, eye, eye_length,
    length, outside_length: see helix.model.measured.readings. Of two wires worked as one without eye_length.
    """
    lines, d = [wire.sample(_STEP_D) for wire in joint.wires], joint.diameter_mm
    parts = [np.array(joint.section_names)[line.section] for line in lines]

    def each(*names: str) -> list[Floats]:
        """Points of some parts that follow each other, of each wire, the last one's end included."""
        rows = [np.flatnonzero(np.isin(part, names)) for part in parts]
        return [
            line.points_mm[own[0] : own[-1] + 2] if own.size else np.zeros((0, 3))
            for line, own in zip(lines, rows, strict=True)
        ]

    found = {"wire": d, "turns": 0.0, "wraps": 0.0}
    standing, tag = each("twist_standing"), each("twist_tag")
    if len(tag[0]) and len(standing[0]):
        legs = np.concatenate((*standing, *tag))[:, 2]
        if len(standing) == 1:
            crossings = _crossings(standing, tag, float(legs.min()), float(legs.max()))
        else:  # pairs end one strand after the other: their bends beyond the twist are seen too
            stands, tags = (each(f"entry_{leg}", f"twist_{leg}", f"exit_{leg}") for leg in ("standing", "tag"))
            crossings = _crossings(stands, tags, float(legs.min()) - 0.5 * d, float(legs.max()) + 0.5 * d)
        found["turns"] = (len(crossings) - 1) / 2.0
        if len(crossings) > 1:
            found["twist_length"] = float(crossings[-1] - crossings[0])
            found["lay"] = found["twist_length"] / found["turns"]
        found["twist_diameter"] = _across(*standing, *tag) + d
    barrels, eyes = each("barrel"), each("eye", "entry_tag", "entry_standing")
    bight = max(float(eye[:, 2].min()) for eye in eyes) + d / 2.0
    found["eye"] = min(float(np.ptp(eye[:, 0])) for eye in eyes) - d
    if len(standing[0]) and len(eyes) == 1:
        found["eye_length"] = _inner_crossing(eyes[0], d) - bight
    if len(barrels[0]):
        found["wraps"] = round(float(np.mean([_rotation(barrel) for barrel in barrels])), 3 if len(barrels) == 1 else 2)
        barrel = np.concatenate(barrels)
        found["barrel_length"] = float(np.ptp(barrel[:, 2])) + d
        found["barrel_diameter"] = 2.0 * float(np.hypot(barrel[:, 0], barrel[:, 1]).max()) + d
        found["length"] = float(barrel[:, 2].max()) + d / 2.0 - bight
        found["outside_length"] = float(barrel[:, 2].max()) - min(float(eye[:, 2].min()) for eye in eyes) + d
    return found


def _rotation(barrel: Floats) -> float:
    """Turns of a wire round the axis."""
    rotation = np.unwrap(np.arctan2(barrel[:, 1], barrel[:, 0]))
    return abs(float(rotation[-1] - rotation[0])) / (2.0 * np.pi)


def _crossings(standing: list[Floats], tag: list[Floats], low: float, high: float) -> Floats:
    """Heights at which the legs are seen to cross, from the side that the eye's pin points to; of pairs their middles."""
    z = np.linspace(low, high, 20_001)
    apart = np.mean([_at(leg, z) for leg in standing], axis=0) - np.mean([_at(leg, z) for leg in tag], axis=0)
    size = float(np.max(np.abs(apart)))
    near = np.abs(apart) < 1e-3 * size  # the first and the last crossing lie at the very ends
    flips = np.flatnonzero((apart[:-1] > 0.0) != (apart[1:] > 0.0))
    found = [float(z[k] + (z[k + 1] - z[k]) * apart[k] / (apart[k] - apart[k + 1])) for k in flips]
    found += [float(z[k]) for k in (0, len(z) - 1) if near[k]]
    found.sort()
    gap = (high - low) / len(z) * 20.0
    return np.array([h for k, h in enumerate(found) if k == 0 or h - found[k - 1] > gap])


def _at(leg: Floats, z: Floats) -> Floats:
    """Offset of a leg, seen along the pin, at these heights."""
    order = np.argsort(leg[:, 2])
    return np.interp(z, leg[order, 2], leg[order, 0])


def _across(*legs: Floats) -> float:
    """Largest width of the centre lines over the twist, turned between the jaws."""
    points = np.concatenate(legs)[:, :2]
    turns = np.linspace(0.0, np.pi, 181)
    seen = points @ np.array([np.cos(turns), np.sin(turns)])
    return float(np.ptp(seen, axis=0).max())


def _inner_crossing(eye: Floats, d: float) -> float:
    """Height at which the inner edges of the eye meet, seen along the pin."""
    lowest = int(np.argmin(eye[:, 2]))
    flat = eye[:, [0, 2]]
    along = np.gradient(flat, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    inward = np.column_stack([-along[:, 1], along[:, 0]])
    middle = np.array([0.0, float(np.median(flat[:, 1]))])
    inward *= np.sign(np.sum(inward * (middle - flat), axis=1))[:, None]
    edge = flat + 0.5 * d * inward
    sides = edge[:lowest], edge[lowest:]
    z = np.linspace(flat[lowest, 1], flat[:, 1].max() + d, 4001)
    x = []
    for side in sides:
        order = np.argsort(side[:, 1])
        x.append(np.interp(z, side[order, 1], side[order, 0]))
    apart = np.abs(x[0] - x[1])
    above = z > flat[lowest, 1] + 0.6 * (flat[:, 1].max() - flat[lowest, 1])
    return float(z[above][np.argmin(apart[above])])
