"""The files that the page hands out, by their names: each is what a command writes, made by the same functions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from helix.errors import ValidationError, ValidationIssue
from helix.page.answers.pane import Download, Tell
from helix.page.answers.recipe_tables import text_of_tables
from helix.page.answers.request_values import Asked
from helix.page.server.replies import plain_name

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult
    from helix.units import UnitSystem

File = tuple[str, str, bytes]
"""Name, type and bytes."""
TYPES: Final = {
    "toml": "application/toml",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "png": "image/png",
    "webp": "image/webp",
    "svg": "image/svg+xml",
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "stl": "model/stl",
    "glb": "model/gltf-binary",
    "ply": "application/octet-stream",
}
_STEP_D: Final = 0.02


def recipe_toml(body: dict[str, Any], tell: Tell) -> File:
    """The recipe's file, which reads back as the same tables."""
    asked = Asked(body)
    recipe = asked.sound(asked.recipe())
    return _file(recipe.title, "", "toml", text_of_tables(body["recipe"]))


def points_csv(body: dict[str, Any], tell: Tell) -> File:
    """The centre line, as `helix shape --points`."""
    from helix.output.report.record import points_text

    result, _ = _shaped(body)
    text = points_text(result.joint.sample(_STEP_D), tuple(result.joint.section_names))
    return _file(result.recipe.title, "points", "csv", text)


def record_json(body: dict[str, Any], tell: Tell) -> File:
    """Every number, as `helix shape --json`."""
    from helix.output.report.record import result_to_dict, to_json

    result, _ = _shaped(body)
    return _file(result.recipe.title, "", "json", to_json(result_to_dict(result)))


def picture_png(body: dict[str, Any], tell: Tell) -> File:
    """The picture, as `helix draw`; the drawing in its place where this machine cannot draw in 3-D."""
    from helix.output.canvas.canvas import THEMES, png_bytes
    from helix.output.picture.gl import rendering_problem
    from helix.output.picture.picture import Look, picture_pixels

    asked = Asked(body)
    colour = asked.word("colour", ("verdict", "strain", "section", "plain"), "verdict")
    view = asked.word("view", ("side", "top", "eye", "three-quarter"), "side")
    theme = asked.word("theme", ("light", "dark"), "light")
    result, units = _shaped(body, asked)
    problem = rendering_problem()
    if problem:
        tell(f"{problem}. Making the drawing in its place")
        return drawing_svg_file(body, tell)
    tell("drawing, this takes a few seconds ...")
    look = Look(colour, view, THEMES[theme])  # type: ignore[arg-type]
    return _file(result.recipe.title, "", "png", png_bytes(picture_pixels(result, units, look=look)))


def drawing_svg_file(body: dict[str, Any], tell: Tell) -> File:
    """The drawing true to scale, as `helix draw`."""
    from helix.output.shape.drawing import drawing_svg

    result, units = _shaped(body)
    return _file(result.recipe.title, "drawing", "svg", drawing_svg(result, units))


def page_html_file(body: dict[str, Any], tell: Tell) -> File:
    """The page to turn the joint on, as `helix draw`."""
    from helix.output.viewer.shared_page import page_html

    result, units = _shaped(body)
    tell("working out the steps of making it, this takes a few seconds ...")
    return _file(result.recipe.title, "", "html", page_html(result, units))


def model(body: dict[str, Any], tell: Tell, suffix: str) -> File:
    """A model of the wire, as `helix draw`: so many times true size, with as much of the standing leg as wanted."""
    from helix.output.surface.mesh import QUALITIES, mesh_bytes, mesh_colours, wire_mesh
    from helix.studies.option_values import kept_length, times
    from helix.studies.shape.shape import shape

    asked = Asked(body)
    recipe, options = asked.recipe(), asked.options(("scale", "standing"))
    quality = asked.word("quality", ("draft", "normal", "fine"), "normal")
    colour = asked.word("colour", ("verdict", "strain", "section", "plain"), "verdict")
    scale = times("--scale", options.scale, asked.faults)
    d_mm = recipe.wire.diameter_mm if recipe else None
    standing = kept_length("--standing", options.standing, d_mm, asked.faults)
    recipe = asked.sound(recipe)
    if standing is not None:
        recipe = recipe.variant(finish=replace(recipe.finish, standing_mm=standing))
    result = shape(recipe)
    try:
        mesh = wire_mesh(result.joint.layout.path, recipe.wire.diameter_mm, QUALITIES[quality])
    except ValueError as problem:
        raise ValidationError([ValidationIssue(f"model{suffix}", str(problem))]) from problem
    colours = mesh_colours(mesh, result, colour)  # type: ignore[arg-type]
    return _file(recipe.title, "", suffix[1:], mesh_bytes(mesh, suffix, colours, scale))


