"""What a recipe is made of: one frozen dataclass for each table of the file, in mm, rad and N."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, ClassVar, Literal

from helix.findings import Finding
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_checks import check_exit, check_part, check_recipe
from helix.model.recipe.recipe_keys import TABLES
from helix.units import RAD_PER_DEG, UnitSystem

_LEAST_COUNT = 1e-12  # so little of a turn or wrap has no length that can be divided by


class Part:
    """One table of a recipe, as strict as the file: a value out of its range raises ValidationError.

    >>> Barrel(wraps=-3, pitch_mm=None, hand="same")
    Traceback (most recent call last):
    helix.errors.ValidationError: [barrel] wraps: must be 0 or more; got -3
    """

    TABLE: ClassVar[str]

    def __post_init__(self) -> None:
        check_part(self.TABLE, vars(self))

    def _round_to_none(self, name: str) -> None:
        """Make a count that is next to nothing 0."""
        if 0.0 < getattr(self, name) < _LEAST_COUNT:
            object.__setattr__(self, name, 0.0)


@dataclass(frozen=True)
class Eye(Part):
    """pin_mm: diameter of what passes through the eye. throat_rad: full angle between the two eye legs
    where they cross, in (0, pi); None is a tangent throat, each leg meeting the twist at its own lay.
    throat_made: the first turn was "wound" at that angle, or the twist at its lay and the legs "spread" afterwards.
    pair: how two wires worked as one lie on the pin; says nothing of one wire."""

    TABLE = "eye"

    pin_mm: float
    throat_rad: float | None
    throat_made: Literal["wound", "spread"] = "wound"
    pair: Literal["side by side", "one over the other"] = "side by side"


@dataclass(frozen=True)
class Twist(Part):
    """turns: even turns of 360 deg, 0 or more; less than 1e-12 of one is none. lay_mm: axial length of one turn, above 2 d.
    evenness in [0, 1]: 1 both legs alike, 0 the tag spirals round a straight leg.
    length_mm: length of the twist where the recipe states one, else None."""

    TABLE = "twist"

    turns: float
    lay_mm: float
    evenness: float
    hand: Literal["right", "left"]
    length_mm: float | None

    def __post_init__(self) -> None:
        super().__post_init__()
        self._round_to_none("turns")


@dataclass(frozen=True)
class Entry(Part):
    """radius_mm: bend radius of the wire's centre line at the throat; None is a tangent entry."""

    TABLE = "entry"

    radius_mm: float | None


@dataclass(frozen=True)
class Exit(Part):
    """style: "gradual", "bench", or "given" when leg or swing is stated. leg_mm: axial distance in
    which the standing leg comes onto the axis. swing_turns: rotation in which the tag goes from the
    twist's lay to the barrel's lead. peak_angle_rad: largest angle between tag and standing leg of an
    overbent exit. None: not stated."""

    TABLE = "exit"

    style: Literal["gradual", "bench", "given"]
    leg_mm: float | None
    swing_turns: float | None
    peak_angle_rad: float | None

    def __post_init__(self) -> None:
        check_exit(vars(self))


@dataclass(frozen=True)
class Barrel(Part):
    """wraps: touching wraps, 0 or more; less than 1e-12 of one is none. pitch_mm: axial length of one wrap; None is touching.
    hand: the "same" as the twist, or "opposite"."""

    TABLE = "barrel"

    wraps: float
    pitch_mm: float | None
    hand: Literal["same", "opposite"]

    def __post_init__(self) -> None:
        super().__post_init__()
        self._round_to_none("wraps")


@dataclass(frozen=True)
class Finish(Part):
    """Wire beyond the joint: stub_mm left after breaking off, handle_mm held while winding and then
    broken off, standing_mm of the standing leg that is to be cut with the joint."""

    TABLE = "finish"

    stub_mm: float
    handle_mm: float
    standing_mm: float


@dataclass(frozen=True)
class Tolerance(Part):
    """Plus or minus each, for the interval of the wire to cut. ramp_share: of the joint's own wire, for
    the choice of ramps between sections."""

    TABLE = "tolerance"

    lay_mm: float
    pin_mm: float
    wrap_gap_mm: float
    swing_turns: float
    turns: float
    wraps: float
    stub_mm: float
    handle_mm: float
    ramp_share: float


@dataclass(frozen=True)
class Recipe:
    """One joint as its maker states it. units: the system that people are shown. notes: remarks from
    reading, one sentence each, none of them a fault. place: the file it was read from, for messages.

    Raises ValidationError with every value that is out of its range or goes with no other; its subclass
    InfeasibleJointError where all that is wrong is a shape that cannot exist."""

    title: str
    wire: Wire
    eye: Eye
    twist: Twist
    entry: Entry
    exit: Exit
    barrel: Barrel
    finish: Finish
    tolerance: Tolerance
    units: UnitSystem
    notes: tuple[Finding, ...]
    place: str = field(default="recipe", compare=False)
    derived: bool = field(default=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        if not self.derived:
            check_recipe(vars(self))

    def variant(self, **parts: Any) -> Recipe:
        """This recipe with other parts, for a study that asks what if: how they go together is not asked again."""
        return replace(self, derived=True, **parts)

    def to_dict(self) -> dict[str, Any]:
        """The recipe as plain dicts for JSON, as `recipe_to_dict` tells."""
        wire: dict[str, Any] = {}
        for name, value in {**vars(self.wire), "breaking_load_n": self.wire.breaking_load_n}.items():
            if isinstance(value, tuple):
                stem, unit = name.rsplit("_", 1)
                wire |= zip((f"{stem}_low_{unit}", name, f"{stem}_high_{unit}"), value, strict=True)
            else:
                wire[name] = value
        record: dict[str, Any] = {"title": self.title, "units": self.units, "wire": wire}
        for table in TABLES:
            if table != "wire":
                record[table] = dict(_in_degrees(name, value) for name, value in vars(getattr(self, table)).items())
        return record | {"notes": [{"code": note.code, "text": note["text"]} for note in self.notes]}


def _in_degrees(name: str, value: Any) -> tuple[str, Any]:
    stem = name.removesuffix("_rad")
    return (name, value) if stem == name else (f"{stem}_deg", None if value is None else value / RAD_PER_DEG)
