"""What a built package holds: all that the program reads, nothing that only its makers use."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from helix.page.server.app import BUNDLED

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def packed() -> set[str]:
    """Files of the package by the rules of pyproject.toml, as setuptools applies them."""
    setuptools = pytest.importorskip("setuptools")
    rules = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    made = setuptools.Distribution({
        "packages": setuptools.find_namespace_packages(str(ROOT), **rules["packages"]["find"]),
        "package_data": {"" if name == "*" else name: kinds for name, kinds in rules["package-data"].items()},
        "exclude_package_data": rules["exclude-package-data"],
        "package_dir": {"": str(ROOT)}, "include_package_data": False,
    })  # fmt: skip
    build = made.get_command_obj("build_py")
    build.ensure_finalized()
    data = {(Path(source) / name).relative_to(ROOT) for _, source, _, names in build.data_files for name in names}
    return {path.as_posix() for path in data} | {name.replace(".", "/") for name in made.packages}


def test_all_that_the_program_reads_is_in_the_package(packed: set[str]) -> None:
    served = {f"helix/page/{name}" for name, _ in BUNDLED.values()}
    viewer = {f"helix/page/built/{name}" for name in ("three.js", "viewer.js", "viewer.css", "licences.txt")}
    data = {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "helix" / "data").rglob("*.*") if "__pyc" not in str(path)
    }
    assert served | viewer <= packed
    assert {name for name in data if not name.endswith((".py", ".pyc"))} <= packed
    code = {path.parent.relative_to(ROOT).as_posix() for path in (ROOT / "helix").rglob("*.py")}
    assert {name for name in code if "node_modules" not in name} <= packed


def test_nothing_that_only_makers_use_is_in_the_package(packed: set[str]) -> None:
    odd = ("helix/page/source", "helix/page/node_modules", "helix/page/package", "helix/page/built/built.json")
    assert not [name for name in packed if name.startswith(odd) or "test" in Path(name).name]
