"""A recipe as the text of its file: what reads back as the same recipe, to nine digits."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

from helix.model.joint.wire import Wire, wire_of
from helix.model.recipe.recipe_parts import Recipe


def recipe_file_text(recipe: Recipe, remarks: Sequence[str] = ()) -> str:
    """The recipe as TOML, every length in mm; `remarks` stand as comments at the head.

    Reads back as the same recipe, but for its notes and where its wire's numbers come from.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> recipe = recipe_from_text(text)
    >>> again = recipe_from_text(recipe_file_text(recipe))
    >>> again.twist == recipe.twist, again.wire.size
    (True, 'MWG 12')
    """
    twist, end, barrel = recipe.twist, recipe.exit, recipe.barrel
    finish, slack = recipe.finish, recipe.tolerance
    lines = [f"# {each}".rstrip() for remark in remarks for each in remark.splitlines() or [""]]
    lines += ["", f"title = {_quoted(recipe.title)}", f'units = "{recipe.units}"', "", *_wire(recipe.wire)]
    throat = "tangent" if recipe.eye.throat_rad is None else _deg(recipe.eye.throat_rad)
    lines += ["", "[eye]", f'pin = "{_mm(recipe.eye.pin_mm)}"', f'throat = "{throat}"']
    lines += [
        "",
        "[twist]",
        f"turns = {_number(twist.turns)}",
        f'lay_length = "{_mm(twist.lay_mm)}"',
        f"evenness = {_number(twist.evenness)}",
        f'hand = "{twist.hand}"',
    ]
    radius = "tangent" if recipe.entry.radius_mm is None else _mm(recipe.entry.radius_mm)
    lines += ["", "[entry]", f'radius = "{radius}"', "", "[exit]"]
    if end.style != "given":
        lines.append(f'style = "{end.style}"')
    if end.leg_mm is not None:
        lines.append(f'leg = "{_mm(end.leg_mm)}"')
    if end.swing_turns is not None:
        lines.append(f"swing = {_number(end.swing_turns)}")
    if end.peak_angle_rad is not None:
        lines.append(f'peak_angle = "{_deg(end.peak_angle_rad)}"')
    pitch = "touching" if barrel.pitch_mm is None else _mm(barrel.pitch_mm)
    lines += ["", "[barrel]", f"wraps = {_number(barrel.wraps)}", f'pitch = "{pitch}"', f'hand = "{barrel.hand}"']
    lines += [
        "",
        "[finish]",
        f'stub = "{_mm(finish.stub_mm)}"',
        f'handle = "{_mm(finish.handle_mm)}"',
        f'standing = "{_mm(finish.standing_mm)}"',
        "",
        "[tolerance]",
        f'lay = "{_mm(slack.lay_mm)}"',
        f'pin = "{_mm(slack.pin_mm)}"',
        f'wrap_gap = "{_mm(slack.wrap_gap_mm)}"',
        f"swing = {_number(slack.swing_turns)}",
        f"turns = {_number(slack.turns)}",
        f"wraps = {_number(slack.wraps)}",
        f'stub = "{_mm(slack.stub_mm)}"',
        f'handle = "{_mm(slack.handle_mm)}"',
        f"ramp_share = {_number(slack.ramp_share)}",
    ]
    return "\n".join(lines).lstrip("\n") + "\n"


def _wire(wire: Wire) -> list[str]:
    """The [wire] table: by its material where that gives the same numbers, else with its own."""
    lines = ["[wire]"]
    if wire.size is not None:
        lines.append(f'size = "{wire.size}"')
    if wire.size is None or not _is_nominal(wire):
        lines.append(f'diameter = "{_mm(wire.diameter_mm)}"')
    own = not _from_table(wire)
    if not own:
        lines.append(f"material = {_quoted(wire.material)}")
    if wire.rated_load_n is not None:
        lines.append(f'rated_load = "{wire.rated_load_n:.9g} N"')
    if own:
        low, nominal, high = wire.strength_mpa
        lines += [
            "",
            "[wire.own]",
            f"name = {_quoted(wire.material)}",
            f'strength_low = "{low:.9g} MPa"',
            f'strength = "{nominal:.9g} MPa"',
            f'strength_high = "{high:.9g} MPa"',
            f'modulus = "{wire.modulus_mpa:.9g} MPa"',
            f'density = "{wire.density_kg_m3:.9g} kg/m3"',
        ]
    return lines


def _is_nominal(wire: Wire) -> bool:
    from helix.data.wire_sizes import find_size

    return math.isclose(find_size(wire.size or "").diameter_mm, wire.diameter_mm, rel_tol=1e-9)


def _from_table(wire: Wire) -> bool:
    """Whether the tables give this wire's numbers for its material and diameter."""
    try:
        known = wire_of(wire.material, wire.diameter_mm)
    except ValueError:
        return False
    ours = (*wire.strength_mpa, wire.modulus_mpa, wire.density_kg_m3)
    theirs = (*known.strength_mpa, known.modulus_mpa, known.density_kg_m3)
    return wire.material == known.material and all(
        math.isclose(a, b, rel_tol=1e-9) for a, b in zip(ours, theirs, strict=True)
    )


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _mm(value: float) -> str:
    return f"{_number(value)} mm"


def _deg(rad: float) -> str:
    return f"{_number(math.degrees(rad))} deg"


def _number(value: float) -> str:
    """Nine digits, and no more than it takes."""
    return f"{value:.9g}"
