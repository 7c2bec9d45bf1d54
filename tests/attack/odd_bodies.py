"""What a browser might send to the page's server: recipes, plans, pull tests and readings, good at first and then broken.

A body is broken as JSON (values, keys and whole branches) or as text (bytes), so that both the reader of JSON and what
stands behind it meet what they do not expect.
"""

from __future__ import annotations

import copy
import json
import tomllib
from typing import Any, Final

from hypothesis import strategies as st

from helix.page.answers.downloads import DOWNLOADS
from helix.page.answers.joint_answer import START
from helix.page.answers.panes import PANES
from helix.studies.simulate.shipped import form_list, shipped_list
from helix.tasks.options import Option
from helix.tasks.registry import task
from tests.attack.asking import Request
from tests.attack.broken_files import NUMBER, ODD_VALUES, broken_files
from tests.attack.cases import AMOUNTS, LOADS, example
from tests.attack.corners import corners, text_of
from tests.attack.wide_recipes import wide_recipes

Drawn = st.DrawFn
Body = dict[str, Any]

_LEAVES: Final = (
    None, True, False, 0, -1, 1, 3, 10**40, -0.0, 1e308, 1e-320, 0.5, "", " ", "nan", "inf", "metric", "inch", [], {}, [[]], [None],
    ["6 mm"] * 30, {"": ""}, {"value": 6, "unit": "mm"}, "=SUM(A1)", "\u0000", "\u2028", "<script>", "../../etc/passwd", "joint.toml",
    "x" * 300, "5" * 500,
)  # fmt: skip
_TEXTS: Final = tuple(value.strip('"') for value in ODD_VALUES if len(value) < 40)
LONG: Final = (
    "spread",
    "choose",
    "cut",
    "pulls-plan",
    "pulls-read",
    "pulls-compare",
    "steps",
    "compare",
    "hold",
    "simulate",
)
"""Panes that simulate, search or draw charts, and may take as long as they take: jobs in a process of their own."""
_NEEDS_A_SCREEN: Final = ("png", "webp", "html")
_PATHS: Final = (
    "/api/joint", "/api/joint", "/api/joint", "/api/read", "/api/write", "/api/write", "/api/units",
    *(f"/api/pane/{name}" for name in PANES), "/api/pane/inspect", "/api/pane/inspect", "/api/pane/pulls-read",
    *(f"/api/file/{name}" for name in DOWNLOADS if name.rpartition(".")[2] not in _NEEDS_A_SCREEN or name in ("why.html", "pulls.html")),
)  # fmt: skip


@st.composite
def request_cases(draw: Drawn) -> list[Request]:
    """One request with a body that is good, broken as JSON, or broken as text."""
    path = draw(st.sampled_from(_PATHS))
    body = draw(_bodies(path))
    for _ in range(draw(st.sampled_from([0, 0, 1, 1, 1, 2]))):
        body = draw(_broken(body))
    content = json.dumps(body)
    if draw(st.integers(0, 9)) == 0:
        content = draw(broken_files(content)).decode("utf-8", "surrogateescape")
    name = path.rpartition("/")[2]
    slow = name in LONG or path.startswith("/api/file/")
    return [Request(path, content.encode("utf-8", "surrogateescape"), slow)]


# ------------------------------------------------------------------ good bodies


@st.composite
def _bodies(draw: Drawn, path: str) -> Body:
    """What the page itself might send there."""
    kind, name = path.split("/")[2], path.rpartition("/")[2]
    units = {"units": draw(st.sampled_from(["metric", "inch"]))}
    if kind == "read":
        text = draw(st.one_of(wide_recipes(), _text_of("reef-station.toml")))
        return {"kind": draw(st.sampled_from(["recipe", "plan"])), "text": text}
    if kind in ("joint", "write", "units"):
        return {"recipe": draw(_tables), "draft": draw(st.booleans()), **units}
    if name == "form-it":
        return units | {"keys": draw(st.lists(st.sampled_from([*form_list(), "none"]), max_size=3))}
    if name == "pull-it":  # no task: films that come with helix
        return units | {"keys": draw(st.lists(st.sampled_from([*shipped_list(), "none"]), max_size=3))}
    body = units | draw(_options(_task_of(kind, name)))
    # one pull from the exact joint: three that are wound first take half a minute, whatever stands in the body
    return body | {"friction": ["0.3"], "start": "exact", "pull": True, "form": False} if name == "simulate" else body


