"""Sizes: wire sizes with tensile strength and breaking load by material."""

from __future__ import annotations

from helix.output.report.record import record
from helix.output.shape.shape_answers import sizes_answer
from helix.output.shape.size_table import sizes_text
from helix.output.words.answer_words import CAUTION
from helix.studies.shape.size_list import list_sizes
from helix.tasks.options import Option, units
from helix.tasks.task import Task

TASK = Task(
    options=(
        Option("family", "gauge family, MWG or AWG", usual="both", letters="NAME"),
        Option("material", 'one material, such as "302 stainless"', usual="all", letters="NAME"),
        units(default="metric"),
    ),
    run=lambda given: list_sizes(given.family, given.material),
    answer=lambda result, given: sizes_answer(result, given.system),
    text=lambda result, given: f"{sizes_text(result, given.system)}\n{CAUTION}\n",
    record=record,
    json="mm, MPa and N",
)
