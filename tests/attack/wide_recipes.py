"""Recipes over the whole accepted range: each key at its ends, near its default or anywhere between, or left out.

The ranges are those of the recipe's own tables of keys, so a new key or a wider range is drawn from at once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from hypothesis import strategies as st

from helix.model.files.file_keys import Key
from helix.model.recipe.recipe_keys import TABLES
from tests.tools.strategies import wires

Drawn = st.DrawFn

_LEFT_OUT = {"tolerance": 0.9, "exit.peak_angle": 0.85, "eye.throat": 0.7, "entry": 0.7}
"""Share of recipes that leave a key out, or the keys of a table; other keys half of them. Else nearly every joint is refused."""


@st.composite
def wide_recipes(draw: Drawn) -> str:
    """A recipe whose every value is inside its range; the joint itself may be impossible."""
    wire, d_mm = draw(wires())
    parts = [wire]
    for table, keys in TABLES.items():
        if table == "wire":
            continue
        lines = [
            f"{key.name} = {draw(_values(key, d_mm))}"
            for key in _together(draw, table, keys)
            if key.needed or draw(st.floats(0.0, 1.0)) > _LEFT_OUT.get(f"{table}.{key.name}", _LEFT_OUT.get(table, 0.5))
        ]
        if lines:
            parts.append("\n".join([f"[{table}]", *lines]))
    top = draw(st.sampled_from(["", 'units = "inch"', 'title = "nan inf"']))
    return "\n\n".join([top, *parts]) + "\n"


def _together(draw: Drawn, table: str, keys: Sequence[Key]) -> list[Key]:
    """Keys that may stand beside each other: one way to count the twist and one to state its lay."""
    if table == "twist":
        without = {draw(st.sampled_from(["turns", "crossings"]))}
        without |= {"lay_length", "lay_angle", "length"} - {
            draw(st.sampled_from(["lay_length"] * 4 + ["lay_angle", "length"]))
        }
        return [key for key in keys if key.name not in without]
    if table == "exit":
        styled = draw(st.booleans())
        return [key for key in keys if key.name == "peak_angle" or (key.name == "style") == styled]
    return list(keys)


@st.composite
def _values(draw: Drawn, key: Key, d_mm: float) -> str:
    """The text of a value that the key accepts."""
    if key.choices:
        return f'"{draw(st.sampled_from(sorted(key.choices)))}"'
    if key.word and draw(st.booleans()):
        return f'"{key.word}"'
    limits = key.limits
    assert limits is not None, key
    usual = key.usual(d_mm)
    size = key.size(d_mm)
    low = limits.low if not limits.low_open else limits.low + 1e-6 * (limits.high - limits.low)
    high = limits.high if not limits.high_open else limits.high - 1e-6 * (limits.high - limits.low)
    ends = [low, high, *([usual / size] if isinstance(usual, float) else [])]
    bench = _of_the_page(key, d_mm, low, high)
    value = draw(
        st.one_of(
            *[st.floats(*bench)] * 5,
            st.sampled_from(ends),
            st.floats(low, high),
            st.floats(math.log(max(low, 1e-9)), math.log(high)).map(lambda power: min(max(math.exp(power), low), high)),
        )
    )
    if key.kind in ("count", "share"):
        return f"{value:.6g}"
    return f'"{value:.9g} {limits.unit}"'


def _of_the_page(key: Key, d_mm: float, low: float, high: float) -> tuple[float, float]:
    """The range of the page's slider, in the unit of the key's limits: what benches have."""
    scale = key.page.get("metric")
    if scale is None:
        return low, high
    unit = key.limits.unit if key.limits else ""
    size = {("mm", "d"): 1.0 / d_mm, ("d", "mm"): d_mm}.get((scale.unit, unit), 1.0)
    return max(scale.low * size, low), min(scale.high * size, high)