def model_stl(body: dict[str, Any], tell: Tell) -> File:
    """The bare surface, for a printer."""
    return model(body, tell, ".stl")


def model_glb(body: dict[str, Any], tell: Tell) -> File:
    """The surface with colours."""
    return model(body, tell, ".glb")


def model_ply(body: dict[str, Any], tell: Tell) -> File:
    """The surface with colours, sections and strains."""
    return model(body, tell, ".ply")


def sheet_pdf(body: dict[str, Any], tell: Tell) -> File:
    """The bench sheet, as `helix sheet`."""
    from helix.output.canvas.paper import page_pdf
    from helix.output.sheet.sheet import sheet_page

    asked = Asked(body)
    paper = asked.word("paper", ("a4", "letter"), "a4")
    result, units = _shaped(body, asked)
    return _file(result.recipe.title, "sheet", "pdf", page_pdf(sheet_page(result, units, paper=paper)))


def hold_pdf(body: dict[str, Any], tell: Tell) -> File:
    """The hold estimate to print, with its charts."""
    from helix.output.report.document_pdf import document_pdf
    from helix.page.answers.pane_hold import hold_report

    document, result = hold_report(body, tell)
    return _file(result.recipe.title, "hold", "pdf", document_pdf(document))


def why_html_file(body: dict[str, Any], tell: Tell) -> File:
    """Why it holds what it holds, as `helix why -o`."""
    from helix.output.hold.why_report import why_html
    from helix.output.shape.drawing import drawing_svg
    from helix.page.answers.pane_hold import why_found
    from helix.studies.shape.shape import shape

    found, units = why_found(body, tell)
    recipe = found.hold.recipe
    return _file(recipe.title, "why", "html", why_html(found, units, drawing_svg(shape(recipe), units)))


def cut_pdf(body: dict[str, Any], tell: Tell) -> File:
    """The cutting list to print, as `helix cut -o`."""
    from helix.output.batch.cut_sheet import sheet_bytes
    from helix.page.answers.pane_batch import planned

    result, units = planned(body, tell)
    return _file(result.plan.title, "cut", "pdf", sheet_bytes(result, units))


def cut_csv(body: dict[str, Any], tell: Tell) -> File:
    """The cutting list, as `helix cut --csv`."""
    from helix.output.batch.cut_record import cut_plan_csv
    from helix.page.answers.pane_batch import planned

    result, _ = planned(body, tell)
    return _file(result.plan.title, "cut", "csv", cut_plan_csv(result))


def pulls_html(body: dict[str, Any], tell: Tell) -> File:
    """The report on pull tests as a page, as `helix pulls read -o`."""
    from helix.output.report.document_html import document_html

    document = _pulls(body, tell)
    return _file(document.title, "", "html", document_html(document))


def pulls_pdf(body: dict[str, Any], tell: Tell) -> File:
    """The report on pull tests to print, as `helix pulls read -o`."""
    from helix.output.report.document_pdf import document_pdf

    document = _pulls(body, tell)
    return _file(document.title, "", "pdf", document_pdf(document))


def pulls_template(body: dict[str, Any], tell: Tell) -> File:
    """The file to fill in, as `helix pulls template`."""
    from helix.model.measured.pull_columns import template_text

    return _file("Pull tests", "", "csv", template_text())


def curves_mapping(body: dict[str, Any], tell: Tell) -> File:
    """The mapping of load-extension curves, as `helix pulls template --mapping`."""
    from helix.model.measured.curve_file import MAPPING_TEMPLATE

    return _file("curves", "", "toml", MAPPING_TEMPLATE)


