"""The layers of helix: imports run one way, and numbers on the command line need numpy only.

Map of what must hold:
  every module stands in a layer that is listed here
  a module imports its own layer or lower ones, and no ring of modules imports itself
  the drawing packages are imported in helix/output only, heavy packages inside functions only, those that serve the
  page in helix/page only
  a fresh process that prints numbers has loaded numpy and none of the heavy packages
  nothing lies at the top of the repository beside what belongs there
"""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "helix"
DEMO = "docs/examples/logger-tether.toml"

LAYERS: tuple[tuple[str, ...], ...] = (
    ("errors", "issue_words", "units", "quantities", "values", "findings", "data"),
    ("geometry",),
    ("mechanics", "statistics", "cutting_stock"),
    ("model",),
    ("studies",),
    ("output",),
    ("tasks",),
    ("api",),
    ("page",),
    ("commands", "__main__"),
)
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}

ANYWHERE = {"numpy"}
INSIDE_FUNCTIONS = {"scipy", "sympy", "pandas", "numba"}
INSIDE_FUNCTIONS_OF_OUTPUT = {"pyvista", "vtk", "vtkmodules", "trimesh", "matplotlib", "PIL", "reportlab"}
OF_PAGE = {"starlette", "uvicorn", "anyio", "h11"}
HEAVY = INSIDE_FUNCTIONS | INSIDE_FUNCTIONS_OF_OUTPUT | OF_PAGE


@dataclass(frozen=True)
class Import:
    """One imported name: where it stands, and whether it runs when the module is loaded."""

    module: str
    line: int
    target: str
    on_load: bool

    def __str__(self) -> str:
        return f"{self.module}:{self.line} imports {self.target}"


