"""Charts for a phone: each can be read where it is 340 pixels wide, and nothing of it is cut off or lies on other words."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from helix.model.measured.pull_file import read_pull_file
from helix.model.recipe.recipe import read_recipe
from helix.output.hold.hold_report import hold_document
from helix.output.hold.why_report import why_document
from helix.output.pulls.pull_report import pulls_document
from helix.output.report.chart_narrow import NARROW_MM, fit_narrow
from helix.output.report.chart_style import STYLE
from helix.output.report.document import Chart
from helix.studies.hold.holding import hold, setting_of
from helix.studies.hold.why import why
from helix.studies.pulls.pulls import read_pulls

EXAMPLES = Path(__file__).resolve().parents[3] / "helix" / "data" / "examples"
WHOLE_PX, LEAST_PX = 340.0, 9.0  # of a chart on a phone of 390 pixels, and of its letters
NAMES = ("hold-layers", "hold-models", "hold-bends", "load-path", "pieces", "probability")


@cache
def charts() -> dict[str, Chart]:
    recipe = read_recipe(EXAMPLES / "logger-tether.toml")
    pulled = read_pulls(read_pull_file(EXAMPLES / "logger-tethers.csv"))
    documents = (
        hold_document(hold(recipe, draws=200), charts=True),
        why_document(why(recipe, setting_of(recipe, draws=200)), charts=True),
        pulls_document(pulled),
    )
    return {block.name: block for document in documents for block in document.blocks if isinstance(block, Chart)}


def drawn(chart: Chart) -> Figure:
    """The figure as it is drawn for a phone."""
    with rc_context(STYLE):
        figure = Figure(figsize=(NARROW_MM / 25.4, chart.height_mm / 25.4))
        canvas = FigureCanvasAgg(figure)
        chart.draw(figure)
        fit_narrow(figure)
        canvas.draw()
        return figure


def names_of(axes: Any) -> list[Any]:
    """Boxes of the words along the two axes that are in sight, as lists of neighbours."""
    kept = []
    for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
        ticks = (tick for tick in axis.get_major_ticks() if min(low, high) <= tick.get_loc() <= max(low, high))
        seen = [tick.label1 for tick in ticks if tick.label1.get_visible()]
        kept.append([label.get_window_extent() for label in seen if label.get_text()])
    return kept


@pytest.mark.parametrize("name", NAMES)
def test_its_words_can_be_read_and_are_whole(name: str) -> None:
    """Failed once: letters of 6 pixels, and names cut off at the edge once they were larger."""
    figure = drawn(charts()[name])
    px = WHOLE_PX / (72.0 * figure.get_figwidth())
    words = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()]
    assert len(words) > 5 and min(text.get_fontsize() * px for text in words) >= LEAST_PX
    low, high = figure.get_tightbbox().get_points()  # in inches
    assert min(low) > -0.02 and high[0] < figure.get_figwidth() + 0.02 and high[1] < figure.get_figheight() + 0.02
    for axes in figure.axes:
        for neighbours in names_of(axes):
            assert not any(one.overlaps(other) for one, other in combinations(neighbours, 2)), axes.get_title()
