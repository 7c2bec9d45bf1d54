"""Every output that helix can make, as what a person reads in it: words of a terminal, a page, a sheet, a picture.

Pictures and charts are not painted: their words are taken from the canvas or the figure that would be.
"""

from __future__ import annotations

import base64
import contextlib
import html
import io
import json
import re
import struct
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from helix.commands.main import main
from helix.model.recipe.recipe_parts import Recipe
from helix.output.canvas.canvas import Canvas
from helix.output.canvas.primitives import Text
from helix.studies.simulate.pull_result import PullSimulation
from helix.studies.simulate.shipped import shipped_pull
from helix.tasks import registry
from helix.tasks.task import Given, Task
from tests.tools.pdf_text import page_texts

EXAMPLES = Path(__file__).resolve().parents[2] / "docs/examples"
DEMO = str(EXAMPLES / "logger-tether.toml")
FAULTY = str(EXAMPLES / "faults/wide-throat.toml")
PLAN = str(EXAMPLES / "reef-station.toml")
PULLS = str(EXAMPLES / "pulls/logger-tethers.csv")
FEW = ("--draws", "100")
METRIC = re.compile(
    r"\bmm\b|\bcm\b|(?:\d |, |per |\()[NJ]\b(?! of)|\bMPa\b|\bGPa\b|millimet|(?<!dia)metre|\bkg\b|\bm/s\b|[0-9] g\b"
)
TWICE = re.compile(r"\bin in\b")
INSIDE = ", pictures inside"
"""What is added to the name of a page, for the words of its pictures, which stand by themselves."""
_FILES = ("-o", "--chart", "--charts", "--csv", "--points", "--labels", "--order")


@dataclass(frozen=True)
class Row:
    """An output: the command that makes it, its file ("" for the terminal; a folder has no ending).

    load: carries a load or tells hands what to do. demo: shows data that are invented. drawn: of few words, so that a
    mark may stand anywhere on it. units: in those that were asked for; what programs read is metric, and a recipe as made
    in the units of the recipe.
    """

    words: tuple[str, ...]
    file: str = ""
    load: bool = True
    demo: bool = True
    drawn: bool = False
    units: bool = True


def _joint(name: str, *words: str, **more: Any) -> Row:
    return Row((*name.split(), "{joint}", *words), **more)


