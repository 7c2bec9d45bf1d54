"""The panes of the page by their names: each is a task, answered as its command answers it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

from helix.errors import ValidationError, argument_issue
from helix.output.words.findings.finding_words import capital
from helix.page.answers.pane import OnOutput, named_work
from helix.page.answers.report_record import block_record, report_record
from helix.page.answers.request_values import given_from
from helix.tasks.registry import task
from helix.tasks.task import Given

More = Callable[[Any, Given, dict[str, Any]], dict[str, Any]]
"""What a pane gives beside its report: from what was found, what was given, and the body of the request."""
QUICK: Final = ("form", "pulls-template", "draw")


def answer(name: str, body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """The report of a pane's task, rows that could not be read, and what the pane shows besides. {"narrow": true}: its charts are for a
    phone."""
    pane_task, narrow = task(name.replace("-", " ")), body.get("narrow", False)
    if not isinstance(narrow, bool):
        raise ValidationError([argument_issue("narrow", "must be true or false")])
    body = {key: value for key, value in body.items() if key != "narrow"}
    given = given_from(pane_task, body, on_output)
    result = pane_task.run(given)
    refused = () if pane_task.refused is None else pane_task.refused(result, given)
    if refused:
        raise ValidationError(refused)
    reply: dict[str, Any] = {}
    if pane_task.document is not None:
        reply["report"] = report_record(pane_task.document(result, given.system), narrow)
    if pane_task.rows is not None:
        reply["faults"] = [
            {"place": fault.place, "row": fault.path.row, "message": fault.message} for fault in pane_task.rows(result)
        ]
    return reply | (_MORE[name](result, given, body) if name in _MORE else {})


def _hold(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The load in a few words, under the joint's one judgement, and on a scale; turns against wraps alone, if wanted."""
    from helix.output.hold.hold_answers import bounds_clause, load_head, odds_clause, own_clause, unwound_clause
    from helix.output.hold.hold_figures import count_map, gauge
    from helix.output.hold.hold_table_report import cells_table
    from helix.output.words.hold_words import piece_clause
    from helix.tasks.hold.hold_task import tried_document

    tried = tried_document(result, given.system)
    if tried is not None:
        table = result.table[0]
        rest = tuple(block for block in tried.blocks if block != cells_table(table))  # the map has them
        return {"map": count_map(table, given.system), "report": report_record(replace(tried, blocks=rest))}
    head = load_head(result.result, given.system)
    unwound = unwound_clause(result.result, given.system)  # which ones the verdict beside it says
    ends = "pieces that were pulled unwound" if unwound and head.rest == unwound else head.rest
    said = (
        piece_clause(result.result, given.system),
        head.mark,
        bounds_clause(result.result, given.system),
        ends,
        odds_clause(result.result),
    )
    more = [capital(part) for part in (*said, own_clause(result.result, given.system, piece=False)) if part]
    return {
        "verdict": result.result.verdict,
        "head": {"severity": head.severity.word, "short": head.line or head.short, "more": ". ".join(more)},
        "gauge": gauge(result.result, given.system),
    }


