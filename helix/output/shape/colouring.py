"""Colours along the wire, and the legend that says what they mean; told apart by colour-blind readers.

The hues are Okabe and Ito's palette [pub] where a colour is a word, and one that rises evenly in
lightness where it is a number, so that a grey copy still reads in the right order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from helix.findings import Severity
from helix.mechanics import limits
from helix.model.joint.section_names import SECTIONS

Floats = NDArray[np.float64]
ColourBy = Literal["verdict", "strain", "section", "plain"]
COLOUR_BY: tuple[ColourBy, ...] = ("verdict", "strain", "section", "plain")

METAL = "#c9ced3"
OVERLAP = "#cc79a7"
SEVERITY_COLOURS = {Severity.CAUTION: "#e69f00", Severity.SHARP: "#d55e00", Severity.FAULT: "#d55e00"}
SECTION_COLOURS = {
    "standing": "#b9bec4", "barrel_core": "#8d949c", "exit_standing": "#d55e00", "twist_standing": "#0072b2",
    "entry_standing": "#009e73", "eye": "#f0e442", "entry_tag": "#86d4bd", "twist_tag": "#7cc4f2",
    "exit_tag": "#f2a56b", "barrel": "#8a6d3b", "stub": "#3b3f45",
}  # fmt: skip
_SECTION_WORDS = (
    ("eye", ("eye",)), ("entry", ("entry_standing", "entry_tag")), ("twist", ("twist_standing", "twist_tag")),
    ("exit", ("exit_standing", "exit_tag")), ("barrel", ("barrel",)), ("stub", ("stub",)),
    ("standing leg", ("standing", "barrel_core")),
)  # fmt: skip
# dark blue to pale yellow, lightness rising evenly
_RAMP = ("#33459a", "#4a68ad", "#6a8fb6", "#93aea6", "#c7c285", "#f1d95f", "#fff2a8")


@dataclass(frozen=True)
class LegendEntry:
    """A word with its colour or its two (standing leg and tag)."""

    text: str
    colours: tuple[str, ...]


@dataclass(frozen=True)
class Legend:
    """What the colours mean: words, or a scale from low to high with ticks ((value, label), ...)."""

    title: str
    entries: tuple[LegendEntry, ...] = ()
    scale: tuple[float, float] | None = None
    ticks: tuple[tuple[float, str], ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Coloured:
    """Colours (n, 3), 0 to 1, of n places along the wire, and their legend."""

    rgb: Floats
    legend: Legend


def coloured(
    by: ColourBy,
    section: NDArray[np.integer],
    strain: Floats,
    severity: Mapping[str, Severity],
    overlapping: NDArray[np.bool_],
    *,
    metal: str = METAL,
    strain_top: float | None = None,
    names: Sequence[str] = SECTIONS,
) -> Coloured:
    """Colour places by their section (n,) index, strain (n,), or what is said about their section.

    Overlapping places (n,) have the colour of an overlap whatever the rest goes by. strain_top: upper end
    of the strain's scale (default: 1, or more where the strain is more).

    >>> there = coloured("plain", np.zeros(2, int), np.zeros(2), {}, np.array([False, True]))
    >>> [entry.text for entry in there.legend.entries]
    ['overlap']
    """
    plain = np.broadcast_to(rgb(metal), (len(section), 3))
    entries: list[LegendEntry] = []
    legend = Legend("")
    if by == "strain":
        known = strain[~overlapping]  # in another part it is a number without meaning
        top = max(strain_top or 1.0, strain_scale(known))
        colours = ramp(strain / top)
        ticks = [(v, f"{v:.2f}") for v in (0.0, limits.STRAIN_OK, limits.STRAIN_CAUTION, top)]
        most = float(known.max(initial=0.0))
        note = f"highest here {most:.2f}; over {limits.STRAIN_OK:.2f}: caution; over {limits.STRAIN_CAUTION:.2f}: sharp"
        legend = Legend("strain of the outer fibre", (), (0.0, top), tuple(ticks), note)
    elif by == "section":
        table = np.array([rgb(SECTION_COLOURS.get(name, metal)) for name in names])
        colours = table[section]
        there = {names[k] for k in np.unique(section)}
        for text, parts in _SECTION_WORDS:
            shown = tuple(SECTION_COLOURS[name] for name in parts if name in there)
            if shown:
                entries.append(LegendEntry(text, shown))
        legend = Legend("parts (darker: standing leg, lighter: tag)")
    elif by == "verdict":
        worst = [severity.get(name, Severity.OK) for name in names]
        table = np.array([rgb(SEVERITY_COLOURS.get(each, metal)) for each in worst])
        colours = table[section]
        found = {worst[k] for k in np.unique(section)}
        entries.append(LegendEntry("ok", (metal,)))
        entries += [LegendEntry(each.word, (colour,)) for each, colour in SEVERITY_COLOURS.items() if each in found]
        legend = Legend("verdict")
    else:
        colours = plain
    if np.any(overlapping):
        colours = np.where(overlapping[:, None], rgb(OVERLAP), colours)
        entries.append(LegendEntry("overlap", (OVERLAP,)))
    return Coloured(np.asarray(colours, dtype=float), _with(legend, tuple(entries)))


def strain_scale(strain: Floats) -> float:
    """Upper end of the scale for these strains: 1, or the next quarter above the largest.

    >>> strain_scale(np.array([0.3])), strain_scale(np.array([1.3]))
    (1.0, 1.5)
    """
    return float(max(1.0, np.ceil(4.0 * float(np.max(strain, initial=0.0)) - 1e-9) / 4.0))


def ramp(share: Floats) -> Floats:
    """Colours (n, 3) of shares (n,) from 0 to 1 of a scale; beyond its ends the end's colour."""
    stops = np.array([rgb(colour) for colour in _RAMP])
    at = np.linspace(0.0, 1.0, len(stops))
    return np.stack([np.interp(share, at, stops[:, k]) for k in range(3)], axis=-1)


def rgb(colour: str) -> Floats:
    """Red, green and blue, 0 to 1, of "#rrggbb".

    >>> rgb("#ff0000").tolist()
    [1.0, 0.0, 0.0]
    """
    return np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255.0


def hex_of(colour: Sequence[float] | Floats) -> str:
    """ "#rrggbb" of red, green and blue, 0 to 1.

    >>> hex_of((1.0, 0.0, 0.5))
    '#ff0080'
    """
    return "#" + "".join(f"{round(255 * float(min(max(c, 0.0), 1.0))):02x}" for c in colour)


def _with(legend: Legend, entries: tuple[LegendEntry, ...]) -> Legend:
    return Legend(legend.title, entries, legend.scale, legend.ticks, legend.note)
