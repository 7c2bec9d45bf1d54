"""Hypothesis strategies that make whole recipes, as the TOML text that a person might write.

Every text reads without a fault. The joints are good ones and faulty ones that exist: even and uneven,
both hands, any exit, any pitch, loose, over-twisted, over-bent. Lengths come in several units, counts as
turns or as crossings, the lay in any of the ways that a recipe can state it.
"""

from __future__ import annotations

import math

from hypothesis import strategies as st

from helix.data.materials import materials, strength_mpa
from helix.data.wire_sizes import SIZE_TOLERANCE, wire_sizes

__all__ = ["lengths", "recipe_texts", "wires"]

Drawn = st.DrawFn


@st.composite
def lengths(draw: Drawn, low_d: float, high_d: float, d_mm: float) -> str:
    """The text of a length between low_d and high_d wire diameters, in any unit."""
    count = draw(st.floats(low_d, high_d))
    unit, size_mm = draw(
        st.sampled_from([("d", d_mm), ("mm", 1.0), ("cm", 10.0), ("um", 1e-3), ("in", 25.4), ("thou", 0.0254)])
    )
    return f"{count * d_mm / size_mm:.9g} {unit}"


@st.composite
def angles(draw: Drawn, low_deg: float, high_deg: float) -> str:
    """The text of an angle between low_deg and high_deg."""
    degrees = draw(st.floats(low_deg, high_deg))
    return draw(st.sampled_from([f"{degrees:.9g} deg", f"{math.radians(degrees):.9g} rad"]))


@st.composite
def wires(draw: Drawn) -> tuple[str, float]:
    """The text of a [wire] table, and the wire's diameter in mm."""
    size = draw(st.sampled_from([*wire_sizes("MWG"), *wire_sizes("AWG")[17:31]]))
    lines = []
    way = draw(st.sampled_from(["size", "diameter", "both"]))
    d_mm = size.diameter_mm
    if way != "size":
        off = draw(st.floats(-0.9, 0.9)) * SIZE_TOLERANCE
        text = f"{d_mm * (1.0 + off):.6f}"
        d_mm = float(text)
        lines.append(f'diameter = "{text} mm"')
    if way != "diameter":
        lines.append(f'size = "{size.name}"')
    fitting = [material.name for material in materials() if _covers(material.name, d_mm)]
    material = draw(st.sampled_from([*fitting, "own"]))
    if material != "own":
        lines.append(f'material = "{material}"')
    if draw(st.booleans()):
        lines.append(f'rated_load = "{draw(st.integers(1, 400))} {draw(st.sampled_from(["N", "lbf", "kgf"]))}"')
    lines = ["[wire]", *draw(st.permutations(lines))]
    if material == "own":
        strength = draw(st.floats(600.0, 2600.0))
        lines += [
            "[wire.own]",
            f'strength = "{strength:.6f} MPa"',
            f'strength_low = "{0.95 * strength / 1000.0:.6f} GPa"',
            f'strength_high = "{1.05 * strength / 6.894757:.6f} ksi"',
            f'modulus = "{draw(st.integers(70, 220))} GPa"',
            f'density = "{draw(st.floats(2.0, 9.0)):.3f} g/cm3"',
        ]
    return "\n".join(lines), d_mm


def _covers(material: str, d_mm: float) -> bool:
    try:
        strength_mpa(material, d_mm)
    except ValueError:
        return False
    return True


