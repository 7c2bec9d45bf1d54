"""The page that turns a joint, as a file: self-contained, forbidding what it does not need, fitting its sources.

Map of what must hold:
  nothing in the page is fetched: no address in an attribute, a policy that allows only what is in the file
  the policy's hashes are those of the script and style in the file
  the data cannot end its element, whatever the recipe's title says
  the angles are those of the bends, drawn from the wire along the wire, or from the throat along the legs of the eye
  the rings are the joint's own samples; their frame is square; colours agree with the legends
  the built viewer fits its sources; no file of the page names a registry
  bad input: one line a fault, exit code 2, no file
"""

from __future__ import annotations

import base64
import hashlib
import importlib.util
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from helix.commands.main import main
from helix.findings import Severity
from helix.model.recipe.recipe import read_recipe
from helix.output.hold.hold_answers import strength_line
from helix.output.picture.view import shown_part
from helix.output.shape.colouring import OVERLAP, SEVERITY_COLOURS, hex_of
from helix.output.viewer.scene import scene
from helix.output.viewer.shared_page import page_html
from helix.studies.shape.shape import ShapeResult, shape

ROOT = Path(__file__).resolve().parents[3]
PAGE = ROOT / "helix" / "page"
ELSEWHERE = {"http://www.w3.org", "https://opencollective.com", "https://github.com"}
GOOD = "docs/examples/logger-tether.toml"
SHARP = "docs/examples/faults/overbent-120.toml"


