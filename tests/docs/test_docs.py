"""The README and the docs are true: commands run and print what is shown, links lead somewhere, names exist.

What the theory pages derive is tested in test_theory.py, the numbers they quote in test_doc_numbers.py.
"""

from __future__ import annotations

import ast
import contextlib
import importlib
import io
import pkgutil
import re
import shutil
import struct
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

import helix
from helix.commands.main import main
from helix.model.recipe.recipe import read_recipe
from helix.output.report.record import POINTS_HEADER, result_to_dict
from helix.output.words.findings.finding_words import WORDS
from helix.studies.shape import shape as shape_module

ROOT = Path(__file__).resolve().parents[2]
PAGES = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    ROOT / "validation" / "README.md",
    *sorted((ROOT / "docs").rglob("*.md")),
]
THEORY = sorted((ROOT / "docs" / "theory").glob("*.md"))
UNIT_OF = {"mm": "mm", "deg": "deg", "d": "d", "n": "N", "mpa": "MPa", "m3": "kg/m3", "turns": "turns of 360 deg"}


@dataclass(frozen=True)
class Block:
    """A fenced block of a page: its language, its lines, the line it starts on."""

    language: str
    lines: tuple[str, ...]
    line: int


def name_of(page: Path) -> str:
    return page.relative_to(ROOT).as_posix()


def blocks(page: Path) -> list[Block]:
    """Every fenced block of a page that says its language."""
    found, language, held, start = [], None, [], 0
    for number, line in enumerate(page.read_text(encoding="utf-8").splitlines(), 1):
        if line.startswith("```"):
            if language is None:
                language, held, start = line[3:].strip(), [], number
            else:
                found.append(Block(language, tuple(held), start))
                language = None
        elif language is not None:
            held.append(line)
    assert language is None, f"{name_of(page)} line {start}: a block that does not end"
    return found


def prose(page: Path) -> str:
    """A page without its fenced blocks."""
    return re.sub(r"^```.*?^```", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)


WITH_BLOCKS = [page for page in PAGES if any(block.language for block in blocks(page))]