ROWS: dict[str, Row] = {
    # the terminal: answer, all, data for programs
    "shape": _joint("shape"),
    "shape, all": _joint("shape", "--all"),
    "shape, JSON": _joint("shape", "--json", units=False),
    "points": _joint("shape", "--points", "points.csv", file="points.csv", load=False, demo=False, units=False),
    "hold": _joint("hold", *FEW),
    "hold, all": _joint("hold", "--all", *FEW),
    "hold, table": _joint("hold", "--table", *FEW),
    "hold, JSON": _joint("hold", "--json", *FEW, units=False),
    "why": _joint("why", *FEW),
    "why, all": _joint("why", "--all", *FEW),
    "why, JSON": _joint("why", "--json", *FEW, units=False),
    "form": _joint("form"),
    "form, all": _joint("form", "--all"),
    "form, JSON": _joint("form", "--json", units=False),
    "stretch": _joint("stretch", "--load", "300 N"),
    "stretch, all": _joint("stretch", "--load", "300 N", "--all"),
    "stretch, JSON": _joint("stretch", "--load", "300 N", "--json", units=False),
    "spread": _joint("spread", *FEW),
    "spread, all": _joint("spread", *FEW, "--all"),
    "spread, JSON": _joint("spread", *FEW, "--json", units=False),
    "inspect": _joint("inspect", "--turns", "4"),
    "inspect, readings that do not fit": _joint("inspect", "--turns", "5", "--wraps", "5", "--length", "40 mm"),
    "inspect, all": _joint("inspect", "--turns", "4", "--evenness", "nearly-even", "--all"),
    "inspect, JSON": _joint("inspect", "--turns", "4", "--json", units=False),
    "inspect, recipe as made": _joint("inspect", "--turns", "4", "-o", "made.toml", file="made.toml", load=False, units=False),
    "link": _joint("link"),
    "link, ring, all": _joint("link", "--ring", "3 mm", "--ring-inside", "20 mm", "--all"),
    "link, JSON": _joint("link", "--json", units=False),
    "simulate": _joint("simulate"),
    "simulate, all": _joint("simulate", "--all"),
    "simulate, page": _joint("simulate", "-o", "pull.html", file="pull.html"),
    "simulate, moving": _joint(
        "simulate", "-o", "pull.webp", file="pull.webp", drawn=True
    ),
    "simulate, moments": _joint(
        "simulate", "-o", "pull.csv", file="pull.csv", load=False, demo=False, units=False
    ),
    "simulate, JSON file": _joint(
        "simulate", "-o", "pull.json", file="pull.json", load=False, units=False
    ),
    "simulate, forming": _joint("simulate", "--form"),
    "simulate, forming, all": _joint("simulate", "--form", "--all"),
    "simulate, forming, page": _joint("simulate", "--form", "-o", "form.html", file="form.html"),
    "simulate, forming, moving": _joint("simulate", "--form", "-o", "form.webp", file="form.webp", drawn=True),
    "simulate, forming, moments": _joint(
        "simulate", "--form", "-o", "form.csv", file="form.csv", load=False, demo=False, units=False
    ),
    "simulate, JSON": _joint("simulate", "--json", units=False),
    "sizes": Row(("sizes",), demo=False),
    "sizes, all": Row(("sizes", "--all"), demo=False),
    "sizes, JSON": Row(("sizes", "--json"), demo=False, units=False),
    "choose": Row(("choose", "--load", "400 N", "--family", "MWG", "--rows", "2"), demo=False),
    "choose, all": Row(("choose", "--load", "400 N", "--family", "MWG", "--rows", "2", "--all"), demo=False),
    "choose, JSON": Row(("choose", "--load", "400 N", "--family", "MWG", "--rows", "2", "--json"), demo=False, units=False),
    "new": Row(("new", "joint.toml"), "joint.toml", load=False, demo=False),
    "cut": Row(("cut", PLAN, "--seconds", "0.5")),
    "cut, all": Row(("cut", PLAN, "--seconds", "0.5", "--all")),
    "cut, JSON": Row(("cut", PLAN, "--seconds", "0.5", "--json"), units=False),
    "cut, list": Row(("cut", PLAN, "--seconds", "0.5", "--csv", "cut.csv"), "cut.csv", load=False, demo=False, units=False),
    "pulls read": Row(("pulls", "read", PULLS)),
    "pulls read, all": Row(("pulls", "read", PULLS, "--all")),
    "pulls read, JSON": Row(("pulls", "read", PULLS, "--json"), units=False),
    "pulls compare": Row(("pulls", "compare", PULLS, "--by", "group")),
    "pulls compare, all": Row(("pulls", "compare", PULLS, "--by", "group", "--all")),
    "pulls compare, JSON": Row(("pulls", "compare", PULLS, "--by", "group", "--json"), units=False),
    "pulls plan": _joint("pulls plan"),
    "pulls plan, all": _joint("pulls plan", "--all"),
    "pulls plan, JSON": _joint("pulls plan", "--json", units=False),
    "pulls order": _joint("pulls plan", "--order", "order.csv", file="order.csv", load=False, demo=False, units=False),
    "pulls template": Row(("pulls", "template"), load=False, demo=False),
    # pages and papers
    "sheet": _joint("sheet", "-o", "joint.pdf", file="joint.pdf"),
    "cut sheet, PDF": Row(("cut", PLAN, "--seconds", "0.5", "-o", "cut.pdf"), "cut.pdf"),
    "cut sheet, SVG": Row(("cut", PLAN, "--seconds", "0.5", "-o", "cut.svg"), "cut.svg", drawn=True),
    "labels": _joint("pulls plan", "--labels", "labels.pdf", file="labels.pdf"),
    "why, page": _joint("why", *FEW, "-o", "why.html", file="why.html"),
    "pulls read, page": Row(("pulls", "read", PULLS, "-o", "read.html"), "read.html"),
    "pulls read, PDF": Row(("pulls", "read", PULLS, "-o", "read.pdf"), "read.pdf"),
    "pulls compare, page": Row(("pulls", "compare", PULLS, "--by", "group", "-o", "by.html"), "by.html"),
    "pulls compare, PDF": Row(("pulls", "compare", PULLS, "--by", "group", "-o", "by.pdf"), "by.pdf"),
    "pulls plan, page": _joint("pulls plan", "-o", "plan.html", file="plan.html"),
    "pulls plan, PDF": _joint("pulls plan", "-o", "plan.pdf", file="plan.pdf"),
    "handout": _joint("compare", FAULTY, "-o", "class.pdf", file="class.pdf"),
    # pictures, drawings, charts
    "picture": _joint("draw", "-o", "joint.png", file="joint.png", drawn=True),
    "picture, strain": _joint("draw", "--colour", "strain", "-o", "strain.png", file="strain.png", drawn=True),
    "drawing": _joint("draw", "-o", "joint.svg", file="joint.svg", drawn=True),
    "model, STL": _joint("draw", "-o", "joint.stl", "--quality", "draft", file="joint.stl", load=False, units=False),
    "model, GLB": _joint("draw", "-o", "joint.glb", "--quality", "draft", file="joint.glb", load=False, units=False),
    "model, PLY": _joint("draw", "-o", "joint.ply", "--quality", "draft", file="joint.ply", load=False, units=False),
    "view": _joint("view", file="view", load=False),
    "viewer": _joint("draw", "-o", "joint.html", file="joint.html"),
    "compare": _joint("compare", FAULTY, "-o", "both.png", file="both.png", drawn=True),
    "compare, drawing": _joint("compare", FAULTY, "-o", "both.svg", file="both.svg", drawn=True),
    "compare, page": _joint("compare", FAULTY, "-o", "both.html", file="both.html"),
    "compare, terminal": _joint("compare", FAULTY, "-o", "more.svg", "--all"),
    "compare, answer": _joint("compare", FAULTY),
    "compare, JSON": _joint("compare", FAULTY, "-o", "data.svg", "--json", units=False),
    "steps": _joint("steps", "-o", "steps", file="steps", drawn=True),
    "steps, terminal": _joint("steps", "-o", "more-steps", "--all"),
    "steps, page": _joint("steps", "-o", "steps.html", file="steps.html"),
    "steps, moving": _joint("steps", "-o", "steps.webp", file="steps.webp", drawn=True),
    "hold, chart PNG": _joint("hold", *FEW, "--chart", "hold.png", file="hold.png", drawn=True),
    "hold, chart SVG": _joint("hold", *FEW, "--table", "--chart", "hold.svg", file="hold.svg", drawn=True),
    "hold, chart PDF": _joint("hold", *FEW, "--chart", "hold.pdf", file="hold.pdf", drawn=True),
    "link, picture": _joint("link", "-o", "link.png", file="link.png", drawn=True),
    "link, drawing": _joint("link", "--ring", "3 mm", "--ring-inside", "20 mm", "-o", "link.svg", file="link.svg", drawn=True),
    "link, page": _joint("link", "-o", "link.html", file="link.html"),
    "link, chart": _joint("link", "--chart", "link.png", file="link.png", drawn=True),
    "link, chart SVG": _joint("link", "--chart", "link.svg", file="link.svg", drawn=True),
    "link, chart PDF": _joint("link", "--chart", "link.pdf", file="link.pdf", drawn=True),
    "pulls read, charts": Row(("pulls", "read", PULLS, "--charts", "charts"), "charts", drawn=True),
}  # fmt: skip


