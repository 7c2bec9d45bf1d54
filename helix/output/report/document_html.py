"""A document as one HTML file that needs nothing else: no script, no link, pictures inside."""

from __future__ import annotations

import base64
import hashlib
from html import escape
from typing import Final

from helix.output.report.chart_sheet import chart_file
from helix.output.report.document import (
    Answer,
    Block,
    Bullets,
    Chart,
    Document,
    Heading,
    Para,
    Picture,
    Table,
    by_methods,
)

STYLE: Final = """
:root { color-scheme: light dark; --paper: #fff; --ink: #1a1a1a; --line: #ccc; --soft: #555; --mark: #ffe3c9; }
@media screen and (prefers-color-scheme: dark) { :root { --paper: #17191c; --ink: #eceef0; --line: #3a3f45; --soft: #a2a9b1;
  --mark: #5a3210; } }
body { font: 15px/1.45 system-ui, "Segoe UI", "DejaVu Sans", Arial, sans-serif; color: var(--ink); background: var(--paper);
  max-width: 62rem; margin: 2rem auto; padding: 0 1.2rem; }
h1 { font-size: 1.6rem; margin: 0 0 .6rem; } h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; border-bottom: 1px solid var(--line); }
h3 { font-size: 1rem; margin: 1.2rem 0 .3rem; } p { margin: .5rem 0; } p.strong { font-weight: 600; }
.scroll { overflow-x: auto; } table { border-collapse: collapse; font-size: .87rem; margin: .3rem 0; }
caption { text-align: left; font-weight: 600; padding: .4rem 0 .2rem; }
th, td { padding: .18rem .6rem; text-align: right; border-bottom: 1px solid var(--line); white-space: nowrap; vertical-align: top; }
th { border-bottom: 2px solid var(--soft); font-weight: 600; } .l { text-align: left; }
.w { white-space: normal; min-width: 14rem; } .d { background: var(--mark); font-weight: 600; }
.note { font-size: .85rem; color: var(--soft); } figure { margin: 1rem 0; } figure img { width: 100%; height: auto; }
figcaption { font-size: .9rem; } .m { color: var(--soft); font-weight: 400; font-size: .85em; }
@media print { body { margin: 0; max-width: none; font-size: 10pt; } figure, table { break-inside: avoid; } }
""".strip()


POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"


def document_html(document: Document) -> str:
    """The whole document as HTML text; charts are drawn as SVG and set inside."""
    last = (Para(document.caution),) if document.caution else ()
    return html_file(document.title, "\n".join(_block(block) for block in (*document.blocks, *last)))


def html_file(title: str, body: str, style: str = "", script: str = "") -> str:
    """A page that fetches nothing, nor may: its title, its body, rules of style besides the reports' own, a script."""
    run = (
        f"; script-src 'sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}'" if script else ""
    )
    return "\n".join([
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}{run}">',
        f"<title>{escape(title)}</title>\n<style>\n{STYLE}\n{style}</style>\n</head>\n<body>\n{body}",
        *([f"<script>{script}</script>"] if script else []),
        "</body>\n</html>\n",
    ])  # fmt: skip


def inline_image(content: bytes, kind: str, words: str) -> str:
    """A picture as an element that carries its content; kind: "png", "webp" or "svg+xml"."""
    data = base64.b64encode(content).decode("ascii")
    return f'<img src="data:image/{kind};base64,{data}" alt="{escape(words, quote=True)}">'


def _block(block: Block) -> str:
    if isinstance(block, Heading):
        return f"<h{block.level}>{escape(block.text)}</h{block.level}>"
    if isinstance(block, Answer):
        return "\n".join(_block(para) for para in block.paras)
    if isinstance(block, Para):
        return f"<p{' class=' + chr(34) + 'strong' + chr(34) if block.strong else ''}>{escape(block.text)}</p>"
    if isinstance(block, Bullets):
        return "<ul>\n" + "\n".join(f"<li>{escape(item)}</li>" for item in block.items) + "\n</ul>"
    if isinstance(block, Chart):
        return (
            f"<figure>\n{inline_image(chart_file(block, '.svg'), 'svg+xml', block.caption)}\n"
            f"<figcaption><strong>{escape(block.title)}</strong>{_keys(block.methods)} {escape(block.caption)}"
            "</figcaption>\n</figure>"
        )
    if isinstance(block, Picture):
        return f"<figure>{inline_image(block.content, block.kind, block.caption)}</figure>"
    return _table(block)


def _table(table: Table) -> str:
    if not table.rows:
        return ""
    long = {k for k in table.left if max(len(row[k]) for row in table.rows) > 48}

    def cells(row: tuple[str, ...], tag: str, number: int = -1) -> str:
        out = []
        for k, cell in enumerate(row):
            kinds = " ".join(["l"] * (k in table.left) + ["w"] * (k in long) + ["d"] * ((number, k) in table.marked))
            out.append(f"<{tag}{f' class={chr(34)}{kinds}{chr(34)}' if kinds else ''}>{escape(cell)}</{tag}>")
        return f"<tr>{''.join(out)}</tr>"

    rows = "\n".join(cells(row, "td", number) for number, row in enumerate(table.rows))
    note = f'\n<p class="note">{escape(table.note)}</p>' if table.note else ""
    return (
        f'<div class="scroll"><table>\n<caption>{escape(table.title)}{_keys(table.methods)}</caption>\n'
        f"<thead>{cells(table.heading, 'th')}</thead>\n<tbody>\n{rows}\n</tbody>\n</table></div>{note}"
    )


def _keys(methods: tuple[str, ...]) -> str:
    return f'<span class="m">{escape(by_methods(methods))}</span>' if methods else ""