def _task_of(kind: str, name: str) -> str:
    if kind == "pane":
        return "inspect" if name == "inspect-drawing" else name.replace("-", " ")
    from helix.page.answers.downloads import FILES

    return "shape" if FILES[name].task == "new" else FILES[name].task


@st.composite
def _options(draw: Drawn, name: str) -> Body:
    """The options of a task, a few of them or all."""
    body: Body = {}
    for option in task(name).options:
        if option.kind.name in _OPENED:
            body = draw(_OPENED[option.kind.name]()) | body
        elif option.required or draw(st.integers(0, 3)) == 0:
            body[option.key] = draw(_value(option))
    return body


def _value(option: Option) -> st.SearchStrategy[Any]:
    if option.kind.name == "tick":
        return st.booleans()
    if option.kind.name == "choice":
        return st.sampled_from([*option.kind.words, "neither"])
    if option.key in _COUNTS:
        single: st.SearchStrategy[Any] = _COUNTS[option.key]
    elif option.key in ("load", "hand_force", "expect_load", "rated"):
        single = LOADS
    elif option.default:
        single = st.one_of(st.just(option.default), st.just(option.default), _plain, AMOUNTS)
    else:
        single = st.one_of(AMOUNTS, _plain, st.builds("{} +- {}".format, AMOUNTS, AMOUNTS))
    return st.lists(single, max_size=3) if option.many else single


_plain = st.one_of(st.floats(0.0, 12.0).map(lambda number: f"{number:.3g}"), st.sampled_from(_TEXTS))
_few = st.one_of(st.sampled_from(["1", "20", "100", "300", "0", "-5", "1e3", "2.5"]), _plain)
_COUNTS: Final[dict[str, st.SearchStrategy[Any]]] = {
    "draws": _few, "seconds": st.sampled_from(["0.2", "0.5", "0", "-1", "1e-9", "nan"]), "seed": _plain,
    "size": st.sampled_from(["300x200", "1x1", "0x0", "9999999x2", "320", "x"]), "width": st.sampled_from(["300", "1", "0", "1e9"]),
    "family": st.sampled_from(["MWG", "AWG", "SWG", "none"]), "by": st.sampled_from(["group", "maker", "batch", "size", "nothing"]),
    "friction": st.sampled_from(["0", "0.05", "L=1e-9", "E=10", "5", "L=0.1,E=0.2"]),
}  # fmt: skip
"""Options whose value makes the work long or is a word."""


@st.composite
def _wide_tables(draw: Drawn) -> Body:
    return tomllib.loads(draw(wide_recipes()))


@st.composite
def _corner_tables(draw: Drawn) -> Body:
    """A good recipe but for one or two values at the ends of their ranges."""
    first, second = draw(st.sampled_from(corners())), draw(st.sampled_from(corners()))
    return tomllib.loads(text_of((first, second) if draw(st.booleans()) and first[:2] != second[:2] else (first,)))


_tables = st.one_of(_wide_tables(), _corner_tables(), st.just(START))


def _text_of(name: str) -> st.SearchStrategy[str]:
    """The text of an example, sound or broken."""
    good = example(name)
    return st.one_of(
        st.just(good), broken_files(good).map(lambda content: content.decode("utf-8", "replace").replace("\r\n", "\n"))
    )


@st.composite
def _plans(draw: Drawn) -> Body:
    return {
        "plan": draw(_text_of("reef-station.toml")),
        "recipe": draw(_tables),
        "recipes": {"logger-tether.toml": tomllib.loads(example("logger-tether.toml"))},
    }