class Window:
    """A window that is not opened: its words stand in a file."""

    def __init__(self, title: str, **_: Any) -> None:
        self.words, self.camera = [title], SimpleNamespace()

    def add_text(self, text: str, **_: Any) -> None:
        self.words.append(text)

    def show(self, **_: Any) -> None:
        Path("view").write_text("\n".join(self.words), encoding="utf-8")

    def __getattr__(self, name: str) -> Any:
        return lambda *_, **__: None


@dataclass
class Painted:
    """The words of every picture and chart that was to be painted; results of studies, by what was asked for."""

    pictures: list[list[str]] = field(default_factory=list)
    results: dict[tuple[str, ...], Any] = field(default_factory=dict)
    asked: tuple[str, ...] = ()

    def add(self, words: list[str]) -> int:
        """Keep the words of a picture; its number, by which its file is known."""
        self.pictures.append(words)
        return len(self.pictures) - 1


def _shipped(recipe: Recipe, *_: Any, **__: Any) -> PullSimulation:
    run = shipped_pull("throat-100" if recipe.eye.throat_rad else "turns-5").run
    return PullSimulation(recipe=recipe, strength_n=recipe.wire.breaking_load_n[1], runs=(run,))


@contextlib.contextmanager
def unpainted() -> Iterator[Painted]:
    """Pictures and charts give their words in place of being painted."""
    import matplotlib.text

    from helix.output.canvas import canvas
    from helix.output.link import link_picture
    from helix.output.picture import gl, picture, window
    from helix.output.report import chart_sheet
    from helix.output.simulate import moving, pull_moving
    from helix.output.teaching import animation, compare_picture, steps_folder
    from helix.studies.simulate.shipped import shipped_form
    from helix.tasks.simulate import simulate_task

    painted = Painted()

    def pixels(made: Canvas, *_: Any, **__: Any) -> np.ndarray:
        number = painted.add([item.text for item in (*made.under, *made.over) if isinstance(item, Text)])
        numbered = np.full((2, 2, 4), 255, dtype=np.uint8)
        numbered[..., :3] = number // 256, number % 256, 0
        return numbered

    def saved(figure: Any, suffix: str, title: str = "") -> bytes:
        texts = [part.get_text() for part in figure.findobj(matplotlib.text.Text) if part.get_visible()]
        number = painted.add([" ".join(text.split()) for text in texts if text.strip()])
        return b"<svg chart=%d></svg>" % number

    one = registry.task

    def shared(name: str) -> Task:
        found = one(name)

        def run(given: Given) -> Any:
            if painted.asked not in painted.results:
                painted.results[painted.asked] = found.run(given)
            return painted.results[painted.asked]

        return replace(found, run=run)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gl, "rendering_problem", lambda: None)
        for module in (canvas, picture, compare_picture, link_picture, steps_folder, animation, moving):
            patch.setattr(module, "canvas_pixels", pixels)
        for module in (steps_folder, animation, moving):
            patch.setattr(module, "painter", lambda: contextlib.nullcontext(object()))
        patch.setattr(animation, "MOST_FRAMES", 0)
        patch.setattr(pull_moving, "BETWEEN", 1)
        # a simulation takes half a minute: those that come with helix
        patch.setattr(simulate_task, "simulate_form", lambda *_, **__: shipped_form("hands-90").run)
        patch.setattr(simulate_task, "simulate_pull", _shipped)
        patch.setattr(chart_sheet, "_saved", saved)
        patch.setattr(registry, "task", shared)
        patch.setattr(window, "window_problem", lambda: None)
        patch.setitem(sys.modules, "pyvista", SimpleNamespace(PolyData=lambda *_: {}, Plotter=Window))
        yield painted


