"""How the load runs through a joint: what each leg carries, contact, strain, all along the wire."""

from __future__ import annotations

import math
from typing import ClassVar, Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.wire.frames import gauge_curvature
from helix.mechanics import limits
from helix.mechanics.tag_tension import leg_contact, tag_tension_exponential, tag_tension_linear, throat_tension
from helix.model.joint.joint import build_joint
from helix.model.joint.section_names import SECTIONS
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import tag_left
from helix.studies.shape.bends import wound_along
from helix.values import hidden, result

STEP_D: Final = 0.05
STRAIGHT_STEP_D: Final = 1.0
MOST_SAMPLES: Final = 20_000
SHOWN_STANDING_D: Final = 12.0  # of the straight standing leg that is shown


@result
class LoadPath:
    """Along the wire from the standing end to the stub, at one load. All (n,) but what is said.

    s_mm: arc length. section: index into SECTIONS. carried_proportion: share of the load along the joint axis, by model key
    ("L", "E"); only the models that say how the tag's tension falls, and that apply. contact_n_per_mm: leg on leg in
    the twist, wire on pin in the eye; 0 elsewhere (the barrel is taken as loose). strain: of the outer fibre.
    tag_left_proportion: tension of the tag where the twist ends over the load, by key, as `helix hold` says it. load_n: what the joint carries.
    """

    also: ClassVar = ("sections",)
    load_n: float
    s_mm: Array
    carried_proportion: dict[str, Array]
    contact_n_per_mm: Array
    strain: Array
    tag_left_proportion: dict[str, float]
    section: np.ndarray = hidden()

    @property
    def sections(self) -> tuple[str, ...]:
        """Name of the section at each place."""
        return tuple(SECTIONS[k] for k in self.section)


def load_path(result: HoldResult, load_n: float | None = None) -> LoadPath:
    """The load path of a joint at its nominal hold, or at another load [N]."""
    joint, d = build_joint(result.recipe), result.recipe.wire.diameter_mm
    path = joint.layout.path
    line = path.sample(max(STEP_D, path.length / MOST_SAMPLES), STRAIGHT_STEP_D)
    sections = np.array([SECTIONS.index(piece.section) for piece in path.pieces])[line.piece]
    mean = gauge_curvature(line.s, line.points, line.tangents, line.curvature, limits.GAUGE_D)
    start = float(line.s[sections != SECTIONS.index("standing")][0])
    shown = line.s >= start - SHOWN_STANDING_D
    s, section = line.s[shown] * d, sections[shown]
    load = load_n if load_n is not None else result.hold_n.nominal
    if math.isnan(load):
        load = result.bends_leave_n.nominal
    carried, left, share_left = {}, {}, tag_left(result)
    for key, falls in (("L", tag_tension_linear), ("E", tag_tension_exponential)):
        model = next((model for model in result.applicable if model.key == key), None)
        if model is None or model.friction is None:
            continue
        lay = lay_angle(0.5, result.grip.lay_d)
        over = float(throat_tension(lay))
        made = np.linspace(0.0, result.grip.turns, 201)
        share = 0.5 * falls(made, model.friction.value, lay, result.setting.sliding_rad) / over
        left[key] = share_left[key]
        carried[key] = _along(s, section, made, share, result.grip.wraps)
    if not carried:
        carried["W"] = _along(s, section, np.array([0.0, 1.0]), np.array([0.5, 0.5]), result.grip.wraps)
        left["W"] = 0.5
    return LoadPath(
        load_n=load,
        s_mm=s,
        section=section,
        carried_proportion=carried,
        contact_n_per_mm=_contact(result, s, section, load),
        strain=np.maximum(mean[shown] / 2.0, wound_along(joint, np.array(SECTIONS)[section])),
        tag_left_proportion=left,
    )


def _along(s: Array, section: np.ndarray, made: Array, share: Array, wraps: float) -> Array:
    """Share of the load along the axis at each sample; `share` (m,) is the tag's after `made` turns from the throat."""
    out = np.zeros(s.size)
    end = float(share[-1])
    for name in SECTIONS:
        here = section == SECTIONS.index(name)
        if not here.any():
            continue
        along = s[here]
        gone = (along - along[0]) / max(float(np.ptp(along)), 1e-12)  # 0 to 1 in the wire's order
        if name == "twist_standing":
            out[here] = 1.0 - np.interp((1.0 - gone) * made[-1], made, share)
        elif name == "twist_tag":
            out[here] = np.interp(gone * made[-1], made, share)
        elif name == "barrel":
            out[here] = end * np.maximum(1.0 - gone * max(wraps, 1e-9) / limits.HINGE_WRAPS, 0.0)
        else:
            out[here] = {
                "standing": 1.0,
                "barrel_core": 1.0,
                "exit_standing": 1.0 - end,
                "exit_tag": end,
                "stub": 0.0,
            }.get(name, 0.5)
    return out


def _contact(result: HoldResult, s: Array, section: np.ndarray, load_n: float) -> Array:
    d, lay_d = result.recipe.wire.diameter_mm, result.grip.lay_d
    out = np.zeros(s.size)
    if result.grip.turns:
        press = float(leg_contact(helix_curvature(0.5, lay_d), lay_angle(0.5, lay_d))) * load_n / d
        out[np.isin(section, [SECTIONS.index("twist_standing"), SECTIONS.index("twist_tag")])] = press
    leg = next((bend.load_proportion for bend in result.breaks if bend.place == "eye"), 0.5)
    out[section == SECTIONS.index("eye")] = leg * load_n / (0.5 * (result.recipe.eye.pin_mm + d))
    return out
