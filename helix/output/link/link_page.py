"""Linked joints as one page that turns in 3-D: both wires, where they touch, and the numbers beside them."""

from __future__ import annotations

from html import escape
from typing import Any, Final

from helix.findings import Severity
from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.link.link_parts import LinkPart, link_parts, touch_mm
from helix.output.link.link_picture import link_canvas
from helix.output.link.link_report import link_heading, link_tables, load_line
from helix.output.viewer.scene import METAL, SCHEMA, rings_record
from helix.output.viewer.shared_page import PageHead, block_html, viewer_page
from helix.output.words.answer_words import CAUTION, headline
from helix.output.words.findings.finding_words import explain
from helix.output.words.link_words import link_assumptions, other_words
from helix.studies.link.link_result import LinkResult
from helix.units import UnitSystem, format_length

_BARE: Final = {"plain": {"name": "Bare wire", "title": "", "entries": [], "note": ""}}


def link_html(result: LinkResult, units: UnitSystem = "metric") -> str:
    """The page as text; nothing in it is fetched."""
    head = PageHead(
        link_heading(result, units), load_line(result, units), headline(result.judgement, units), result.version
    )
    return viewer_page(head, link_scene(result, units), canvas_svg(link_canvas(result, units)), _numbers(result, units))


def link_scene(result: LinkResult, units: UnitSystem = "metric") -> dict[str, Any]:
    """The pair as the viewer takes it: the first joint as its wire, what it is linked with beside it."""
    first, *others = link_parts(result, METAL)
    return {
        "schema": SCHEMA,
        "units": units,
        "diameter_mm": first.shown.d_mm,
        "sections": list(first.shown.names),
        "wire": _rings(first),
        "others": [_rings(part) for part in others],
        "legends": _BARE,
        "notes": [_touch(result, units), *(_name(part, units) for part in (first, *others))],
    }


def _rings(part: LinkPart) -> dict[str, Any]:
    shown = part.shown
    pieces = [(piece.start, piece.stop) for piece in shown.pieces]
    return rings_record(shown.points_mm, shown.tangents, shown.d_mm, pieces, {"plain": part.rgb})


def _touch(result: LinkResult, units: UnitSystem) -> dict[str, Any]:
    """The flag at the crossing, with the verdict on it."""
    joint = result.joints[0]
    found = [finding for finding in joint.judgement.findings if finding.code in ("tight-crossing", "wire-on-wire")]
    worst = max((finding.severity for finding in found), default=Severity.OK)
    title = "ok: they touch here" if not found else f"{worst.name}: {explain(found[0], units).short}"
    lines = [
        f"Drawn tight over {other_words(result)}: inside radius {format_length(0.5 * joint.over_mm, units)},",
        f"{joint.pulled.radius_d:.2f} d to the middle of the wire, strain {joint.pulled.strain:.2f}.",
        f"At rest {joint.rest.radius_d:.2f} d, strain {joint.rest.strain:.2f}.",
    ]
    return _note("touch", False, title, lines, worst.word, touch_mm(result))


def _name(part: LinkPart, units: UnitSystem) -> dict[str, Any]:
    """A part's name, at the end that is further from the crossing."""
    rows = part.shown.points_mm
    at = rows[len(rows) // 2] if part.shown.closed else rows[0]
    x, y, z = (float(value) for value in at)
    return _note(
        part.name,
        True,
        part.name,
        [f"{'bar' if part.shown.closed else 'wire'} {format_length(part.shown.d_mm, units)}"],
        "",
        (x, y, z),
    )


def _note(
    name: str, part: bool, title: str, lines: list[str], verdict: str, point: tuple[float, float, float]
) -> dict[str, Any]:
    at = [round(value, 4) for value in point]
    return {"name": name, "part": part, "title": title, "lines": lines, "verdict": verdict, "point": at, "also": []}


def _numbers(result: LinkResult, units: UnitSystem) -> str:
    parts = ["<section><h2>Verdict</h2>"]
    told = [explain(finding, units) for finding in result.judgement.findings if finding.severity > Severity.NOTE]
    if not told:
        parts.append('<div class="told ok"><span class="word">OK</span> Nothing found wrong.</div>')
    for finding in told:
        word = finding.severity
        parts.append(
            f'<div class="told {word.word}" data-name="{escape(finding.key)}"><span class="word">{word.name}</span> '
            f"{escape(finding.sentence())}</div>"
        )
    parts.append("</section>")
    parts += [block_html(table) for table in link_tables(result, units)]
    parts += [f'<p class="small">{escape(line)}</p>' for line in (*link_assumptions(result), CAUTION)]
    return "\n".join(parts)