def read(name: str, row: Row, joint: str, units: str, folder: Path, painted: Painted) -> dict[str, list[str]]:
    """Make an output; what a person reads in each of its files, or in the terminal, line by line or piece by piece."""
    words = [word.format(joint=joint) for word in row.words]
    words += ["--units", units] if row.words[0] != "view" else []
    painted.asked = tuple(_asked(words))
    first = len(painted.pictures)
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()), contextlib.chdir(folder):
        assert main(words) == 0, (name, out.getvalue())
    if not row.file:
        return {name: _json_words(out.getvalue()) if "--json" in words else [_one_line(out.getvalue())]}
    made = folder / row.file
    files = sorted(made.iterdir()) if made.is_dir() else [made]
    found = {f"{name}: {path.name}": read_file(path, painted.pictures, first) for path in files}
    if made.suffix == ".html":
        found[f"{name}{INSIDE}"] = [text for texts in painted.pictures[first:] for text in texts]
    return found


def _asked(words: list[str]) -> Iterator[str]:
    """A command without what changes only how its answer is shown."""
    after = iter(words)
    for word in after:
        if word in _FILES:
            next(after)
        elif word not in ("--all", "--json"):
            yield word


def help_words() -> Iterator[tuple[str, str]]:
    """Every command and what its --help says."""
    for name in (*registry.SENTENCES, "page"):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            assert main([*name.split(), "--help"]) == 0
        yield name, _one_line(out.getvalue())