class Elements(HTMLParser):
    """Every element's attributes and the text of scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, list[str]] = {}
        self.inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        self.inside = tag
        if tag in ("script", "style"):
            self.texts.setdefault(tag, []).append("")

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside in ("script", "style"):
            self.texts[self.inside][-1] += data


@pytest.fixture(scope="module")
def good() -> ShapeResult:
    return shape(read_recipe(ROOT / GOOD))


@pytest.fixture(scope="module")
def sharp() -> ShapeResult:
    return shape(read_recipe(ROOT / SHARP))


def array(text: str, kind: str, columns: int = 1) -> Any:
    return np.frombuffer(base64.b64decode(text), kind).reshape(-1, columns)


def test_nothing_in_the_page_is_fetched(good: ShapeResult) -> None:
    elements = Elements(page_html(good, steps=False))
    for tag, attributes in elements.found:
        for name in ("src", "srcset", "data", "action", "poster", "xlink:href"):
            assert name not in attributes, tag
        assert tag in ("link", "a") or "href" not in attributes
        assert tag != "a"
        assert attributes.get("href", "data:,") == "data:,"
    assert "url(" not in elements.texts["style"][0]
    assert "@import" not in elements.texts["style"][0]


def test_policy_allows_only_what_is_in_the_file(good: ShapeResult) -> None:
    elements = Elements(page_html(good, steps=False))
    policies = [a["content"] for _, a in elements.found if a.get("http-equiv") == "Content-Security-Policy"]
    assert len(policies) == 1
    rules = dict(rule.strip().split(" ", 1) for rule in str(policies[0]).split(";"))
    assert rules["default-src"] == "'none'"

    def digest(text: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

    assert rules["script-src"].split() == [digest(text) for text in elements.texts["script"][1:]]
    assert rules["style-src"] == digest(elements.texts["style"][0])
    assert set(rules) == {"default-src", "script-src", "style-src", "img-src", "base-uri", "form-action"}
    assert rules["img-src"] == "data:"
    assert not any("style" in attributes for _, attributes in elements.found)


def test_no_two_elements_share_a_name(good: ShapeResult) -> None:
    names = [attributes["id"] for _, attributes in Elements(page_html(good, steps=False)).found if "id" in attributes]
    assert len(names) == len(set(names)) > 10


@pytest.mark.parametrize("title", ["</script><script>alert(1)</script>", "<!--", "a & b < c > d \" e '"])
def test_a_title_cannot_break_the_page(good: ShapeResult, title: str) -> None:
    elements = Elements(page_html(replace(good, recipe=replace(good.recipe, title=title)), steps=False))
    assert len(elements.texts["script"]) == 3
    assert json.loads(elements.texts["script"][0])["schema"] == 1


def test_licences_stand_in_the_page(good: ShapeResult) -> None:
    licence = (PAGE / "built" / "licences.txt").read_text(encoding="utf-8")
    assert "Permission is hereby granted" in licence
    assert licence.strip() in page_html(good, steps=False)


def test_numbers_of_the_page_are_those_of_the_result(good: ShapeResult) -> None:
    text = re.sub(r"<[^>]+>", "\n", page_html(good, steps=False).split("<aside")[1].split("</aside>")[0])
    assert f"{good.cut.total_mm:.0f}" in page_html(good, steps=False).split("<aside")[0]
    for number in (good.counts.turns, good.counts.crossings):
        assert re.search(rf"^{number:g}\b", text, re.MULTILINE)
    for bend in good.bends:
        assert f"{bend.strain:.2f}" in text


@pytest.mark.parametrize("joint", ["good", "sharp"])
def test_angles_lie_on_the_wires_that_they_measure(joint: str, request: pytest.FixtureRequest) -> None:
    result: ShapeResult = request.getfixturevalue(joint)
    bends = {bend.name: bend for bend in result.bends}
    shown, angles = shown_part(result.joint, 0.02), {angle["name"]: angle for angle in scene(result)["angles"]}
    for name, angle in angles.items():
        corner, ways = np.array(angle["corner"]), np.array(angle["ways"])
        seen = bends[f"{name}_tag"].visible_angle_deg
        assert seen is not None
        assert np.degrees(np.arccos(ways[0] @ ways[1])) == pytest.approx(seen, abs=0.1)
        assert angle["text"] == f"{seen:.0f} deg"
        assert angle["past"] == (seen > 90.0)
        places = [corner] if name == "exit" else [corner + 4.0 * shown.d_mm * way for way in ways]
        for place, way in zip(places, ways[-len(places) :], strict=True):
            off = np.linalg.norm(shown.points_mm - place, axis=1)
            assert off.min() < (0.05 if name == "exit" else 0.6) * shown.d_mm
            assert abs(shown.tangents[off.argmin()] @ way) > (0.9999 if name == "exit" else 0.95)
    assert set(angles) == {"entry", "exit"}


def test_rings_are_the_joints_own_samples(good: ShapeResult) -> None:
    wire = scene(good)["wire"]
    shown = shown_part(good.joint, 0.1)
    middle, along = array(wire["middle"], "<f4", 3), array(wire["along"], "<i2", 3) / 32767.0
    side = array(wire["side"], "<i2", 3) / 32767.0
    size = np.abs(shown.points_mm).max()
    assert np.abs(middle - shown.points_mm).max() <= size * 2.0**-24
    rounding = np.sqrt(3) / 2 / 32767
    assert np.linalg.norm(along - shown.tangents, axis=1).max() <= rounding + 1e-12
    assert np.abs(np.linalg.norm(side, axis=1) - 1.0).max() <= rounding + 1e-12
    assert np.abs(np.sum(along * side, axis=1)).max() <= 2 * rounding + 1e-9
    assert wire["radius"] == good.recipe.wire.diameter_mm / 2
    assert [tuple(run) for run in wire["pieces"]] == [(p.start, p.stop) for p in shown.pieces]


def test_colours_agree_with_their_legends(sharp: ShapeResult) -> None:
    made = scene(sharp)
    sections = array(made["wire"]["section"], "u1")[:, 0]
    names = np.array(made["sections"])[sections]
    verdict = array(made["wire"]["colours"]["verdict"], "u1", 3) / 255.0
    words = {entry["text"]: entry["colours"] for entry in made["legends"]["verdict"]["entries"]}
    bad = {bend.name for bend in sharp.bends if bend.severity is Severity.SHARP}
    assert bad == {"exit_tag"}
    shown = {hex_of(colour) for colour in verdict[names == "exit_tag"]} - {OVERLAP}
    assert shown == {SEVERITY_COLOURS[Severity.SHARP]}
    assert {hex_of(colour) for colour in verdict[names == "standing"]} == set(words["standing leg"])
    assert hex_of(verdict[names == "stub"][-1]) in words["tag"]
    for name, legend in made["legends"].items():
        assert name in made["wire"]["colours"]
        if "scale" in legend:
            assert len(legend["ramp"]) > 8
            assert legend["scale"][0] <= legend["ticks"][0][0] <= legend["ticks"][-1][0] <= legend["scale"][1]


def test_flags_stand_at_their_places(sharp: ShapeResult) -> None:
    flagged = [note for note in scene(sharp)["notes"] if note["verdict"] == "sharp"]
    worst = next(bend for bend in sharp.bends if bend.severity is Severity.SHARP)
    assert [note["point"] for note in flagged] == [pytest.approx(worst.point_mm, abs=1e-4)]


def builder() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_page", ROOT / "scripts" / "build_page.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_built_viewer_fits_its_sources() -> None:
    assert builder().problem() is None


def test_three_js_is_shipped_once() -> None:
    holders = [path.name for path in (PAGE / "built").glob("*.js") if "WebGLRenderer" in path.read_text("utf-8")
               and "gl_FragCoord" in path.read_text("utf-8")]  # fmt: skip
    assert holders == ["three.js"]
    sizes = {path.name: path.stat().st_size for path in (PAGE / "built").glob("*.js")}
    assert sizes.pop("three.js") < 540_000
    own = sum(sizes.values())  # the viewer with films of pulls and formings, and the page around it
    assert own < 190_000


def test_the_joint_in_3d_is_shipped_once() -> None:
    """Both pages load viewer.js: `helix page` has no viewer of its own beside it."""
    holders = {path.name for path in (PAGE / "built").glob("*.js") if "gl_Position" in path.read_text("utf-8")}
    assert holders == {"three.js", "viewer.js"}


def names_from(package: str) -> set[str]:
    """What the page's sources import from a bundle that is loaded before theirs."""
    return {
        name.strip()
        for path in (PAGE / "source").rglob("*.js")
        for names in re.findall(rf'^import \{{(.*?)\}} from "{package}";', path.read_text("utf-8"), re.MULTILINE)
        for name in names.split(",")
    }


