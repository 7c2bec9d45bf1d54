"""The page's controls, in the order in which hands work: what each sets, its unit, range and sensible range.

A sensible range is where helix raises no flag on an otherwise good joint, as far as one number can say; it
comes from the limits of helix.mechanics.limits and from what practice makes (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

from helix.geometry.twist.ovals import oval_touching_pitch
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.files.file_keys import Key, Scale
from helix.model.joint.joint_curves import gradual_plan
from helix.model.recipe.recipe_keys import DOUBLED_LAY_D, TABLES
from helix.model.recipe.recipe_writing import ROUND_INCHES
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
# Where nothing is found on an otherwise good joint, as far as one number can say, in the units of the sliders; from a
# lay of 4.7 d on five turns may unwind.
_SENSIBLE: Final = {
    "eye.throat": (60, 88), "twist.turns": (limits.FEW, 2 * limits.FEW - 0.5), "twist.lay_length": (3.5, 4.5),
    "twist.evenness": (limits.EVEN, 1), "entry.radius": (1, 8), "exit.swing": (0.3, 1), "exit.peak_angle": (81, 86),
    "barrel.wraps": (limits.FEW, 2 * limits.FEW), "barrel.pitch": (round(touching_pitch(), 3), 1.03), "finish.stub": (0.5, 2),
}  # fmt: skip
# Of two wires worked as one: what else a reset writes, and where nothing is found; a knob that is there for them alone.
_OF_TWO: Final = {"twist.lay_length": f"{DOUBLED_LAY_D:g} d"}
_SENSIBLE_OF_TWO: Final = {
    "twist.lay_length": (6.0, 7.5),
    "barrel.pitch": (round(oval_touching_pitch() + 5e-4, 3), 2.12),
}
# What is not modelled of two wires, whose knobs are not there for them; what is said of it at the knob of their number.
NOT_FOR_TWO: Final = ("twist.evenness", "entry.radius", "exit.peak_angle", "barrel.hand")
_LEFT_OPEN: Final = {
    "wire.count": ("twist.lay_length", "twist.lay_angle", "twist.length", *NOT_FOR_TWO)
}  # a lay is one of so many wires
_ONLY: Final = {"eye.pair": {"key": "wire.count", "value": 2}} | {
    key: {"key": "wire.count", "value": 1} for key in NOT_FOR_TWO
}


@dataclass(frozen=True)
class Knob:
    """One control of the page: a key of the recipe, told in recipe_keys, and its sensible range."""

    table: str
    row: Key

    @property
    def key(self) -> str:
        """Table and key of the recipe."""
        return f"{self.table}.{self.row.name}"

    @property
    def kind(self) -> str:
        """What the page shows: "wire" (the list of sizes), "choice", or what the key holds."""
        if self.row.name == "size":
            return "wire"
        return "choice" if self.options else self.row.kind

    @property
    def options(self) -> list[dict[str, str | int]]:
        """Values to choose from and their texts; none where it is no choice."""
        row, limits = self.row, self.row.limits
        if limits is not None and limits.whole:
            return [{"value": int(value), "text": f"{value:g}"} for value in (limits.low, limits.high)]
        return [{"value": value, "text": text} for value, text in row.choices.items()]

    @property
    def scales(self) -> dict[str, Scale]:
        """The slider's scales by unit system, none for what has no slider."""
        return {name: replace(scale, sensible=_SENSIBLE.get(self.key)) for name, scale in self.row.page.items()}

    @property
    def default(self) -> str | float | None:
        """What a reset writes; None leaves the key out."""
        row = self.row
        return row.example if row.needed else None if row.default == row.word else row.default

    @property
    def default_inch(self) -> str | float | None:
        """What a reset writes in inches: round numbers."""
        return ROUND_INCHES.get(self.default, self.default) if isinstance(self.default, str) else self.default

    def record(self) -> dict[str, Any]:
        """As data for the page."""
        row = self.row
        return {
            "key": self.key, "group": self.table, "label": row.label, "help": f"{row.help[:1].upper()}{row.help[1:]}.",
            "note_of_two": _note_of_two() if self.key == "wire.count" else None, "kind": self.kind, "options": self.options, "only": _ONLY.get(self.key), "default_of_two": _OF_TWO.get(self.key),
            "open": row.open, "word": row.word, "drops": list(_LEFT_OPEN.get(self.key, DROPS.get(self.key, ()))), "default": self.default, "default_inch": self.default_inch,
            "scales": {name: vars(scale) for name, scale in self.scales.items()},
        }  # fmt: skip


