"""The joint: a recipe's whole wire as one curve with section labels, in millimetres."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor, log10

import numpy as np

from helix.errors import InfeasibleJointError, IssuePath
from helix.geometry.joint.exit_choice import Planned
from helix.geometry.joint.eye import EyeCannotClose
from helix.geometry.maths.jets import Array
from helix.geometry.wire.distance import SKIP, Nearest, nearest
from helix.model.joint.joint_curves import Layout, Sizes, lay_out, plan_of, sizes_of
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe_parts import Recipe
from helix.values import Values

_CORE_BEYOND = 4.0  # standing leg kept beyond the last wrap when looking for the least gap [d]
_TIE = 1e-9  # gaps closer than this are the same gap [d]
_BETWEEN_WIRES = 10.0  # arc length left between two wires that are counted on [d]
_WHOLE = 3  # turns and wraps kept when looking for the least gap (screw symmetry covers the rest)


@dataclass(frozen=True)
class CentreLine:
    """Samples of the wire's centre line from the standing end to the stub's tip.

    s_mm (n,) arc length; points_mm (n, 3); tangents (n, 3) unit; curvature_vectors_per_mm (n, 3) and
    their lengths curvature_per_mm (n,); section (n,) index into SECTIONS. A join appears once, with
    the later section's label.
    """

    s_mm: Array
    points_mm: Array
    tangents: Array
    curvature_per_mm: Array
    curvature_vectors_per_mm: Array
    section: np.ndarray


@dataclass(frozen=True)
class Joint:
    """One joint: its recipe and its shape. ``layout`` is in wire diameters, all else in mm."""

    recipe: Recipe
    layout: Layout

    @property
    def diameter_mm(self) -> float:
        """The wire's diameter."""
        return self.recipe.wire.diameter_mm

    @property
    def section_names(self) -> tuple[str, ...]:
        """Section names in the order of the wire."""
        return SECTIONS

    @property
    def wire_mm(self) -> float:
        """Length of the whole wire, handle not included."""
        return self.layout.path.length * self.diameter_mm

    @property
    def own_d(self) -> float:
        """Length of the wire but for the standing leg, in wire diameters."""
        return self.layout.path.length - self.layout.path.section_length("standing")

    @property
    def axial_d(self) -> dict[str, float]:
        """Heights along the joint axis [d]: throat, exit (twist's end), on_axis (the leg), barrel, top."""
        layout = self.layout
        return {
            "throat": 0.0,
            "exit": layout.twist_end.z,
            "on_axis": layout.exits.run_in_z,
            "barrel": layout.exits.z_end,
            "top": layout.exits.z_end + layout.sizes.wraps * layout.sizes.pitch,
        }

    @property
    def axial(self) -> dict[str, float]:
        """The same heights in mm."""
        return {name: z * self.diameter_mm for name, z in self.axial_d.items()}

    @property
    def wires(self) -> tuple[Joint, ...]:
        """The joint as seen along each of its wires: the same joint with that wire first."""
        wires = len(self.layout.paths)
        return (self,) if wires == 1 else tuple(Joint(self.recipe, self.layout.of_wire(k)) for k in range(wires))

    @property
    def wire_starts_d(self) -> tuple[float, ...]:
        """Arc length at which each wire starts where all are counted on, one after the other [d]."""
        lengths = [path.length for path in self.layout.paths]
        return tuple(float(sum(lengths[:k]) + k * _BETWEEN_WIRES) for k in range(len(lengths)))

    @property
    def middle_d(self) -> float:
        """Arc length of the middle of the eye, from the standing end [d]."""
        path = self.layout.path
        eye = [k for k, piece in enumerate(path.pieces) if piece.section == "eye"]
        return float(path.starts[eye[0]] + path.starts[eye[-1] + 1]) / 2.0

    def section_mm(self, name: str) -> float:
        """Length of wire in a section."""
        return self.layout.path.section_length(name) * self.diameter_mm

    def sample(self, step_d: float = 0.02, straight_step_d: float | None = None) -> CentreLine:
        """Sample the centre line along the wire.

        Parameters
        ----------
        step_d : float, optional
            Largest distance of samples, wire diameters, above 0.
        straight_step_d : float, optional
            The same on straight parts.

        Returns
        -------
        CentreLine
            Points in mm, (n, 3), with tangents, curvatures and sections.

        Raises
        ------
        ValueError
            For a step of 0 or less.
        """
        if not step_d > 0.0:
            raise ValueError(f"step_d must be above 0; got {step_d}")
        d = self.diameter_mm
        samples = self.layout.path.sample(step_d, straight_step_d)
        names = [SECTIONS.index(p.section) for p in self.layout.path.pieces]
        return CentreLine(
            s_mm=samples.s * d,
            points_mm=samples.points * d,
            tangents=samples.tangents,
            curvature_per_mm=np.linalg.norm(samples.curvature, axis=1) / d,
            curvature_vectors_per_mm=samples.curvature / d,
            section=np.array(names)[samples.piece],
        )


