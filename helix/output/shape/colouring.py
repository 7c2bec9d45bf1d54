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
from helix.output.words.sentence_format import ASSUMED, TESTED

Floats = NDArray[np.float64]
ColourBy = Literal["verdict", "strain", "section", "plain"]
COLOUR_BY: tuple[ColourBy, ...] = ("verdict", "strain", "section", "plain")

METAL = "#c9ced3"
OVERLAP = "#cc79a7"
SEVERITY_COLOURS = {Severity.CAUTION: "#e69f00", Severity.SHARP: "#d55e00", Severity.FAULT: "#d55e00"}
SECTION_COLOURS = {
    "standing": "#b9bec4", "barrel_core": "#8d949c", "exit_standing": "#6a51a3", "twist_standing": "#0072b2",
    "entry_standing": "#1b7f6b", "eye": "#f0e442", "entry_tag": "#86d4bd", "twist_tag": "#7cc4f2",
    "exit_tag": "#bcaede", "barrel": "#8a6d3b", "stub": "#3b3f45",
}  # fmt: skip
_SECTION_WORDS = (
    ("eye", ("eye",)), ("entry", ("entry_standing", "entry_tag")), ("twist", ("twist_standing", "twist_tag")),
    ("exit", ("exit_standing", "exit_tag")), ("barrel", ("barrel",)), ("stub", ("stub",)),
    ("standing leg", ("standing", "barrel_core")),
)  # fmt: skip
"""Never a colour of a verdict."""
TAG_TONE = 0.66
"""The tag is that much darker than the standing leg, so that one can follow which is which."""
_MARKED_TONE = 0.72  # the same of the tag where both legs are at fault
_LEGS = ("entry_standing", "entry_tag", "twist_standing", "twist_tag", "exit_standing", "exit_tag")
_FADE_D = 1.0  # over that length the colour of a fault fades into the wire beside it, and the two tones into each other
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
    s_d: Floats | None = None,
    metal: str = METAL,
    strain_top: float | None = None,
    names: Sequence[str] = SECTIONS,
) -> Coloured:
    """Colour places by their section (n,) index, strain (n,), or what is said about their section.

    The bare wire has two tones, the tag the darker; the colour of a fault marks its section and fades out beside it.
    Overlapping places (n,) have the colour of an overlap whatever the rest goes by. s_d: arc lengths (n,) of the
    places [d], without which the eye is not divided and nothing fades. strain_top: upper end of the strain's scale
    (default: 1, or more where the strain is more).

    >>> there = coloured("plain", np.zeros(2, int), np.zeros(2), {}, np.array([False, True]))
    >>> [entry.text for entry in there.legend.entries]
    ['standing leg', 'tag', 'overlap']
    """
    plain = rgb(metal) * (1.0 - (1.0 - TAG_TONE) * tag_proportion(section, names, s_d))[:, None]
    tones = [LegendEntry("standing leg", (metal,)), LegendEntry("tag", (tag_tone(metal),))]
    entries: list[LegendEntry] = []
    legend = Legend("")
    if by == "strain":
        known = strain[~overlapping]  # in another part it is a number without meaning
        top = max(strain_top or 1.0, strain_scale(known))
        colours = ramp(strain / top)
        ticks = [(v, f"{v:.2f}") for v in (0.0, limits.STRAIN_OK, limits.STRAIN_CAUTION, top)]
        most = float(known.max(initial=0.0))
        note = f"highest here {most:.2f}; over {limits.STRAIN_OK:.2f} ({TESTED}): caution; over {limits.STRAIN_CAUTION:.2f} ({ASSUMED}): sharp"
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
        colours = plain
        for level, colour in SEVERITY_COLOURS.items():
            blamed = [k for k, name in enumerate(names) if severity.get(name) == level]
            marked = _faded(np.isin(section, blamed), s_d)[:, None]
            both = (
                len({names[k].endswith("_tag") for k in blamed if names[k] in _LEGS}) > 1
            )  # one can tell which is which
            tone = 1.0 - (1.0 - _MARKED_TONE) * tag_proportion(section, names, s_d)[:, None] if both else 1.0
            colours = colours + marked * (tone * rgb(colour) - colours)
            if blamed and bool(np.isin(section, blamed).any()):
                same = [entry for entry in entries if entry.colours == (colour,)]
                entries = [entry for entry in entries if entry not in same]
                words = " or ".join([*(entry.text for entry in same), level.word])
                entries.append(LegendEntry(words, (colour,)))
        entries = tones + entries
    else:
        colours = plain
        entries += tones
    if np.any(overlapping):
        colours = np.where(overlapping[:, None], rgb(OVERLAP), colours)
        entries.append(LegendEntry("overlap", (OVERLAP,)))
    return Coloured(np.asarray(colours, dtype=float), _with(legend, tuple(entries)))


def tag_tone(metal: str = METAL) -> str:
    """The colour of the tag where the standing leg has that of `metal`."""
    return hex_of(TAG_TONE * rgb(metal))


def tag_proportion(section: NDArray[np.integer], names: Sequence[str], s_d: Floats | None = None) -> Floats:
    """How much each place (n,) belongs to the tag: 0 on the standing leg, 1 on the tag, the eye divided at its middle.

    >>> tag_proportion(np.array([0, 1, 1, 2]), ("standing", "eye", "twist_tag"), np.array([0.0, 1.0, 9.0, 11.0])).tolist()
    [0.0, 0.0, 1.0, 1.0]
    """
    tag = np.array([name.endswith("_tag") or name in ("barrel", "stub", "handle") for name in names], dtype=float)
    proportion = tag[section]
    if s_d is not None and "eye" in names:
        eye = section == names.index("eye")
        if eye.any():
            middle = (s_d[eye].min() + s_d[eye].max()) / 2.0
            proportion = np.where(eye, _smooth((s_d - middle) / _FADE_D + 0.5), proportion)
    return np.asarray(proportion)


def _faded(marked: NDArray[np.bool_], s_d: Floats | None) -> Floats:
    """1 where a place is marked, falling to 0 within the wire beside it."""
    if s_d is None or not marked.any():
        return marked.astype(float)
    order = np.argsort(s_d[marked])
    there = s_d[marked][order]
    after = np.clip(np.searchsorted(there, s_d), 0, len(there) - 1)
    away = np.minimum(np.abs(there[after] - s_d), np.abs(there[np.maximum(after - 1, 0)] - s_d))
    return _smooth(1.0 - away / _FADE_D)


def _smooth(x: Floats) -> Floats:
    """A step from 0 at 0 to 1 at 1 without corners."""
    x = np.clip(x, 0.0, 1.0)
    return np.asarray(x * x * (3.0 - 2.0 * x))


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
