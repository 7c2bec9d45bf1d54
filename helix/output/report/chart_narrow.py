"""A chart for a phone: the same drawing as wide as a hand, its letters large enough to read and its legend below it."""

from __future__ import annotations

import textwrap
from typing import Any, Final

NARROW_MM: Final = 98.0
"""Width of a chart that is seen whole on a phone."""
_LEAST_PT: Final = 7.5  # of letters: over 9 pixels where such a chart is 340 wide
_NAME_LETTERS: Final = 19
_AXIS_LETTERS: Final = 24
_LINE_LETTERS: Final = 44
_TICKS: Final = 5  # along an axis as wide as the chart
_SHORT: Final = 26  # letters of words of a legend that may stand in two columns
_APART: Final = 0.08  # of the axis, between slanted words
_LINE_IN: Final = 0.15  # height of a line of a legend


def fit_narrow(figure: Any) -> None:
    """Have what was drawn for a page of paper fit a narrow figure: long words in lines, few ticks, one legend under all axes."""
    from matplotlib.text import Text
    from matplotlib.ticker import AutoLocator, MaxNLocator

    handles = _legends_taken(figure)
    for axes in figure.axes:
        names = [label.get_text() for label in axes.get_yticklabels()]
        if any(len(name) > _NAME_LETTERS for name in names):
            axes.set_yticks(axes.get_yticks(), [_in_lines(name, _NAME_LETTERS) for name in names])
        if isinstance(axes.xaxis.get_major_locator(), AutoLocator):
            across = axes.get_subplotspec().get_gridspec().ncols
            axes.xaxis.set_major_locator(MaxNLocator(max(_TICKS // across, 2)))
        for label in (axes.xaxis.label, axes.yaxis.label):
            label.set_text(_in_lines(label.get_text(), _AXIS_LETTERS))
        for text in axes.texts:
            text.set_text(_in_lines(text.get_text(), _LINE_LETTERS))
        _thin_out([text for text in axes.texts if text.get_rotation() and hasattr(text, "xy")], axes.get_xlim())
    for text in figure.findobj(Text):
        text.set_fontsize(max(text.get_fontsize(), _LEAST_PT))
    figure.set_layout_engine("constrained")
    if handles:
        columns = 1 if max(map(len, handles)) > _SHORT else 2
        figure.legend(handles.values(), handles.keys(), loc="outside lower left", ncols=columns)
        figure.set_figheight(figure.get_figheight() + _LINE_IN * -(-len(handles) // columns))


def _thin_out(slanted: list[Any], limits: tuple[float, float]) -> None:
    """Of slanted words along an axis hide those too near the one before to be read."""
    last, apart = -float("inf"), _APART * (limits[1] - limits[0])
    for text in sorted(slanted, key=lambda one: one.xy[0]):
        shown = text.xy[0] - last >= apart
        text.set_visible(shown)
        last = text.xy[0] if shown else last


def _legends_taken(figure: Any) -> dict[str, Any]:
    """What the legends of a figure show, by its words; they are taken out of it."""
    handles: dict[str, Any] = {}
    for legend in (*(axes.get_legend() for axes in figure.axes), *figure.legends):
        if legend is not None:
            words = (text.get_text() for text in legend.get_texts())
            handles.update(zip(words, legend.legend_handles, strict=True))
            legend.remove()
    return handles


def _in_lines(text: str, letters: int) -> str:
    """Text broken into lines of so many letters, those that it has kept."""
    return "\n".join(textwrap.fill(line, letters) for line in text.split("\n"))