def _why(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The change that helps most, as a joint to take over; none where none is worth it."""
    from helix.studies.shape.remedies import apply

    if result.best is None:
        return {"cure": None}
    return {"cure": {"say": capital(result.best.what), "recipe": apply(body["recipe"], result.best.changes)}}


def _choose(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """Size and material of each row, to take over into a recipe; whether own pieces count against its turns and wraps."""
    wires = [{"size": row.wire.size or "", "material": row.wire.material} for row in result.choices]
    return {"wires": wires, "by_pieces": result.of_pieces is not None}


def _draw(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """How large a model comes out, and the scales that a printer's bed has room for."""
    from helix.output.surface.model_files import leg_that_fits, leg_words, size_lines, smaller_scales
    from helix.studies.shape.outline import draft
    from helix.tasks.shape.draw_task import plate_of, shortened

    recipes = [recipe for recipe in (given.recipe, given.beside) if recipe is not None]
    drafts = [draft(shortened(recipe, given)) for recipe in recipes]
    plate, standing = plate_of(drafts, given), drafts[0].recipe.finish.standing_mm
    leg = leg_that_fits(plate, standing)
    scales = [{"scale": f"{scale:g}", "split": split} for scale, split in smaller_scales(plate)]
    return {
        "lines": size_lines(plate, given.system, standing),
        "scales": scales,
        "leg": None if leg is None else leg_words(leg, given.system),
    }


def _inspect(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The verdict, the joint as it was made as tables of a recipe, and what is laid over the drawing."""
    from helix.output.inspect.inspect_picture import picture_of_made
    from helix.studies.inspect.as_typed import typed_changes
    from helix.studies.shape.outline import draft
    from helix.studies.shape.remedies import apply

    changes = {"title": result.made.title} | typed_changes(given.recipe, result.made, given.system)
    return {
        "verdict": result.verdict,
        "severity": result.whole.severity.word,
        "made": apply(body["recipe"], changes),
        "drawn": picture_of_made(result, draft(given.recipe), given.system),
    }


def _link(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The pair drawn: the touch, and close by the bend that the load draws them down to."""
    from helix.output.canvas.canvas_svg import canvas_svg
    from helix.output.link.link_picture import link_canvas

    return {"drawn": canvas_svg(link_canvas(result, given.system))}


def _read(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """What was predicted and what the pieces did, a paragraph a group."""
    from helix.output.pulls.pull_answers import confronted_lines
    from helix.output.words.pull_words import PullFormat

    shown = PullFormat(given.system)
    return {"against": [" ".join(confronted_lines(compared, shown)) for compared in result.confronted]}


def _plan(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    return {"ordered": len(result.order)}


def _template(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The file to fill in, and the mapping of curves, as text."""
    from helix.model.measured.curve_file import MAPPING_TEMPLATE

    return {"text": result, "mapping": MAPPING_TEMPLATE}


def _steps(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The making as a film for the page, and where to ink the wire."""
    from helix.output.report.numbers import marks_block
    from helix.output.viewer.scene_film import film_record
    from helix.studies.teaching.steps import ink_marks

    marks = marks_block(ink_marks(result.result), given.system)
    return {
        "film": film_record(result.result, result.steps, given.system),
        "marks": {"title": marks.title, "head": list(marks.heading), "rows": [list(row) for row in marks.rows]},
        "report": {"title": marks.title, "blocks": [block_record(marks)]},
    }


def _simulate(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """The pull as a film, and what decides beside it; none where there was no moment of it."""
    from helix.output.simulate.pull_film import pull_film
    from helix.page.answers.pull_it import label_record

    if not result.runs or not result.middle.curve:
        return {"film": None}
    film = pull_film(result.middle, result.recipe.wire.diameter_mm, result.strength_n, given.system)
    return {"film": film, "label": label_record(result.held, result.middle)}


def _compare(result: Any, given: Given, body: dict[str, Any]) -> dict[str, Any]:
    """What makes each joint differ from the first."""
    from helix.output.words.compare_words import difference_lines

    return {
        "differences": [
            line for k in range(1, len(result.results)) for line in difference_lines(result, k, given.system)
        ]
    }


_MORE: Final[dict[str, More]] = {
    "hold": _hold,
    "why": _why,
    "choose": _choose,
    "draw": _draw,
    "inspect": _inspect,
    "link": _link,
    "simulate": _simulate,
    "steps": _steps,
    "compare": _compare,
    "pulls-read": _read,
    "pulls-plan": _plan,
    "pulls-template": _template,
}
NAMES: Final = (
    "draw", "hold", "why", "stretch", "form", "choose", "cut", "inspect", "spread", "pulls-template", "pulls-read",
    "pulls-compare", "pulls-plan", "steps", "compare", "link", "simulate",
)  # fmt: skip


def drawing(name: str, body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """The joint in hand as a drawing whose sizes are to be typed, for {"recipe", "units"}."""
    from helix.output.inspect.inspect_picture import inspect_picture
    from helix.page.answers.joint_answer import units_of
    from helix.page.answers.recipe_tables import recipe_of_tables
    from helix.studies.shape.outline import draft

    return inspect_picture(draft(recipe_of_tables(body.get("recipe"))), units_of(body))


def pulled(name: str, body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """Simulated pulls that come with helix, as films."""
    from helix.page.answers.joint_answer import units_of
    from helix.page.answers.pull_it import films

    return films(body, units_of(body))


def formed(name: str, body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    """Simulated formings that come with helix, as films."""
    from helix.page.answers.form_it import form_films
    from helix.page.answers.joint_answer import units_of

    return form_films(body.get("keys"), units_of(body))


PANES: Final = {name: named_work(answer, name, slow=name not in QUICK) for name in NAMES} | {
    "inspect-drawing": named_work(drawing, "inspect-drawing", slow=False),
    "pull-it": named_work(pulled, "pull-it", slow=True),
    "form-it": named_work(formed, "form-it", slow=True),
}


def __getattr__(name: str) -> Any:
    if name in PANES:
        return PANES[name].run
    raise AttributeError(name)