@st.composite
def twists(draw: Drawn, d_mm: float, least_turns: float) -> str:
    """The text of a [twist] table: 0 to 12 turns at a lay of 2.1 to 12 d, in any of the ways to say so."""
    turns = draw(
        st.one_of(
            st.integers(0, 12).map(float),
            st.integers(0, 24).map(lambda halves: halves / 2.0),
            st.floats(0.25, 12.0).map(lambda number: round(number, 4)),
        ).filter(lambda number: number >= least_turns)
    )
    lay_d = draw(st.one_of(st.sampled_from([3.5, 4.0, 5.0]), st.floats(2.1, 12.0)))
    lay_text = f'lay_length = "{lay_d:.9g} d"'
    angle_text = f'lay_angle = "{math.degrees(math.atan(math.pi / lay_d)):.9f} deg"'
    length_text = f'length = "{turns * lay_d * d_mm:.9f} mm"'
    ways = [[lay_text]]
    if lay_d >= math.pi:
        ways += [[angle_text], [lay_text, angle_text]]
    if turns > 0.0:
        ways += [[length_text], [lay_text, length_text]]
    lines = draw(st.sampled_from(ways)).copy()
    lines.append(draw(st.sampled_from([f"turns = {turns:g}", f"crossings = {2.0 * turns:g}"])))
    if draw(st.booleans()):
        evenness = draw(st.one_of(st.sampled_from([0, 0.5, 1]), st.floats(0.0, 1.0).map(lambda e: round(e, 3))))
        lines.append(f"evenness = {evenness}")
    if draw(st.booleans()):
        lines.append(f'hand = "{draw(st.sampled_from(["right", "left"]))}"')
    return "\n".join(["[twist]", *draw(st.permutations(lines))])


@st.composite
def exits(draw: Drawn, d_mm: float) -> str:
    """The text of an [exit] table, of any style."""
    kind = draw(st.sampled_from(["gradual", "gradual", "bench", "leg", "swing", "both"]))
    lines = []
    if kind in ("gradual", "bench"):
        lines.append(f'style = "{kind}"')
    if kind in ("leg", "both"):
        lines.append(f'leg = "{draw(lengths(0.5, 8.0, d_mm))}"')
    if kind in ("swing", "both"):
        lines.append(f"swing = {draw(st.floats(0.05, 3.0)):.4f}")
    if draw(st.integers(0, 3)) == 0:
        lines.append(f'peak_angle = "{draw(angles(83.0, 130.0))}"')
    return "\n".join(["[exit]", *lines])


@st.composite
def recipe_texts(draw: Drawn) -> str:
    """A whole recipe: it reads without a fault, and describes a joint that may well have one."""
    wire, d_mm = draw(wires())
    wraps = draw(st.one_of(st.integers(0, 10).map(float), st.floats(0.5, 10.0).map(lambda w: round(w, 2))))
    # a pin of 3 to 20 d, as text whose third of a digit does not matter
    eye = ["[eye]", f'pin = "{draw(lengths(3.0, 20.0, d_mm))}"']
    eye += draw(st.sampled_from([[], ['throat = "tangent"'], [f'throat = "{draw(angles(20.0, 120.0))}"']]))
    barrel = ["[barrel]", f"wraps = {wraps:g}"]
    pitch = draw(st.sampled_from(["", "touching", "touching", "other"]))
    if pitch:
        shown = draw(lengths(0.9, 2.0, d_mm)) if pitch == "other" else pitch
        barrel.append(f'pitch = "{shown}"')
    barrel += draw(st.sampled_from([[], ['hand = "same"'], ['hand = "opposite"']]))
    parts = ["\n".join(eye), draw(twists(d_mm, 0.0 if wraps else 0.25)), draw(exits(d_mm)), "\n".join(barrel)]
    if draw(st.booleans()):
        radius = draw(st.one_of(st.just("tangent"), lengths(0.55, 4.0, d_mm)))
        parts.append(f'[entry]\nradius = "{radius}"')
    if draw(st.booleans()):
        parts.append(
            f'[finish]\nstub = "{draw(lengths(0.0, 3.0, d_mm))}"\n'
            f'handle = "{draw(lengths(0.0, 100.0, d_mm))}"\n'
            f'standing = "{draw(lengths(2.0, 300.0, d_mm))}"'
        )
    top = draw(st.sampled_from(["", 'title = "Drawn by a test"', 'units = "inch"']))
    return "\n\n".join([top, *draw(st.permutations([wire, *parts]))]) + "\n"