# ------------------------------------------------------------------ commands, recipes and Python


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, with the example recipes in their place."""
    shutil.copytree(ROOT / "docs" / "examples", tmp_path / "docs" / "examples")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(command: str) -> tuple[int, str]:
    """Exit code and all output of a helix command, or of a script that needs only to exist here."""
    words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', command)]
    if words[0] == "python3":  # run by .ci/run in a clean clone
        assert (ROOT / words[1]).is_file(), command
        return 0, ""
    assert words[0] == "helix", f"a command that this test cannot run: {command}"
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = main(words[1:])
    return code, out.getvalue()


def sessions(block: Block) -> Iterator[tuple[str, list[str]]]:
    """Each command of a console block with the lines shown below it."""
    command, shown = "", []
    for line in block.lines:
        if line.startswith("$ "):
            if command:
                yield command, shown
            command, shown = line[2:], []
        else:
            shown.append(line)
    yield command, shown


def missing(shown: list[str], output: str) -> str:
    """The first shown passage that the output does not have, in order; passages are parted by lines of dots."""
    rest = "\n" + output
    for passage in re.split(r"^\.\.\.$", "\n".join(shown), flags=re.MULTILINE):
        text = passage.strip("\n")
        at = rest.find("\n" + text) if text else 0
        if at < 0:
            return text
        rest = rest[at + len(text) :]
    return ""


LONG = ("docs/planning.md", "docs/pulls.md", "docs/two-wires.md")  # what they show takes seconds


@pytest.mark.parametrize(
    "page",
    [pytest.param(page, marks=pytest.mark.slow if name_of(page) in LONG else ()) for page in WITH_BLOCKS],
    ids=name_of,
)
def test_what_a_page_shows_is_what_happens(page: Path, bench: Path) -> None:
    printed, names = "", {"__name__": "page"}  # the Python of a page is one session
    for block in blocks(page):
        where = f"{name_of(page)} line {block.line}"
        if block.language == "console":
            for command, shown in sessions(block):
                code, output = run(command)
                refused = any(line.startswith("helix: ") for line in shown)
                assert code == (2 if refused else 0), f"{where}: {command} ended with {code}\n{output}"
                assert not missing(shown, output), f"{where}: {command} did not print\n{missing(shown, output)}"
        elif block.language == "toml":
            text = "\n".join(block.lines) + "\n"
            tomllib.loads(text)
            file = re.fullmatch(r"# ([\w-]+\.toml)", block.lines[0])
            if file:
                (bench / file[1]).write_text(text, encoding="utf-8")
            elif page.name == "README.md":
                helix.recipe_from_text(text)
        elif block.language == "python":
            out = io.StringIO()
            with contextlib.redirect_stdout(out):
                exec(compile("\n".join(block.lines), where, "exec"), names)  # noqa: S102  (our own pages)
            printed = out.getvalue()
        elif block.language == "text":
            assert printed == "\n".join(block.lines) + "\n", where
        else:
            assert block.language == "", f"{where}: no test for a block of {block.language}"


@pytest.mark.parametrize(
    ("shown", "output", "gone"),
    [
        (["a", "...", "c"], "a\nb\nc\n", ""),
        (["...", "b"], "a\nb\n", ""),
        (["a", "c"], "a\nb\nc\n", "a\nc"),
        (["c", "...", "a"], "a\nb\nc\n", "a"),
        (["b b"], "a b b\n", "b b"),
    ],
)
def test_the_comparison_itself(shown: list[str], output: str, gone: str) -> None:
    assert missing(shown, output) == gone


def test_the_two_commands_of_the_readme_are_what_ci_runs() -> None:
    commands = re.findall(r"^    (python3 .*)$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert commands == ["python3 scripts/demo.py", "python3 scripts/test.py"]
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert set(commands) <= set(ci)


def test_the_readme_shows_the_demo_recipe() -> None:
    shown = next(block for block in blocks(ROOT / "README.md") if block.language == "toml")
    demo = read_recipe(ROOT / "docs" / "examples" / "logger-tether.toml")
    assert helix.recipe_from_text("\n".join(shown.lines)) == demo


@cache
def help_of(command: str) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main([*command.split(), "--help"]) == 0
    return out.getvalue()


def test_options_named_exist_and_options_that_exist_are_named() -> None:
    commands = (
        "compare", "steps", "view", "cut", "choose", "inspect", "spread", "shape", "sizes", "draw", "sheet", "new", "hold", "why", "form", "stretch", "link", "simulate", "page",
        "pulls template", "pulls read", "pulls compare", "pulls plan",
    )  # fmt: skip
    known = {option for name in commands for option in re.findall(r"--[a-z]+", help_of(name))}
    of_bench = set(re.findall(r'"(--[a-z]+)"', (ROOT / "scripts" / "bench.py").read_text(encoding="utf-8")))
    pages = [ROOT / "README.md", *(ROOT / "docs").glob("*.md")]
    named = {option for page in pages for option in re.findall(r"(?<![\w-])--[a-z]+", page.read_text(encoding="utf-8"))}
    assert named <= known | of_bench
    assert known - {"--help", "--output", "--size"} <= named


# ------------------------------------------------------------------ links, pictures, names


def anchors(page: Path) -> set[str]:
    """What the headings of a page can be linked by."""
    headings = re.findall(r"^#+ +(.*)$", prose(page), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", re.sub(r"\s*\n\s*", " ", prose(page))):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, anchor = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        assert file.exists(), f"{name_of(page)}: {target}"
        assert not anchor or anchor in anchors(file), f"{name_of(page)}: {target} has no such heading"


def test_every_page_is_listed() -> None:
    index = (ROOT / "docs" / "index.md").read_text(encoding="utf-8")
    listed = {(ROOT / "docs" / target).resolve() for target in re.findall(r"\]\(([^)#]+)\)", index)}
    assert {page for page in PAGES if "docs" in page.parts} - {ROOT / "docs" / "index.md"} <= listed


def test_pictures_are_those_of_the_gallery(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    pictures = importlib.import_module("make.gallery").PICTURES
    pages = importlib.import_module("make.page_pictures").PICTURES
    folder = ROOT / "docs" / "images"
    assert {path.name for path in folder.iterdir()} == {*pictures, *pages}
    shown = {name for page in PAGES for name in re.findall(r"images/([\w.-]+)\)", page.read_text(encoding="utf-8"))}
    assert shown == {*pictures, *pages}
    for name, command in pictures.items():
        for recipe in re.findall(r"\S+\.toml", command):
            assert (ROOT / recipe).is_file()
        head = (folder / name).read_bytes()[:24]
        assert head[:8] == b"\x89PNG\r\n\x1a\n"
        width, height = struct.unpack(">II", head[16:24])
        size = re.search(r"--size (\d+x\d+)|--width (\d+)", command)
        assert size is None or f"{width}x{height}" == size[1] or str(width) == size[2]


@cache
def names_of_tests(path: str) -> frozenset[str]:
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return frozenset(node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def every_test() -> frozenset[str]:
    files = [path for folder in ("tests", "validation") for path in (ROOT / folder).rglob("test_*.py")]
    return frozenset().union(*(names_of_tests(name_of(path)) for path in files))


@cache
def every_name() -> frozenset[str]:
    """Names of functions, classes and constants anywhere in helix, and in the models that tests compare it with."""
    modules = [
        module.name for module in pkgutil.walk_packages(helix.__path__, "helix.") if "__main__" not in module.name
    ]
    modules += ["tests.tools.ideal_eye", "tests.studies.pulls.pull_simulation"]
    modules += ["tests.studies.hold.evidence.practice_fit"]
    return frozenset(name for module in modules for name in vars(importlib.import_module(module)))


def resolve(dotted: str) -> bool:
    """Whether helix.a.b.c is a module or something in one."""
    parts = dotted.split(".")
    for cut in range(len(parts), 0, -1):
        try:
            found: object = importlib.import_module(".".join(parts[:cut]))
        except ModuleNotFoundError:
            continue
        for part in parts[cut:]:
            if not hasattr(found, part):
                return part in getattr(found, "__dataclass_fields__", {})
            found = getattr(found, part)
        return True
    return False


def quoted(page: Path) -> list[str]:
    """What stands in backticks."""
    return re.findall(r"`([^`\n]+)`", prose(page))


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_names_in_a_page_exist(page: Path) -> None:
    for text in quoted(page):
        for dotted in re.findall(r"\bhelix(?:\.\w+)+", text):
            assert resolve(dotted), f"{name_of(page)}: {dotted}"
        for path, test in re.findall(r"\b((?:tests|validation)/[\w/]+\.py)(?:::(\w+))?", text):
            assert (ROOT / path).is_file(), f"{name_of(page)}: {path}"
            assert not test or test in names_of_tests(path), f"{name_of(page)}: {path}::{test}"
        if re.fullmatch(r"test_\w+", text):
            assert text in every_test(), f"{name_of(page)}: {text}"
        if re.fullmatch(r"(helix|scripts|docs|tests|validation)/[\w/.-]*\w", text):
            assert (ROOT / text).exists(), f"{name_of(page)}: {text}"


@pytest.mark.parametrize("page", THEORY, ids=name_of)
def test_a_theory_page_names_its_functions_and_its_tests(page: Path) -> None:
    names = [text for text in quoted(page) if re.search(r"\btest_\w+", text)]
    assert names
    headings = " ".join(re.findall(r"^#+ .*$", prose(page), re.MULTILINE))
    functions = re.findall(r"`(\w+)`", headings)
    assert set(functions) <= every_name(), name_of(page)
    assert functions or any(re.search(r"\bhelix\.\w+\.\w+\.\w+", text) for text in quoted(page))


def test_no_link_check_without_links() -> None:
    assert not resolve("helix.geometry.nowhere") and not resolve("helix.shape.nothing")
    assert resolve("helix.geometry.joint.eye.Throat.side_slope") and resolve(
        "helix.geometry.joint.eye.Throat.curvature"
    )


# ------------------------------------------------------------------ the JSON


def keys_of(value: object, path: str = "") -> Iterator[str]:
    """Paths of all values that are neither a table nor a list of tables; the values of a finding count as one."""
    if isinstance(value, dict) and not path.endswith(".values"):
        for key, item in value.items():
            yield from keys_of(item, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for item in value:
            yield from keys_of(item, path + "[]")
    else:
        yield path + "[]" if isinstance(value, list) else path


def documented() -> dict[str, str]:
    """Key and unit of every row in docs/json.md."""
    rows = re.findall(
        r"^\| `([\w.\[\]]+)` \| ([^|]*)\|", (ROOT / "docs" / "json.md").read_text(encoding="utf-8"), re.MULTILINE
    )
    assert len(rows) == len(dict(rows))
    return {key: unit.strip() for key, unit in rows}


@pytest.mark.parametrize("name", ["short-exit", "wraps-only"])
def test_every_key_of_the_json_is_explained(name: str) -> None:
    data = result_to_dict(helix.shape(read_recipe(ROOT / "docs" / "examples" / "faults" / f"{name}.toml")))
    assert data["judgement"]["findings"] and data["schema"] == shape_module.SCHEMA
    assert set(keys_of(data)) == set(documented())


def test_units_of_the_json_are_those_in_its_keys() -> None:
    for key, unit in documented().items():
        ending = key.removesuffix("[]").rpartition(".")[2].rpartition("_")[2]
        if ending in UNIT_OF:
            assert unit == UNIT_OF[ending], key
        else:
            assert unit in ("", "share", "turns of 360 deg", "half turns"), key


def test_every_code_of_a_finding_is_listed() -> None:
    listed = re.search(
        r"^Codes: (.*?)\.$", (ROOT / "docs" / "json.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
    )
    assert listed and re.findall(r"`([\w-]+)`", listed[1]) == list(WORDS)


def test_the_header_of_the_points_is_explained() -> None:
    assert f"`{POINTS_HEADER}`" in (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