@st.composite
def _pulls(draw: Drawn) -> Body:
    """Pull tests, recipes that they name, curves and their mapping."""
    rows = example("pulls/logger-tethers.csv").replace("../", "").replace("curves/", "")
    kind = draw(st.sampled_from(["tests", "tests", "curve", "mapping"]))
    bare = kind == "tests" and draw(st.booleans())
    files = [{"name": "p.csv", "text": draw(_broken_text(rows)) if kind == "tests" else rows}]
    if not bare:
        mapping, curve = example("pulls/curves.toml"), example("pulls/curves/L001.csv")
        files.append({"name": "curves.toml", "text": draw(_broken_text(mapping)) if kind == "mapping" else mapping})
        files += [
            {"name": f"L00{k}.csv", "text": draw(_broken_text(curve)) if kind == "curve" and k == 1 else curve}
            for k in range(1, draw(st.integers(2, 9)))
        ]
    recipes = {name: tomllib.loads(example(path)) for name, path in _NAMED.items()}
    return {"files": files, "recipes": recipes, "leave_out": draw(st.booleans())}


_NAMED: Final = {"logger-tether.toml": "logger-tether.toml", "steep-exit.toml": "pulls/steep-exit.toml"}


def _broken_text(good: str) -> st.SearchStrategy[str]:
    return broken_files(good).map(lambda content: content.decode("utf-8", "replace"))


@st.composite
def _several(draw: Drawn) -> Body:
    return {"recipes": draw(st.lists(_tables, min_size=1, max_size=3))}


@st.composite
def _slips(draw: Drawn) -> Body:
    if draw(st.integers(0, 3)):
        return {}
    return {"calibrate": {"name": "t.csv", "text": draw(_text_of("invented-slips.csv"))}}


_OPENED: Final = {
    "recipe": lambda: st.builds(lambda tables: {"recipe": tables}, _tables),
    "recipes": _several,
    "plan": _plans,
    "pulls": _pulls,
    "slip tests": _slips,
    "mapping": lambda: st.just({}),
    "own pulls": lambda: st.just({}),
}


# ------------------------------------------------------------------ and broken


@st.composite
def _broken(draw: Drawn, body: Body) -> Body:
    """One thing in a body is another, gone, doubled, moved or put deeper."""
    body = copy.deepcopy(body)
    places = list(_places(body))
    if not places:
        return {"": draw(st.sampled_from(_LEAVES))}
    holder, key = draw(st.sampled_from(places))
    way = draw(
        st.sampled_from(
            [
                "odd",
                "odd",
                "text",
                "number",
                "scaled",
                "scaled",
                "scaled",
                "scaled",
                "gone",
                "renamed",
                "deeper",
                "swapped",
            ]
        )
    )
    if way == "odd":
        holder[key] = copy.deepcopy(draw(st.sampled_from(_LEAVES)))
    elif way == "text":
        holder[key] = draw(st.one_of(st.sampled_from(_TEXTS), AMOUNTS, st.text(max_size=12)))
    elif way == "number":
        holder[key] = draw(st.one_of(st.floats(allow_nan=False, allow_infinity=False), st.integers(-3, 2000)))
    elif way == "scaled":
        holder[key] = _scaled(holder[key], 10.0 ** draw(st.floats(-3.0, 3.0)))
    elif way == "gone":
        del holder[key]
    elif way == "deeper":
        for _ in range(draw(st.sampled_from([1, 2, 25, 400]))):
            holder[key] = draw(st.sampled_from([{"value": holder[key]}, [holder[key]]]))
    elif way == "renamed" and isinstance(holder, dict):
        name = draw(st.one_of(st.text(max_size=8), st.sampled_from(["__class__", "turns", "pin", "wire", "recipe"])))
        holder[name] = holder.pop(key)
    else:
        other, there = draw(st.sampled_from(places))
        holder[key], other[there] = copy.deepcopy(other[there]), copy.deepcopy(holder[key])
    return body


def _scaled(value: Any, factor: float) -> Any:
    """The first number in a value larger or smaller: it still reads."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return value * factor if abs(value) < 1e300 else value
    if isinstance(value, str) and len(value) < 100:
        return NUMBER.sub(lambda number: f"{float(number[0]) * factor:.4g}", value, count=1)
    return value


def _places(value: Any) -> list[tuple[Any, Any]]:
    """Every holder and key in a body."""
    keys = list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    return [place for key in keys for place in ((value, key), *_places(value[key]))]