def _note_of_two() -> str:
    """Which knobs are not there for two wires, and why."""
    labels = [row.label for table, rows in TABLES.items() for row in rows if f"{table}.{row.name}" in NOT_FOR_TWO]
    names = ", ".join(labels[:-1])
    return f"Not modelled for two wires, and so not here: {names}, {labels[-1]}."


KNOBS: Final = tuple(Knob(table, row) for table, rows in TABLES.items() for row in rows if row.label)
MENUS: Final = frozenset(knob.key for knob in KNOBS if knob.kind in ("wire", "choice")) | {"wire.material"}
"""Keys of what is chosen from a list."""


def label_of(key: str) -> str:
    """What the page calls a key of the recipe, with its group where two are called alike; "" where it has no knob.

    >>> label_of("eye.pin"), label_of("twist.turns"), label_of("title")
    ('Pin or ring', 'Turns (Twist)', '')
    """
    own = next((knob for knob in KNOBS if knob.key == key), None)
    if own is None:
        return ""
    alike = sum(knob.row.label == own.row.label for knob in KNOBS) > 1
    return f"{own.row.label} ({dict(GROUPS)[own.table]})" if alike else own.row.label


def filled(outline: Outline, units: UnitSystem) -> dict[str, str | float]:
    """What every knob stands at, also where the recipe leaves it open; in the unit of its slider.

    A number of turns, wraps or a share is bare; a knob that stands for nothing (no overbend) is left out.
    """
    recipe, plan, sizes = outline.recipe, outline.joint.layout.planned.plan, outline.joint.layout.sizes
    d, throats = recipe.wire.diameter_mm, (sizes.tag_throat, sizes.standing_throat)
    chosen = {  # what the joint has where the recipe leaves it open
        "eye.throat": sum(throat.leg_angle for throat in throats),
        "entry.radius": min(throat.bend_radius for throat in throats) * d,
        "exit.leg": plan.leg * d or None,
        "exit.swing": outline.counts.swing_after_leg or None,
        "barrel.pitch": sizes.pitch * d,
    }
    one_mm_or_rad = {"mm": 1.0, "in": MM_PER_INCH, "d": d, "deg": RAD_PER_DEG}
    values: dict[str, str | float] = {}
    for knob in KNOBS:
        value = chosen[knob.key] if knob.key in chosen else getattr(getattr(recipe, knob.table), knob.row.attribute)
        if value is None or knob.kind == "force":
            continue
        if knob.row.dimension:
            unit = knob.scales[units].unit
            values[knob.key] = f"{_short(value / one_mm_or_rad[unit], 3 if unit == 'deg' else 4)} {unit}"
        else:
            values[knob.key] = value if isinstance(value, str) else float(_short(value))
    return values


def sensible(outline: Outline, units: UnitSystem) -> dict[str, tuple[float, float]]:
    """Sensible ranges that go with the wire and the twist, in the unit of their sliders.

    The pin: 4 to 25 wire diameters (common practice, no source). The exit's leg, not of a draft: from the gradual
    one's to twice that.
    """
    unit, d = MM_PER_INCH if units == "inch" else 1.0, outline.recipe.wire.diameter_mm
    ranges = {"eye.pin": (float(_short(4.0 * d / unit, 3)), float(_short(25.0 * d / unit, 3)))}
    if outline.recipe.wire.count > 1:
        ranges |= _SENSIBLE_OF_TWO
    layout = outline.joint.layout
    if not isinstance(outline, Draft) and layout.sizes.turns > 0.0:
        leg = gradual_plan(layout, d).leg
        ranges["exit.leg"] = (round(leg + 0.005, 2), round(2.0 * leg, 1))
    return ranges


def _short(value: float, digits: int = 4) -> str:
    """A number to so many digits, without an exponent or needless zeros.

    >>> _short(0.23622), _short(6.0), _short(1200.0), _short(0.0)
    ('0.2362', '6', '1200', '0')
    """
    if abs(value) <= limits.OVERLAP_D:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    return f"{rounded:.6f}".rstrip("0").rstrip(".")