def pulls_order(body: dict[str, Any], tell: Tell) -> File:
    """The order of a series as a file to fill in, as `helix pulls plan --order`."""
    from helix.output.pulls.pull_plan_report import order_csv
    from helix.page.answers.pane_pulls import ordered

    return _file("Pull order", "", "csv", order_csv(ordered(body).order, Path()))


def pulls_labels(body: dict[str, Any], tell: Tell) -> File:
    """Labels of a series to print, as `helix pulls plan --labels`."""
    from helix.output.pulls.pull_plan_report import labels_pdf
    from helix.page.answers.pane_pulls import ordered

    return _file("Pull labels", "", "pdf", labels_pdf(ordered(body)))


def steps_webp(body: dict[str, Any], tell: Tell) -> File:
    """The making as an animation, as `helix steps`."""
    from helix.output.picture.gl import rendering_problem
    from helix.output.teaching.animation import moving_bytes
    from helix.output.teaching.step_pictures import bench_of
    from helix.studies.teaching.steps import forming_steps

    result, units = _shaped(body)
    problem = rendering_problem()
    if problem:
        raise ValidationError([ValidationIssue("steps.webp", f"cannot be made: {problem}")])
    content = moving_bytes(
        bench_of(result, units),
        forming_steps(result),
        "webp",
        tell=lambda done, of: tell(f"picture {done} of {of} ..."),
    )
    return _file(result.recipe.title, "steps", "webp", content)


def compare_png_file(body: dict[str, Any], tell: Tell) -> File:
    """Joints one below the other, as `helix compare`; drawn in lines where this machine cannot draw in 3-D."""
    from helix.output.canvas.canvas_svg import canvas_svg
    from helix.output.picture.gl import rendering_problem
    from helix.output.teaching.compare_picture import compare_canvas, compare_png
    from helix.page.answers.pane_teach import compared

    found, units = compared(body)
    problem = rendering_problem()
    if problem:
        tell(f"{problem}. Making the drawing in its place")
        return _file("compare", "", "svg", canvas_svg(compare_canvas(found, units, colour="plain")))
    tell("drawing, this takes a few seconds ...")
    return _file("compare", "", "png", compare_png(compare_canvas(found, units)))


def _shaped(body: dict[str, Any], asked: Asked | None = None) -> tuple[ShapeResult, UnitSystem]:
    from helix.studies.shape.shape import shape

    asked = Asked(body) if asked is None else asked
    recipe, units = asked.recipe(), asked.units()
    return shape(asked.sound(recipe)), units


def _pulls(body: dict[str, Any], tell: Tell) -> Any:
    """The report; refused while rows cannot be read, unless they are to be left out."""
    from helix.page.answers.pane_pulls import read_report

    document, faults, leave_out = read_report(body, tell)
    if faults and not leave_out:
        raise ValidationError(faults)
    return document


def _file(title: str, what: str, kind: str, content: str | bytes) -> File:
    data = content.encode("utf-8") if isinstance(content, str) else content
    return plain_name(f"{title} {what}".strip() + f".{kind}"), TYPES[kind], data


_quick: Callable[[Any], Download] = partial(Download, slow=False)
_slow: Callable[[Any], Download] = partial(Download, slow=True)

DOWNLOADS: Final[dict[str, Download]] = {
    "recipe.toml": _quick(recipe_toml),
    "points.csv": _slow(points_csv),
    "record.json": _slow(record_json),
    "picture.png": _slow(picture_png),
    "drawing.svg": _slow(drawing_svg_file),
    "page.html": _slow(page_html_file),
    "model.stl": _slow(model_stl),
    "model.glb": _slow(model_glb),
    "model.ply": _slow(model_ply),
    "sheet.pdf": _slow(sheet_pdf),
    "hold.pdf": _slow(hold_pdf),
    "why.html": _slow(why_html_file),
    "cut.pdf": _slow(cut_pdf),
    "cut.csv": _slow(cut_csv),
    "pulls.html": _slow(pulls_html),
    "pulls.pdf": _slow(pulls_pdf),
    "pulls-template.csv": _quick(pulls_template),
    "pulls-mapping.toml": _quick(curves_mapping),
    "pulls-order.csv": _slow(pulls_order),
    "pulls-labels.pdf": _slow(pulls_labels),
    "steps.webp": _slow(steps_webp),
    "compare.png": _slow(compare_png_file),
}
