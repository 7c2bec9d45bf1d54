"""Trace how far one length of a recipe travels on its way to the answer, and how often it is turned between mm and d.

    .venv/bin/python scripts/studies/trace_value.py [RECIPE.toml]

The lay length is followed from the recipe's text to `helix shape --json` as a number that remembers what it is: it stays
itself through a function's arguments and variables, and each multiplication or division by the wire's diameter makes a
converted one. Printed: the files whose functions held it, and the conversions made of it.
"""

from __future__ import annotations

import contextlib
import importlib
import io
import sys
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any, ClassVar

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "docs" / "examples" / "logger-tether.toml"
sys.path.insert(0, str(ROOT))


class Traced(float):
    """A length that is followed; what a multiplication or division by the diameter makes of it is followed too."""

    diameter_mm = 0.0
    conversions: ClassVar[list[str]] = []

    def __truediv__(self, other: float) -> float:
        return self._converted(float(self) / other, other)

    def __mul__(self, other: float) -> float:
        return self._converted(float(self) * other, other)

    __rmul__ = __mul__

    def _converted(self, value: float, other: float) -> float:
        if isinstance(other, float) and abs(other - Traced.diameter_mm) < 1e-12:
            caller = sys._getframe(2).f_code
            Traced.conversions.append(f"{Path(caller.co_filename).name}: {caller.co_name}")
            return Traced(value)
        return value

    def __reduce__(self) -> tuple[Any, ...]:
        return (float, (float(self),))


def held(value: object, depth: int = 3) -> bool:
    """Whether a value is, or has in it, the length that is followed."""
    if isinstance(value, Traced):
        return True
    if depth == 0 or isinstance(value, str | bytes | int | float):
        return False
    return any(held(part, depth - 1) for part in _parts(value))


def _parts(value: object) -> Iterator[object]:
    if isinstance(value, dict):
        yield from value.values()
    elif isinstance(value, tuple | list) and len(value) < 100:
        yield from value


def trace(recipe: Path, command: str = "shape") -> tuple[dict[str, int], list[str]]:
    """Files that held the lay length, each with how often, and the conversions made of it."""
    from helix.commands.main import main
    from helix.model.recipe.recipe import read_recipe

    reader: Any = importlib.import_module("helix.model.recipe.recipe_reader")
    Traced.diameter_mm = read_recipe(recipe).wire.diameter_mm
    Traced.conversions = []
    files: dict[str, int] = {}
    read = reader.read_twist
    package = str(ROOT / "helix") + "/"

    def followed(*given: Any) -> Any:
        values = read(*given)
        return values | {"lay_mm": Traced(values["lay_mm"])}

    def note(frame: FrameType, event: str, _: object) -> None:
        name = frame.f_code.co_filename
        if event == "return" and name.startswith(package) and any(held(value) for value in frame.f_locals.values()):
            files[name[len(package) :]] = files.get(name[len(package) :], 0) + 1

    reader.read_twist = followed
    with contextlib.redirect_stdout(io.StringIO()):
        sys.setprofile(note)
        try:
            main([command, str(recipe), "--json"])
        finally:
            sys.setprofile(None)
            reader.read_twist = read
    return files, Traced.conversions


if __name__ == "__main__":
    found, turned = trace(Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO)
    for name, times in sorted(found.items()):
        print(f"{times:6d}  {name}")
    print(f"{len(found)} files held the lay length")
    for place in sorted(set(turned)):
        print(f"{turned.count(place):6d}  {place}")
    print(f"{len(turned)} conversions between mm and wire diameters, in {len(set(turned))} places")