def test_every_name_of_the_viewer_that_the_page_uses_is_in_its_bundle() -> None:
    offers = re.findall(r"^export \{(.*?)\}", (PAGE / "source" / "index.js").read_text("utf-8"), re.MULTILINE)
    offered = {name.strip() for names in offers for name in names.split(",")}
    assert names_from("viewer") == offered - {"start"} != set()


def test_every_name_of_three_js_that_is_used_is_in_its_bundle() -> None:
    used = names_from("three")
    offered = re.search(r"export \{(.*?)\}", (PAGE / "source" / "three_used.js").read_text("utf-8"), re.DOTALL)
    assert offered is not None and used == {name.strip() for name in offered[1].split(",") if name.strip()} != set()


@pytest.mark.parametrize(
    ("name", "word"), [("source/wire.js", "source"), ("package.json", "source"), ("built/viewer.js", "by hand")]
)
def test_a_change_of_a_source_or_of_the_bundle_is_told(tmp_path: Path, name: str, word: str) -> None:
    module = builder()
    copy = tmp_path / "page"
    for path in [*module.sources(), module.STAMP, *(module.BUILT_FOLDER / built for built in module.BUILT)]:
        to = copy / path.relative_to(PAGE)
        to.parent.mkdir(parents=True, exist_ok=True)
        to.write_bytes(path.read_bytes())
    vars(module).update(PAGE=copy, BUILT_FOLDER=copy / "built", STAMP=copy / "built" / "built.json")
    assert module.problem() is None
    with (copy / name).open("a", encoding="utf-8") as file:
        file.write(" \n")
    assert word in module.problem()
    (copy / "built" / "viewer.css").unlink()
    assert "viewer.css" in module.problem()


def test_no_file_of_the_page_names_a_registry() -> None:
    lock = json.loads((PAGE / "package-lock.json").read_text(encoding="utf-8"))
    assert all("resolved" not in package for package in lock["packages"].values())
    files = [path for path in (PAGE / "source").rglob("*") if path.is_file()]
    for path in (PAGE / "package.json", PAGE / "package-lock.json", *files):
        text = path.read_text(encoding="utf-8")
        assert "registry" not in text
        assert set(re.findall(r"https?://[\w.]+", text)) <= ELSEWHERE, path


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["no.toml", "-o", "page.html"], ["no.toml: "]),
        ([GOOD, "-o", "page.html", "--size", "3x4"], ["--size: "]),
        (["no.toml", "-o", "nowhere/page.html", "--size", "x"], ["no.toml: ", "nowhere/page.html: ", "--size: "]),
        ([GOOD, "-o", "page.htm"], ["page.htm: must end in "]),
    ],
)
def test_bad_input_is_one_line_a_fault_and_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    arguments: list[str], told: list[str],
) -> None:  # fmt: skip
    given = [str(ROOT / text) if text.startswith("docs/") else text for text in arguments]
    monkeypatch.chdir(tmp_path)
    assert main(["draw", *given]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == len(told)
    for line, start in zip(lines, told, strict=True):
        assert line.startswith(f"helix: {start}")
    assert list(tmp_path.iterdir()) == []


def test_a_page_is_not_written_over_without_force(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "page.html"
    target.write_text("mine")
    assert main(["draw", str(ROOT / GOOD), "-o", str(target)]) == 2
    assert target.read_text() == "mine"
    assert "--force" in capsys.readouterr().err
    monkeypatch.setattr("helix.output.viewer.shared_page.steps_record", lambda *_: [])  # they take seconds
    assert main(["draw", str(ROOT / GOOD), "-o", str(target), "--force"]) == 0
    text = target.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert text.endswith("</html>\n")


def test_the_load_is_in_the_head_with_what_kind_of_number_it_is(good: ShapeResult) -> None:
    head = page_html(good, steps=False).partition("</header>")[0]
    assert strength_line(good.recipe, "metric") in head
    assert "an estimate" in head and "not a working load" in head
