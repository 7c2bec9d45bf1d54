"""A document as one HTML file that needs nothing else: no script, no link, pictures inside."""

from __future__ import annotations

import base64
from html import escape
from typing import Final

from helix.output.report.chart_sheet import chart_file
from helix.output.report.document import Block, Bullets, Chart, Document, Heading, Para, Table, by_methods

_STYLE: Final = """
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, "Segoe UI", "DejaVu Sans", Arial, sans-serif; color: #1a1a1a; background: #fff;
  max-width: 62rem; margin: 2rem auto; padding: 0 1.2rem; }
h1 { font-size: 1.6rem; margin: 0 0 .6rem; } h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; border-bottom: 1px solid #999; }
h3 { font-size: 1rem; margin: 1.2rem 0 .3rem; } p { margin: .5rem 0; } p.strong { font-weight: 600; }
.scroll { overflow-x: auto; } table { border-collapse: collapse; font-size: .87rem; margin: .3rem 0; }
caption { text-align: left; font-weight: 600; padding: .4rem 0 .2rem; }
th, td { padding: .18rem .6rem; text-align: right; border-bottom: 1px solid #ccc; white-space: nowrap; vertical-align: top; }
th { border-bottom: 2px solid #555; font-weight: 600; } .l { text-align: left; } .w { white-space: normal; min-width: 14rem; }
.note { font-size: .85rem; color: #444; } figure { margin: 1rem 0; } figure img { width: 100%; height: auto; }
figcaption { font-size: .9rem; color: #333; } .m { color: #555; font-weight: 400; font-size: .85em; }
@media print { body { margin: 0; max-width: none; font-size: 10pt; } figure, table { break-inside: avoid; } }
""".strip()


def document_html(document: Document) -> str:
    """The whole document as HTML text; charts are drawn as SVG and set inside."""
    body = "\n".join(_block(block) for block in document.blocks)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; img-src data:; '
        "style-src 'unsafe-inline'\">\n"
        f"<title>{escape(document.title)}</title>\n<style>\n{_STYLE}\n</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _block(block: Block) -> str:
    if isinstance(block, Heading):
        return f"<h{block.level}>{escape(block.text)}</h{block.level}>"
    if isinstance(block, Para):
        return f"<p{' class=' + chr(34) + 'strong' + chr(34) if block.strong else ''}>{escape(block.text)}</p>"
    if isinstance(block, Bullets):
        return "<ul>\n" + "\n".join(f"<li>{escape(item)}</li>" for item in block.items) + "\n</ul>"
    if isinstance(block, Chart):
        picture = base64.b64encode(chart_file(block, ".svg")).decode("ascii")
        return (
            f'<figure>\n<img src="data:image/svg+xml;base64,{picture}" alt="{escape(block.caption, quote=True)}">\n'
            f"<figcaption><strong>{escape(block.title)}</strong>{_keys(block.methods)} {escape(block.caption)}"
            "</figcaption>\n</figure>"
        )
    return _table(block)


def _table(table: Table) -> str:
    if not table.rows:
        return ""
    long = {k for k in table.left if max(len(row[k]) for row in table.rows) > 48}

    def cells(row: tuple[str, ...], tag: str) -> str:
        out = []
        for k, cell in enumerate(row):
            kinds = " ".join(["l"] * (k in table.left) + ["w"] * (k in long))
            out.append(f"<{tag}{f' class={chr(34)}{kinds}{chr(34)}' if kinds else ''}>{escape(cell)}</{tag}>")
        return f"<tr>{''.join(out)}</tr>"

    rows = "\n".join(cells(row, "td") for row in table.rows)
    note = f'\n<p class="note">{escape(table.note)}</p>' if table.note else ""
    return (
        f'<div class="scroll"><table>\n<caption>{escape(table.title)}{_keys(table.methods)}</caption>\n'
        f"<thead>{cells(table.heading, 'th')}</thead>\n<tbody>\n{rows}\n</tbody>\n</table></div>{note}"
    )


def _keys(methods: tuple[str, ...]) -> str:
    return f'<span class="m">{escape(by_methods(methods))}</span>' if methods else ""
