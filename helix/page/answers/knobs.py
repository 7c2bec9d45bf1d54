"""The page's controls, in the order in which hands work: what each sets, its unit, range and sensible range.

A sensible range is where helix raises no flag on an otherwise good joint, as far as one number can say; it
comes from the limits of helix.studies.shape.flags and from what practice makes (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from helix.data.materials import materials
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.joint.joint_curves import gradual_plan
from helix.studies.shape.outline import Draft, Outline
from helix.studies.shape.remedies import DROPS
from helix.units import MM_PER_INCH, RAD_PER_DEG, UnitSystem

GROUPS: Final = (
    ("wire", "Wire"),
    ("eye", "Eye"),
    ("twist", "Twist"),
    ("entry", "First bend"),
    ("exit", "Exit"),
    ("barrel", "Barrel"),
    ("finish", "Stub, handle, standing leg"),
    ("tolerance", "How exact the hands are"),
)
_PITCH_TOUCHING_D: Final = touching_pitch()


@dataclass(frozen=True)
class Scale:
    """Of a slider: unit ("" for a bare number), ends, step, and the sensible range within (None: all of it)."""

    unit: str
    low: float
    high: float
    step: float
    sensible: tuple[float, float] | None = None


@dataclass(frozen=True)
class Knob:
    """One control. key: table and key of the recipe. kind: "wire" (the list of sizes), "length", "force", "angle",
    "count", "share" or "choice".

    open: the word for a key that is left out, where that is a choice of its own. default: what a reset writes; None leaves the key out. scales: by unit system.
    """

    key: str
    label: str
    help: str
    kind: str
    scales: dict[str, Scale] = field(default_factory=dict)
    options: tuple[tuple[str, str], ...] = ()
    open: str | None = None
    default: str | float | None = None

    @property
    def group(self) -> str:
        """The table of the recipe that it belongs to."""
        return self.key.partition(".")[0]

    def record(self) -> dict[str, Any]:
        """As data for the page."""
        return {
            "key": self.key, "group": self.group, "label": self.label, "help": self.help, "kind": self.kind,
            "options": [{"value": value, "text": text} for value, text in self.options],
            "open": self.open, "drops": list(DROPS.get(self.key, ())), "default": self.default,
            "scales": {name: vars(scale) for name, scale in self.scales.items()},
        }  # fmt: skip


def _both(
    unit: str, low: float, high: float, step: float, sensible: tuple[float, float] | None = None
) -> dict[str, Scale]:
    scale = Scale(unit, low, high, step, sensible)
    return {"metric": scale, "inch": scale}


def _mm(low: float, high: float, step: float, inch: tuple[float, float, float]) -> dict[str, Scale]:
    return {"metric": Scale("mm", low, high, step), "inch": Scale("in", *inch)}


_HANDS: Final = (("right", "right-hand"), ("left", "left-hand"))

KNOBS: Final = (
    Knob("wire.size", "Size", "Gauge family and number; the list shows diameter and breaking load.", "wire",
         open="by its diameter", default="MWG 12"),
    Knob("wire.diameter", "Diameter", "Measured diameter, for wire that is not in the list.", "length",
         _mm(0.2, 2.0, 0.01, (0.008, 0.078, 0.0005)), open="by its size"),
    Knob("wire.material", "Material", "What the wire is made of: its strength and stiffness follow.", "choice",
         options=tuple((each.name, each.name) for each in materials()), default="302 stainless"),
    Knob("wire.rated_load", "Rated load", "What the maker rates the wire for, if you know it; only checked.", "force",
         {"metric": Scale("N", 10, 5000, 10), "inch": Scale("lbf", 2, 1000, 1)}, open="not known"),
    Knob("eye.pin", "Pin or ring", "Diameter of the pin or ring that passes through the eye.", "length",
         _mm(1.0, 40.0, 0.1, (0.04, 1.6, 0.005)), default="6 mm"),
    Knob("eye.throat", "Throat", "Angle between the two eye legs where they cross.", "angle",
         _both("deg", 40, 150, 1, (60, 90)), open="tangent"),
    Knob("twist.turns", "Turns", "Even turns of both legs; a turn is 360 deg, a crossing half of it.", "count",
         _both("", 0, 12, 0.5, (limits.FEW, 2 * limits.FEW - 0.5)), default=5),
    Knob("twist.lay_length", "Lay", "Length of one turn of the twist, in wire diameters.", "length",
         _both("d", 2.3, 12, 0.05, (3.5, limits.LOOSE_LAY)), default="4 d"),
    Knob("twist.evenness", "Evenness", "1: both legs twist alike; 0: the tag spirals round a straight leg.", "share",
         _both("", 0, 1, 0.05, (limits.EVEN, 1)), default=1),
    Knob("twist.hand", "Hand", "Which way round the legs are twisted.", "choice", options=_HANDS, default="right"),
    Knob("entry.radius", "Bend radius", "Radius of the wire's middle where the legs enter the twist.", "length",
         _both("d", 0.5, 8, 0.05, (1, 8)), open="tangent"),
    Knob("exit.style", "Style", "Gradual is the best exit; bench is what hands usually make.", "choice",
         options=(("gradual", "gradual"), ("bench", "bench")), open="by leg and swing",
         default="gradual"),
    Knob("exit.leg", "Leg", "Distance in which the standing leg comes onto the axis.", "length",
         _both("d", 0.5, 10, 0.05), open="by style"),
    Knob("exit.swing", "Swing on the leg", "Turns in which the tag swings to the barrel, the leg under it straight by then.", "count",
         _both("", 0.05, 1.5, 0.025, (0.3, 1)), open="by style"),
    Knob("exit.peak_angle", "Overbend", "Largest angle of the tag to the standing leg, where it was bent too far.", "angle",
         _both("deg", 81, 150, 1, (81, 90)), open="none"),
    Knob("barrel.wraps", "Wraps", "Touching wraps of the tag round the standing leg.", "count",
         _both("", 0, 12, 0.25, (limits.FEW, 2 * limits.FEW)), default=5),
    Knob("barrel.pitch", "Pitch", "Length of one wrap; touching wraps lie against each other.", "length",
         _both("d", 1, 3, 0.01, (round(_PITCH_TOUCHING_D, 3), 1.03)), open="touching"),
    Knob("barrel.hand", "Hand", "Same way round as the twist, or the opposite.", "choice",
         options=(("same", "same as the twist"), ("opposite", "opposite")), default="same"),
    Knob("finish.stub", "Stub", "What is left of the tag after breaking off.", "length",
         _both("d", 0, 6, 0.1, (0.5, 2)), default="1 d"),
    Knob("finish.handle", "Handle", "What is held while winding, then broken off.", "length",
         _mm(0, 200, 5, (0, 8, 0.25)), default="60 mm"),
    Knob("finish.standing", "Standing leg", "How much of the standing leg to cut with the joint.", "length",
         _mm(20, 2000, 10, (1, 80, 0.5)), default="300 mm"),
    Knob("tolerance.lay", "Lay", "Plus or minus, of one turn.", "length", _both("d", 0, 1, 0.05), default="0.2 d"),
    Knob("tolerance.pin", "Pin", "Plus or minus.", "length", _mm(0, 1, 0.05, (0, 0.04, 0.002)), default="0.1 mm"),
    Knob("tolerance.wrap_gap", "Gap between wraps", "Plus or minus, of a touching barrel.", "length",
         _both("d", 0, 0.2, 0.01), default="0.02 d"),
    Knob("tolerance.swing", "Swing", "Plus or minus, in turns.", "count", _both("", 0, 0.45, 0.05), default=0.25),
    Knob("tolerance.turns", "Turns", "Plus or minus.", "count", _both("", 0, 1, 0.05), default=0.1),
    Knob("tolerance.wraps", "Wraps", "Plus or minus.", "count", _both("", 0, 1, 0.05), default=0.25),
    Knob("tolerance.stub", "Stub", "Plus or minus.", "length", _both("d", 0, 0.9, 0.1), default="0.5 d"),
    Knob("tolerance.handle", "Handle", "Plus or minus.", "length", _mm(0, 20, 1, (0, 0.8, 0.05)), default="1 mm"),
    Knob("tolerance.ramp_share", "Choice of ramps", "Share of the joint's own wire, for how hands blend one part into the next.",
         "share", _both("", 0, 0.2, 0.01), default=0.03),
)  # fmt: skip


def filled(outline: Outline, units: UnitSystem) -> dict[str, str | float]:
    """What every knob stands at, also where the recipe leaves it open; in the unit of its slider.

    A number of turns, wraps or a share is bare; a knob that stands for nothing (no overbend) is left out.
    """
    recipe, plan, sizes = outline.recipe, outline.joint.layout.planned.plan, outline.joint.layout.sizes
    wire, twist, barrel, finish, slack = (recipe.wire, recipe.twist, recipe.barrel, recipe.finish, recipe.tolerance)
    d = wire.diameter_mm
    leg_angle = sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle
    radius = min(t.bend_radius for t in (sizes.tag_throat, sizes.standing_throat))
    lengths_mm: dict[str, float | None] = {
        "wire.diameter": d, "eye.pin": recipe.eye.pin_mm, "twist.lay_length": twist.lay_mm, "entry.radius": radius * d,
        "exit.leg": plan.leg * d or None, "barrel.pitch": sizes.pitch * d, "finish.stub": finish.stub_mm,
        "finish.handle": finish.handle_mm, "finish.standing": finish.standing_mm, "tolerance.lay": slack.lay_mm,
        "tolerance.pin": slack.pin_mm, "tolerance.wrap_gap": slack.wrap_gap_mm, "tolerance.stub": slack.stub_mm,
        "tolerance.handle": slack.handle_mm,
    }  # fmt: skip
    bare: dict[str, float | str | None] = {
        "wire.size": wire.size, "wire.material": wire.material, "twist.turns": twist.turns, "twist.evenness": twist.evenness,
        "twist.hand": twist.hand, "exit.style": recipe.exit.style, "exit.swing": outline.counts.swing_after_leg or None,
        "barrel.wraps": barrel.wraps, "barrel.hand": barrel.hand, "tolerance.swing": slack.swing_turns,
        "tolerance.turns": slack.turns, "tolerance.wraps": slack.wraps, "tolerance.ramp_share": slack.ramp_share,
    }  # fmt: skip
    angles = {"eye.throat": leg_angle, "exit.peak_angle": recipe.exit.peak_angle_rad}
    found: dict[str, str | float] = {}
    for knob in KNOBS:
        unit = knob.scales[units].unit if knob.scales else ""
        length, value, angle = lengths_mm.get(knob.key), bare.get(knob.key), angles.get(knob.key)
        if length is not None:
            found[knob.key] = f"{_short(length / {'mm': 1.0, 'in': MM_PER_INCH, 'd': d}[unit])} {unit}"
        elif angle is not None:
            found[knob.key] = f"{_short(angle / RAD_PER_DEG, 3)} deg"
        elif value is not None:
            found[knob.key] = float(_short(value)) if isinstance(value, float | int) else value
    return found


def sensible(outline: Outline, units: UnitSystem) -> dict[str, tuple[float, float]]:
    """Sensible ranges that go with the wire and the twist, in the unit of their sliders.

    The pin: 4 to 25 wire diameters (common practice, no source). The exit's leg, not of a draft: from the gradual
    one's to twice that.
    """
    unit, d = MM_PER_INCH if units == "inch" else 1.0, outline.recipe.wire.diameter_mm
    found = {"eye.pin": (float(_short(4.0 * d / unit, 3)), float(_short(25.0 * d / unit, 3)))}
    layout = outline.joint.layout
    if not isinstance(outline, Draft) and layout.sizes.turns > 0.0:
        leg = gradual_plan(layout, d).leg
        found["exit.leg"] = (round(leg + 0.005, 2), round(2.0 * leg, 1))
    return found


def _short(value: float, digits: int = 4) -> str:
    """A number to so many digits, without an exponent or needless zeros.

    >>> _short(0.23622), _short(6.0), _short(1200.0), _short(0.0)
    ('0.2362', '6', '1200', '0')
    """
    if abs(value) <= limits.OVERLAP_D:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    return f"{rounded:.6f}".rstrip("0").rstrip(".")
