"""Sizes: wire sizes with tensile strength and breaking load by material."""

from __future__ import annotations

from helix import __version__
from helix.output.shape.size_table import chosen, sizes_dict, sizes_text
from helix.tasks.options import Option, units
from helix.tasks.task import Task

TASK = Task(
    options=(
        Option("family", "gauge family, MWG or AWG", usual="both", letters="NAME"),
        Option("material", 'one material, such as "302 stainless"', usual="all", letters="NAME"),
        units(default="metric"),
    ),
    run=lambda given: chosen(given.family, given.material),
    text=lambda found, given: sizes_text(found[0], found[1], given.system),
    record=lambda found: sizes_dict(found[0], found[1], __version__),
    json="mm, MPa and N",
)
