"""Random pairs of a joint and the same one with a thing made worse, or the same estimate with one taken less favourably.

What is worse is what hands do wrong: steeper, shorter, wider, fewer, less even, looser, open, the other way round; and of
the wire, less ductile and less friction. Each pair differs in one thing only.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from helix.errors import HelixError
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe

SIZES = ("MWG 6", "MWG 10", "MWG 12", "MWG 14")
LAY_D = 4.0  # the usual lay: a looser one is worse, a tighter one is another fault


@dataclass(frozen=True)
class Pair:
    """What was made worse; both recipes; what differs in how they are estimated."""

    name: str
    worse: Recipe
    better: Recipe
    worse_setting: dict[str, Any] = field(default_factory=dict)
    better_setting: dict[str, Any] = field(default_factory=dict)


def random_recipe(chance: np.random.Generator) -> Recipe:
    """A joint that the models may speak of, with up to three faults."""
    d = f'size = "{chance.choice(SIZES)}"\nmaterial = "302 stainless"'
    turns = chance.choice([round(chance.uniform(1.0, 9.0), 2), float(chance.integers(2, 9))])
    lay = chance.choice([4.0, round(chance.uniform(3.2, 7.0), 3)])
    wraps = chance.choice([round(chance.uniform(1.0, 9.0), 2), float(chance.integers(1, 9))])
    text = [f'[wire]\n{d}\n[eye]\npin = "{chance.uniform(3.0, 16.0):.3f} d"']
    if chance.random() < 0.4:
        text.append(f'throat = "{chance.uniform(60.0, 112.0):.2f} deg"')
        if chance.random() < 0.2:
            text.append('throat_made = "spread"')
    text.append(f'[twist]\nturns = {turns}\nlay_length = "{lay} d"')
    if chance.random() < 0.2:
        text.append(f"evenness = {chance.uniform(0.45, 1.0):.3f}")
    text.append(f"[barrel]\nwraps = {wraps}")
    if chance.random() < 0.2:
        text.append(f'pitch = "{chance.uniform(1.013, 1.05):.4f} d"')
    kind = chance.choice(["", "leg", "swing", "both", "peak"], p=[0.4, 0.15, 0.15, 0.2, 0.1])
    lines = ["[exit]"]
    if kind in ("leg", "both"):
        lines.append(f'leg = "{chance.uniform(1.0, 8.0):.3f} d"')
    if kind in ("swing", "both"):
        lines.append(f"swing = {10.0 ** chance.uniform(-3.0, 0.3):.4f}")
    if kind == "peak":
        lines.append(f'peak_angle = "{chance.uniform(83.0, 110.0):.2f} deg"')
    if chance.random() < 0.2:
        lines.append(f'[entry]\nradius = "{chance.uniform(0.6, 3.0):.3f} d"')
    return recipe_from_text("\n".join([*text, *lines]) + "\n")


def pairs(seed: int) -> Iterator[Pair]:
    """Pairs without end, a dozen of each random joint."""
    chance = np.random.default_rng(seed)
    while True:
        try:
            recipe = random_recipe(chance)
            worsened = list(_worsened(recipe, chance))
        except HelixError:
            continue
        for name, better, worse in worsened:
            yield Pair(name, worse, better)
        ductile = float(chance.uniform(0.3, 0.7))
        yield Pair("less ductile", recipe, recipe, {"ductility": ductile - 0.1}, {"ductility": ductile})
        grips = {key: float(chance.uniform(0.03, 0.12)) for key in "LER"}
        less = {key: 0.9 * number for key, number in grips.items()}
        yield Pair("less friction", recipe, recipe, {"friction": less}, {"friction": grips})


def _worsened(recipe: Recipe, chance: np.random.Generator) -> Iterator[tuple[str, Recipe, Recipe]]:
    """Names, the better and the worse of two."""
    d, twist, barrel, out, sizes = (
        recipe.wire.diameter_mm,
        recipe.twist,
        recipe.barrel,
        recipe.exit,
        checked_sizes(recipe),
    )

    def with_twist(**changes: Any) -> Recipe:
        return recipe.variant(twist=replace(twist, **{"length_mm": None, **changes}))

    def with_exit(**changes: Any) -> Recipe:
        return recipe.variant(exit=replace(out, **changes))

    yield "fewer turns", recipe, with_twist(turns=max(twist.turns - float(chance.choice([0.3, 1.0, 2.0])), 0.25))
    fewer = max(barrel.wraps - float(chance.choice([0.5, 1.0, 3.0])), 0.0)
    yield "fewer wraps", recipe, recipe.variant(barrel=replace(barrel, wraps=fewer))
    yield "less even", recipe, with_twist(evenness=twist.evenness * float(chance.uniform(0.4, 0.98)))
    lay_mm = max(sizes.lay, LAY_D) * d
    yield "looser lay", with_twist(lay_mm=lay_mm), with_twist(lay_mm=lay_mm * chance.uniform(1.02, 1.6))
    yield (
        "wider pitch",
        recipe,
        recipe.variant(barrel=replace(barrel, pitch_mm=(sizes.pitch + chance.uniform(0.005, 1.0)) * d)),
    )
    yield "opposite barrel", recipe, recipe.variant(barrel=replace(barrel, hand="opposite"))
    tangent = 2.0 * math.atan(math.pi / sizes.lay)
    throat = max(recipe.eye.throat_rad or 0.0, tangent) + math.radians(chance.uniform(1.0, 30.0))
    yield "steeper first bend", recipe, recipe.variant(eye=replace(recipe.eye, throat_rad=throat))
    if out.leg_mm is not None:
        yield "shorter exit", recipe, with_exit(leg_mm=out.leg_mm * chance.uniform(0.4, 0.95))
    if out.swing_turns is not None:
        yield "shorter swing", recipe, with_exit(swing_turns=out.swing_turns * chance.uniform(0.1, 0.9))
    peak = max(out.peak_angle_rad or 0.0, math.radians(88.0))
    yield "steeper exit", recipe, with_exit(peak_angle_rad=peak + math.radians(chance.uniform(2.0, 40.0)))
    if recipe.entry.radius_mm is not None:
        tighter = recipe.entry.radius_mm * chance.uniform(0.6, 0.95)
        yield "sharper entry", recipe, recipe.variant(entry=replace(recipe.entry, radius_mm=tighter))