def module_name(path: Path, package: Path = PACKAGE) -> str:
    parts = path.relative_to(package.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(source: str, module: str, is_package: bool = False) -> Iterator[Import]:
    """Yield every import of a module's source; what only a type checker reads counts as not loaded.

    A bare ``import helix`` counts as an import of each name that is then taken from it.
    """
    tree = ast.parse(source)

    def taken_from_helix() -> Iterator[str]:
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "helix":
                yield f"helix.{node.attr}"

    def walk(node: ast.AST, on_load: bool) -> Iterator[Import]:
        if isinstance(node, ast.Import):
            for alias in node.names:
                bare = alias.name == "helix" and alias.asname is None
                for target in taken_from_helix() if bare else (alias.name,):
                    yield Import(module, node.lineno, target, on_load)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                stem = module.split(".") if is_package else module.split(".")[:-1]
                stem = stem[: len(stem) - (node.level - 1)]
                base = ".".join([*stem, *([base] if base else [])])
            for alias in node.names:
                yield Import(module, node.lineno, f"{base}.{alias.name}", on_load)
        elif isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            for child in node.body:
                yield from walk(child, False)
            for child in node.orelse:
                yield from walk(child, on_load)
        else:
            inside = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
            for inner in ast.iter_child_nodes(node):
                yield from walk(inner, on_load and not inside)

    yield from walk(tree, True)


def layer_of(name: str) -> str:
    """Return the part of helix that a dotted name belongs to; "" for helix itself."""
    parts = name.split(".")
    return parts[1] if len(parts) > 1 else ""


def layer_faults(found: list[Import]) -> list[str]:
    """Return the imports that run up the layers; only the bare version may be taken from helix itself."""
    faults = []
    for item in found:
        if item.target.split(".")[0] != "helix" or item.module == "helix" or item.target == "helix.__version__":
            continue
        here, there = layer_of(item.module), layer_of(item.target)
        if there not in RANK or RANK[there] > RANK[here]:
            faults.append(str(item))
    return faults


def outside_faults(found: list[Import]) -> list[str]:
    """Return the imports of packages that are not allowed at their place."""
    faults = []
    for item in found:
        top = item.target.split(".")[0]
        if top == "helix" or top in sys.stdlib_module_names or top in ANYWHERE:
            continue
        if top in OF_PAGE and layer_of(item.module) == "page":
            continue
        allowed = INSIDE_FUNCTIONS | (INSIDE_FUNCTIONS_OF_OUTPUT if layer_of(item.module) == "output" else set())
        if top not in allowed:
            faults.append(f"{item}, which is not for this place")
        elif item.on_load:
            faults.append(f"{item} outside a function")
    return faults


FILES = sorted(PACKAGE.rglob("*.py"))
MODULES = {module_name(path): path for path in FILES}


@cache
def found_imports() -> list[Import]:
    return [
        item
        for name, path in MODULES.items()
        for item in imports_of(path.read_text(encoding="utf-8"), name, path.name == "__init__.py")
    ]


def test_every_module_stands_in_a_layer() -> None:
    assert {layer_of(name) for name in MODULES} - {""} <= set(RANK)


def test_imports_run_one_way() -> None:
    assert layer_faults(found_imports()) == []


def test_no_ring_of_modules_imports_itself() -> None:
    graph: dict[str, set[str]] = {name: set() for name in MODULES}
    for item in found_imports():
        if item.target in MODULES:
            graph[item.module].add(item.target)
        elif item.target.rpartition(".")[0] in MODULES.keys() - {"helix"}:
            graph[item.module].add(item.target.rpartition(".")[0])
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as ring:
        pytest.fail(" imports ".join(reversed(ring.args[1])))


def test_heavy_packages_are_imported_where_they_are_needed_only() -> None:
    assert outside_faults(found_imports()) == []


@pytest.mark.parametrize(
    ("module", "source", "fault"),
    [
        ("helix.geometry.x", "from helix.model.joint.joint import Joint", True),
        ("helix.geometry.x", "from ..model import joint", True),
        ("helix.model.x", "def f():\n    from helix.studies import shape", True),
        ("helix.studies.x", "import helix.commands.main", True),
        ("helix.model.x", "from helix import shape", True),
        ("helix.model.x", "from helix.somewhere import thing", True),
        ("helix.model.x", "from helix.geometry import curves", False),
        ("helix.model.x", "import helix as package", True),
        ("helix.model.x", "import helix\nhelix.shape", True),
        ("helix.model.x", "import helix\nhelix.__version__", False),
        ("helix.output.x", "from helix import __version__", False),
        ("helix.studies.x", "from .bends import Bend", False),
        ("helix.studies.x", "from .. import __version__", False),
    ],
)
def test_the_layer_rule_tells_right_from_wrong(module: str, source: str, fault: bool) -> None:
    assert bool(layer_faults(list(imports_of(source, module)))) is fault


@pytest.mark.parametrize(
    ("module", "source", "fault"),
    [
        ("helix.studies.x", "import pyvista", True),
        ("helix.studies.x", "def f():\n    import pyvista", True),
        ("helix.studies.x", "def f():\n    from matplotlib import pyplot", True),
        ("helix.output.x", "try:\n    import trimesh\nexcept ImportError:\n    pass", True),
        ("helix.output.x", "class A:\n    import pyvista", True),
        ("helix.geometry.x", "import scipy.optimize", True),
        ("helix.geometry.x", "from pint import UnitRegistry", True),
        ("helix.geometry.x", "def f():\n    from scipy.optimize import brentq", False),
        ("helix.geometry.x", "import numpy as np, math", False),
        ("helix.output.x", "def f():\n    import pyvista", False),
        ("helix.page.x", "from starlette.routing import Route", False),
        ("helix.page.x", "def f():\n    import pyvista", True),
        ("helix.commands.x", "def f():\n    import uvicorn", True),
        ("helix.output.x", "if TYPE_CHECKING:\n    import pyvista", False),
    ],
)
def test_the_package_rule_tells_right_from_wrong(module: str, source: str, fault: bool) -> None:
    assert bool(outside_faults(list(imports_of(source, module)))) is fault


def loaded_by(*arguments: str, cwd: Path = ROOT) -> set[str]:
    """Return the top-level packages that a fresh Python loads; fail unless it ends well."""
    command = [sys.executable, "-X", "importtime", *arguments]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    answer = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)
    lines = answer.stderr.splitlines()
    said = [line for line in lines if not line.startswith("import time:")]
    assert answer.returncode == 0, "\n".join([answer.stdout, *said])
    return {line.rpartition("|")[2].strip().split(".")[0] for line in lines if line.startswith("import time:")}


@pytest.mark.parametrize(
    "arguments",
    [
        ("-c", "import helix"),
        ("-m", "helix", "--help"),
        ("-m", "helix", "shape", DEMO),
        ("-m", "helix", "shape", DEMO, "--json"),
        ("-m", "helix", "sizes"),
    ],
    ids=" ".join,
)
def test_numbers_load_numpy_and_nothing_heavy(arguments: tuple[str, ...]) -> None:
    loaded = loaded_by(*arguments)
    assert "helix" in loaded
    assert "numpy" in loaded or "shape" not in arguments
    assert loaded & HEAVY == set()


def test_writing_a_new_recipe_loads_nothing_heavy(tmp_path: Path) -> None:
    assert loaded_by("-m", "helix", "new", "mine.toml", cwd=tmp_path) & HEAVY == set()
    assert (tmp_path / "mine.toml").is_file()


def test_the_look_at_loaded_packages_sees_them() -> None:
    assert {"scipy", "trimesh"} <= loaded_by("-c", "import scipy, trimesh")


def test_the_top_holds_what_belongs_there() -> None:
    """A cut list that a command of the docs writes was committed by mistake."""
    try:
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError) as problem:
        pytest.skip(f"not a clone that git reads: {problem}")
    top = {name.split("/")[0] for name in listed.split("\0") if name and not name.startswith(".")}
    assert top == {"README.md", "DEVELOPERS.md", "pyproject.toml", "helix", "tests", "validation", "scripts", "docs"}
