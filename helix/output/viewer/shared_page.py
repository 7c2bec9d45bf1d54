"""The joint as one self-contained page (HTML): it opens from disk, turns in 3-D and needs no network."""

from __future__ import annotations

import base64
import hashlib
import json
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.findings import Severity
from helix.output.hold.hold_answers import strength_line
from helix.output.report.document import Table
from helix.output.report.numbers import bends_block, counts_block, marks_block, sizes_block, wire_line
from helix.output.shape.drawing import drawing_svg
from helix.output.viewer.scene import scene
from helix.output.viewer.scene_steps import palettes, steps_record
from helix.output.words.answer_words import CAUTION
from helix.output.words.words import answer_line, findings, sound_line, title_of, verdict_line
from helix.studies.teaching.steps import ink_marks
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.hold.hold_result import HoldResult
from helix.studies.shape.shape import ShapeResult

_BUILT = Path(__file__).resolve().parents[2] / "page" / "built"
_HELP = (
    "Drag to turn, wheel or two fingers to zoom, right button or Shift to move. Keys: arrows turn, Shift and "
    "arrows move, + and - zoom, 1 to 4 views, 0 back, C colours, L labels, comma and full stop steps."
)


def page_html(
    result: ShapeResult, units: UnitSystem = "metric", *, steps: bool = True, held: HoldResult | None = None
) -> str:
    """The page as text; with the steps of making the joint unless they are not wanted. held: an estimate in place of the usual one.

    Nothing in it is fetched, and its content security policy forbids it; without WebGL or without
    scripts the drawing stands in the place of the model.
    """
    shown = scene(result, units)
    if steps:
        shown |= {"steps": steps_record(result, units), "palettes": palettes()}
    strength = strength_line(result.recipe, units, held)
    head = PageHead(title_of(result), answer_line(result, units), verdict_line(result, units), result.version, strength)
    return viewer_page(head, shown, drawing_svg(result, units), _numbers(result, units))


@dataclass(frozen=True)
class PageHead:
    """What a page is headed by: a title, the answer and the verdict in a line each; version: of helix; strength: the load, where it is told."""

    title: str
    answer: str
    verdict: str
    version: str
    strength: str = ""


def viewer_page(head: PageHead, shown: dict[str, Any], drawing: str, numbers: str) -> str:
    """A scene of the viewer as one page. drawing: SVG that stands in its place without WebGL; numbers: HTML beside it."""
    three, script = _built("three.js"), _built("viewer.js")
    style = _built("viewer.css")
    data = json.dumps(shown, separators=(",", ":"), allow_nan=False)
    policy = (
        f"default-src 'none'; script-src {_hash(three)} {_hash(script)}; style-src {_hash(style)}; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    title = escape(head.title)
    strength = f" <p>{escape(head.strength)}</p>" if head.strength else ""
    return "\n".join([
        "<!doctype html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="referrer" content="no-referrer">',
        f'<meta name="generator" content="helix {escape(head.version)}">',
        '<link rel="icon" href="data:,">',
        f"<title>{title}</title>",
        f"<style>{style}</style>",
        "</head>",
        "<body>",
        '<div class="page">',
        f'<header><h1><span>{title}</span> <button type="button" id="brightness"></button></h1>',
        f'<p class="answer">{escape(head.answer)}</p> <p class="verdict">{escape(head.verdict)}</p>{strength}</header>',
        '<main class="drawn">',
        '<div id="stage" role="application" aria-label="The joint in 3-D; the keys are listed with the numbers">',
        '<p id="no-3d" hidden>This browser cannot draw in 3-D here; the drawing stands in its place.</p>',
        f'<div id="drawing">{_inline(drawing)}</div>',
        '<div id="legend" hidden></div>',
        '<div id="ruler"></div>',
        "</div>",
        _TOOLS,
        "</main>",
        f"<aside aria-label=\"The numbers\">{numbers}</aside>",
        "</div>",
        f'<script type="application/json" id="helix-scene">{_harmless(data)}</script>',
        f"<!--\n{_built('licences.txt').strip()}\n-->",
        f"<script>{three}</script>",
        f"<script>{script}</script>",
        "</body>",
        "</html>",
        "",
    ])  # fmt: skip


_TOOLS = """<div id="tools" role="toolbar" aria-label="How the joint is shown">
<div class="set"><span>View</span><div class="row" id="views"></div></div>
<div class="set"><span>Colour</span><div class="row" id="colours"></div></div>
<button type="button" id="labels" aria-pressed="true">Labels</button>
<div id="steps" hidden><button type="button" id="play">Play</button>
<input type="range" id="step" min="0" step="1" value="0" aria-label="Forming step">
<span id="said" aria-live="polite"></span></div>
</div>"""


def _numbers(result: ShapeResult, units: UnitSystem) -> str:
    parts = ["<section><h2>Verdict</h2>"]
    explained = findings(result, units)
    if result.judgement.severity <= Severity.NOTE:
        parts.append(f'<div class="told ok"><span class="word">OK</span> {escape(sound_line(result))}</div>')
    for finding in explained:
        inner = f'<span class="word">{finding.word}</span> {escape(finding.sentence())}'
        marks = f'class="told {finding.severity.word}" data-name="{escape(finding.key)}"'
        if finding.points_mm:
            place = json.dumps([round(float(v), 4) for v in finding.points_mm[0]])
            parts.append(f'<button type="button" {marks} data-place="{place}">{inner}</button>')
        else:
            parts.append(f"<div {marks}>{inner}</div>")
    parts.append("</section>")
    blocks = (
        counts_block(result),
        sizes_block(result, units),
        bends_block(result),
        marks_block(ink_marks(result), units),
    )
    parts += [block_html(block) for block in blocks if block.rows]
    parts.append(f'<p class="small">Wire: {escape(wire_line(result, units))}.</p>')
    parts.append(f'<p class="small">{escape(_HELP)}</p><p class="small">{escape(CAUTION)}</p>')
    return "\n".join(parts)


def block_html(block: Table) -> str:
    """A table as a section of such a page."""
    head = ""
    if any(block.heading):
        cells = "".join(f'<th scope="col">{escape(text)}</th>' for text in block.heading)
        head = f"<thead><tr>{cells}</tr></thead>"
    rows = []
    for row in block.rows:
        cells = "".join(_cell(text) for text in row[1:])
        rows.append(f'<tr><th scope="row">{escape(row[0])}</th>{cells}</tr>')
    return f"<section><h2>{escape(block.title)}</h2><table>{head}<tbody>{''.join(rows)}</tbody></table></section>"


def _cell(text: str) -> str:
    if text in ("ok", "caution", "sharp"):
        return f'<td><span class="word {text}">{text}</span></td>'
    return f"<td>{escape(text)}</td>"


def _inline(svg: str) -> str:
    """A drawing without its XML head, its names set apart from the page's own."""
    return svg[svg.index("<svg") :].rstrip().replace(' id="', ' id="drawing-').replace("url(#", "url(#drawing-")


def _harmless(data: str) -> str:
    """JSON that cannot end the element it stands in."""
    return data.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _built(name: str) -> str:
    return (_BUILT / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode('ascii')}'"