def build_joint(recipe: Recipe, checked: bool = True) -> Joint:
    """Build the joint of a recipe.

    Parameters
    ----------
    recipe : Recipe
        What is to be made.
    checked : bool, optional
        False: a draft, whose exit may overlap a little.

    Returns
    -------
    Joint
        Its shape in wire diameters and mm.

    Raises
    ------
    InfeasibleJointError
        Where it cannot exist: an eye that does not close (with the least pin that works), legs that cannot be twisted so.

    Examples
    --------
    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> joint = build_joint(recipe_from_text(text))
    >>> round(joint.section_mm("twist_tag"), 4)
    18.7325
    """
    sizes = checked_sizes(recipe)
    planned = plan_of(recipe, sizes, checked)
    return Joint(recipe, _laid_out(recipe, sizes, planned))


def rebuilt(joint: Joint, recipe: Recipe, planned: Planned | None = None) -> Joint:
    """The joint of a changed recipe with the exit's choices kept (or ``planned``)."""
    sizes = checked_sizes(recipe)
    return Joint(recipe, _laid_out(recipe, sizes, planned or joint.layout.planned))


def shortened(joint: Joint) -> Layout:
    """The same joint with at most three whole turns and wraps, for looking at gaps and bends.

    The even twist and the barrel repeat themselves along the axis: by screw symmetry every pair of
    places in them, and of them with their neighbours, also occurs here (docs/theory/clearance.md). The
    standing leg is cut off a little beyond the last wrap. Pieces correspond one to one.
    """
    sizes = joint.layout.sizes
    whole = [len(path.pieces) for path in joint.layout.paths]
    beyond = min(sizes.standing, _CORE_BEYOND)
    for keep in (_WHOLE, 6 * _WHOLE, 36 * _WHOLE):  # a tag bent far back has more wraps beside its own exit
        turns, wraps = _shortened(sizes.turns, _WHOLE), _shortened(sizes.wraps, keep)
        short = replace(sizes, turns=turns, wraps=wraps, standing=beyond)
        layout = joint.layout if short == sizes else lay_out(short, joint.layout.planned)
        if [len(path.pieces) for path in layout.paths] == whole:
            return layout
    return joint.layout


def least_gap(layout: Layout) -> tuple[Nearest, tuple[str, str]]:
    """The least gap between any two parts [d] and the names of their sections.

    Where several pairs tie within 1e-9 (as touching parts do) the legs of the twist are named, else a part with
    itself (wrap on wrap), else the first in the wire's order.
    """
    nearest_pair = nearest(layout.paths, skip=SKIP)
    names = [p.section for path in layout.paths for p in path.pieces]
    tied = [pair for pair, gap in nearest_pair.gaps.items() if gap <= nearest_pair.gap + _TIE]
    legs = [p for p in tied if (names[p[0]], names[p[1]]) == ("twist_standing", "twist_tag")]
    same = [p for p in tied if names[p[0]] == names[p[1]]]
    first = min(legs or same or tied, default=nearest_pair.pieces)
    return nearest_pair, (names[first[0]], names[first[1]])


def _shortened(count: float, keep: int) -> float:
    return count if count <= keep + 1 else keep + count % 1.0


def checked_sizes(recipe: Recipe) -> Sizes:
    """A recipe's sizes in wire diameters; raises InfeasibleJointError where its legs cannot be twisted so."""
    turns = IssuePath(file=recipe.place, table=("twist",), key="turns")
    if recipe.twist.turns == 0.0 and recipe.barrel.wraps == 0.0:
        raise InfeasibleJointError.at(turns, code="no-joint")
    try:
        return sizes_of(recipe)
    except ValueError as problem:
        lay = replace(turns, key="lay_length")
        raise InfeasibleJointError.at(lay, str(problem), code="cannot-exist") from problem


def _rounded_up(value: float) -> float:
    """To three digits, never down: a limit as it is printed must work."""
    digits = 2 - floor(log10(value))
    return float(round(ceil(value * 10.0**digits - 1e-9) / 10.0**digits, max(digits, 0)))


def _laid_out(recipe: Recipe, sizes: Sizes, planned: Planned) -> Layout:
    try:
        return lay_out(sizes, planned)
    except EyeCannotClose as problem:
        d = recipe.wire.diameter_mm
        between = float(np.rad2deg(sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle))
        why = " (they leave at the twist's own angle)" if recipe.eye.throat_rad is None else ""
        least_mm, hint = None, "no pin works at that angle; make the throat narrower"
        if problem.least_pin is not None:
            least_mm, least_d = _rounded_up(problem.least_pin * d), _rounded_up(problem.least_pin)
            hint = f"the least pin that works is {least_mm:g} mm ({least_d:g} d)"
        pin = f"{recipe.eye.pin_mm:.4g} mm"
        values = Values(pin=pin, between_deg=between, why=why, hint=hint, least_pin_mm=least_mm)
        place = IssuePath(file=recipe.place, table=("eye",), key="pin")
        raise InfeasibleJointError.at(place, code="eye-cannot-close", values=values) from problem
