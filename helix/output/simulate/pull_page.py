"""A simulated pull, or a forming, as one page with a slider and as a table of its moments (CSV); a pull as all its numbers (JSON)."""

from __future__ import annotations

import csv
import io
import json
from html import escape
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.output.report.document import Table
from helix.output.report.record import record
from helix.output.shape.drawing import drawing_svg
from helix.output.simulate.forming_film import bend_legend, forming_film
from helix.output.simulate.pull_film import SHADES, pull_film, tension_legend
from helix.output.simulate.simulate_report import MARK, simulate_answer, simulate_document
from helix.output.viewer.scene import METAL, SCHEMA, packed, rings_record
from helix.output.viewer.shared_page import PageHead, block_html, viewer_page
from helix.output.words.answer_words import CAUTION, headline
from helix.studies.judge import judge
from helix.studies.shape.shape import shape
from helix.studies.simulate.form_result import FormRun
from helix.studies.simulate.pull_result import PullSimulation
from helix.units import UnitSystem

COLUMNS: Final = (
    "start",
    "friction",
    "pull_mm",
    "load_n",
    "load",
    "throat_deg",
    "through_mm",
    "turned",
    "tag_load_n",
    "no_way_back",
)
FORM_COLUMNS: Final = ("stage", "turns", "wraps", "strain", "at_mm", "tag")


def pull_csv(result: PullSimulation) -> str:
    """Every run from moment to moment, one row each."""
    d, n = result.recipe.wire.diameter_mm, result.strength_n
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(COLUMNS)
    for run in result.runs:
        for k, point in enumerate(run.curve):
            rows.writerow((
                run.start.value, f"{run.friction:g}", f"{point.pull_d * d:.5g}", f"{point.load * n:.6g}", f"{point.load:.5g}",
                f"{point.throat_deg:.4g}", f"{point.through_d * d:.5g}", f"{point.turned:.5g}", f"{point.tag_load * n:.6g}",
                int(k >= run.last),
            ))  # fmt: skip
    return text.getvalue()


def form_csv(result: PullSimulation, run: FormRun) -> str:
    """The forming from moment to moment: what is done, turns and wraps so far, the hardest strain, where it is and whether on the tag's leg."""
    d = result.recipe.wire.diameter_mm
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(FORM_COLUMNS)
    for stage, rounds, strains in zip(run.stages, run.rounds, run.strains, strict=True):
        at = int(np.argmax(strains))
        rows.writerow((
            stage.value, f"{min(rounds, run.turns):.4g}", f"{max(rounds - run.turns, 0.0):.4g}", f"{strains[at]:.4g}",
            f"{run.s_d[at] * d:.5g}", int(run.tag[at]),
        ))  # fmt: skip
    return text.getvalue()


def pull_json(result: PullSimulation) -> str:
    """All numbers, as `--json` gives them."""
    return json.dumps(record(result), indent=2, allow_nan=False) + "\n"


def pull_html(result: PullSimulation, units: UnitSystem = "metric") -> str:
    """The middle run, or the forming where nothing is pulled, as a page that plays it; nothing in it is fetched."""
    answer = simulate_answer(result, units)
    shown = shape(result.recipe)
    head = PageHead(
        answer.title,
        answer.lines[1],
        f"{headline(judge(result.recipe, result.of_hold), units)} (the joint, as judged)",
        result.version,
    )
    forming = None if result.runs else result.forming
    scene = pull_scene(result, units) if forming is None else form_scene(result, forming, units)
    return viewer_page(head, scene, drawing_svg(shown, units), _numbers(result, units))


def pull_scene(result: PullSimulation, units: UnitSystem = "metric") -> dict[str, Any]:
    """The pull as the viewer takes it: the wire at the start, and the film under `pulled`."""
    run, d = result.middle, result.recipe.wire.diameter_mm
    film = pull_film(run, d, result.strength_n, units)
    return _wire_scene(run.frames[0], d, tension_legend(), units) | {"pulled": film}


def form_scene(result: PullSimulation, run: FormRun, units: UnitSystem = "metric") -> dict[str, Any]:
    """The forming as the viewer takes it: the wire at the end, and the film under `formed`."""
    d = result.recipe.wire.diameter_mm
    film = forming_film(run, result.recipe.eye.pin_mm / d, d, units)
    return _wire_scene(run.frames[-1][run.there(-1)], d, bend_legend(), units) | {"formed": film}


def _wire_scene(
    points_d: NDArray[np.float64], d_mm: float, legend: dict[str, Any], units: UnitSystem = "metric"
) -> dict[str, Any]:
    """The viewer's scene before a film is laid over it: the wire by its places (n, 3) in diameters, bare until a film colours it by the legend, the film's "tension"."""
    along = np.gradient(points_d, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    wire = rings_record(points_d * d_mm, along, d_mm)
    bare = packed(np.broadcast_to([int(METAL[at : at + 2], 16) for at in (1, 3, 5)], (len(points_d), 3)), "u1")
    return {
        "schema": SCHEMA,
        "units": units,
        "diameter_mm": d_mm,
        "sections": [],
        "wire": wire | {"colours": {"tension": bare, "plain": bare}},
        "legends": {"tension": legend, "plain": {"name": "Bare wire", "title": "", "entries": [], "note": ""}},
        "notes": [],
        "by": "tension",
    }


def _numbers(result: PullSimulation, units: UnitSystem) -> str:
    """The answer and the tables beside the picture; what is assumed."""
    parts = ["<section><h2>Simulated, not tested</h2>"]
    parts += [f"<p>{escape(line)}</p>" for line in simulate_answer(result, units).lines[1:]]
    parts.append("</section>")
    document = simulate_document(result, units)
    parts += [block_html(block) for block in document.blocks if isinstance(block, Table) and len(block.heading) > 1]
    coloured = "tension" if result.runs else "bend"
    parts.append(f'<p class="small">Colours: {coloured} in {SHADES} shades, {escape(MARK)}.</p>')
    parts += [f'<p class="small">{escape(line)}</p>' for line in CAUTION.splitlines()]
    return "\n".join(parts)
