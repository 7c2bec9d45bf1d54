"""Recipes for the tests of holding: one text with holes in it."""

from __future__ import annotations

from helix.model.recipe.recipe import Recipe, recipe_from_text


def joint(
    size: str = 'size = "MWG 14"',
    *,
    material: str = 'material = "302 stainless"',
    turns: float = 5,
    wraps: float = 5,
    pin: str = "8 d",
    twist: str = "",
    barrel: str = "",
    more: str = "",
) -> Recipe:
    """A recipe with 5 turns and 5 wraps at a lay of 4 d in MWG 14, unless told otherwise."""
    return recipe_from_text(
        f'[wire]\n{size}\n{material}\n[eye]\npin = "{pin}"\n[twist]\nturns = {turns}\n{twist}\n'
        f"[barrel]\nwraps = {wraps}\n{barrel}\n{more}\n"
    )


def own(d_mm: float, strength_mpa: float, **rest: object) -> Recipe:
    """The same in a wire of one's own."""
    wire = (
        f'[wire.own]\nstrength_low = "{0.95 * strength_mpa:.9g} MPa"\nstrength = "{strength_mpa:.9g} MPa"\n'
        f'strength_high = "{1.05 * strength_mpa:.9g} MPa"\nmodulus = "190 GPa"\ndensity = "7.9 g/cm3"'
    )
    return joint(f'diameter = "{d_mm:.9g} mm"', material=wire, **rest)