def page_words() -> Iterator[tuple[str, str]]:
    """Every module of the page's sources and each sentence in it that may be shown; shading is none."""
    for path in sorted((Path(registry.__file__).parents[1] / "page/source").rglob("*.js")):
        code = re.sub(r"(?m)^\s*//.*$|(?s:/\*.*?\*/)", "", path.read_text(encoding="utf-8"))
        for found in re.findall(r'"([^"\n]*)"|`([^`]*)`|\'([^\'\n]*)\'', code):
            words = re.sub(r"\$\{[^}]*\}", "", max(found, key=len))
            if " " in words.strip() and ";\n" not in words:
                yield path.name, words


def read_file(path: Path, pictures: list[list[str]], first: int) -> list[str]:
    """What stands in a file; pictures: the words of all that were made, from the first of this output on."""
    content = path.read_bytes()
    chart = re.fullmatch(rb"<svg chart=(\d+)></svg>", content)
    if chart:
        return pictures[int(chart[1])]
    match path.suffix:
        case ".png":
            from PIL import Image

            high, low, _ = Image.open(path).convert("RGB").getpixel((0, 0))
            return pictures[256 * high + low]
        case ".webp" | ".gif":
            return [text for texts in pictures[first:] for text in texts]
        case ".svg":
            return svg_words(content.decode())
        case ".pdf":
            return pdf_words(content)
        case ".html":
            return html_words(content.decode())
        case ".stl":
            return [content[:80].decode("ascii").strip()]
        case ".ply":
            head = content[: content.index(b"end_header")].decode("ascii")
            return [line.removeprefix("comment ") for line in head.splitlines() if line.startswith("comment ")]
        case ".glb":
            (long,) = struct.unpack("<I", content[12:16])
            tree = json.loads(content[20 : 20 + long])
            return [*json_strings([mesh.get("extras") for mesh in tree["meshes"]]), *json_strings(tree["asset"])]
    return [_one_line(content.decode())]


def pdf_words(content: bytes) -> list[str]:
    """Each page's words on a line of their own."""
    return [_one_line(text) for text in page_texts(content)]


def svg_words(text: str) -> list[str]:
    """The text elements of a drawing."""
    return [
        html.unescape(re.sub("<[^>]*>", "", found)) for found in re.findall(r"<text[^>]*>(.*?)</text>", text, re.DOTALL)
    ]


def html_words(text: str) -> list[str]:
    """What a page shows: its words, those of drawings inside it, and what its 3-D view is given to show."""
    pieces = []
    for data in re.findall(r"data:image/svg\+xml;base64,([^\"]+)", text):
        pieces += svg_words(base64.b64decode(data).decode())
    for data in re.findall(r'<script type="application/json"[^>]*>(.*?)</script>', text, re.DOTALL):
        pieces += _json_words(data)
    pieces += svg_words(text)
    text = re.sub(r"<(script|style|svg)\b.*?</\1>|<!--.*?-->", " ", text, flags=re.DOTALL)
    blocks = re.split(r"</?(?:p|div|li|tr|h\d|figcaption|caption|table|section|header|button)\b[^>]*>", text)
    return [*pieces, *(words for block in blocks if (words := _one_line(html.unescape(re.sub("<[^>]*>", " ", block)))))]


def _json_words(text: str) -> list[str]:
    return list(json_strings(json.loads(text)))


def json_strings(value: Any) -> Iterator[str]:
    """Every sentence in data; neither keys, nor numbers in text, nor drawings (their words alone)."""
    if isinstance(value, str):
        if value.startswith("<svg"):
            yield from svg_words(value)
        elif " " in value:
            yield value
    elif isinstance(value, dict):
        if value.get("invented") is True:
            yield "invented"
        for part in value.values():
            yield from json_strings(part)
    elif isinstance(value, list):
        for part in value:
            yield from json_strings(part)


def _one_line(text: str) -> str:
    return " ".join(text.split())
