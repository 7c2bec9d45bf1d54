"""Recipes at the extreme corners of every range, asked of commands one after another in a process of bounded memory.

python -m tests.attack.corners single shape hold        prints one JSON line a recipe and command
python -m tests.attack.corners pairs 0 4 shape draft     every fourth pair of ends, from the first
"""

from __future__ import annotations

import contextlib
import io
import itertools
import json
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from helix.model.files.file_keys import Key
from helix.model.recipe.recipe_keys import OWN, TABLES

Corner = tuple[tuple[str, str, str | float], ...]
ADDRESS_SPACE = 2_000_000_000
"""What a child may map at most [B]: beyond it memory is refused, and so is the recipe."""
MOST_MB, MOST_S = 500.0, 3.0
BASE: dict[str, dict[str, Any]] = {
    "wire": {"diameter": "0.737 mm"},
    "wire.own": {"strength": "2000 MPa", "modulus": "190 GPa", "density": "7.9 g/cm3"},
    "eye": {"pin": "6 mm"},
}
_NEAR = 1e-6
_WRITTEN = {"": "", "d": " d", "mm": " mm", "deg": " deg", "N": " N", "MPa": " MPa", "kg/m3": " kg/m3"}


def ends_of(key: Key) -> list[str | float]:
    """Both ends of a key's range, just inside where an end is open; or each of its choices."""
    if key.limits is None:
        return list(key.choices) if key.kind == "choice" else []
    limits = key.limits
    low = limits.low * (1.0 + _NEAR) or _NEAR if limits.low_open else limits.low
    high = limits.high * (1.0 - _NEAR) if limits.high_open else limits.high
    return [f"{end:.9g}{_WRITTEN[limits.unit]}" if limits.unit else end for end in (low, high)]


def corners() -> list[tuple[str, str, str | float]]:
    """Table, key and value of every end of every range."""
    rows = [*((table, key) for table, keys in TABLES.items() for key in keys), *(("wire.own", key) for key in OWN)]
    return [(table, key.name, end) for table, key in rows for end in ends_of(key)]


def singles() -> Iterator[Corner]:
    """Each end alone."""
    return ((corner,) for corner in corners())


def pairs() -> Iterator[Corner]:
    """Ends of two keys at a time."""
    return (two for two in itertools.combinations(corners(), 2) if two[0][:2] != two[1][:2])


def text_of(corner: Corner) -> str:
    """A recipe's text, good but for these values."""
    tables = {name: dict(values) for name, values in BASE.items()}
    for table, key, value in corner:
        tables.setdefault(table, {})[key] = value
    if tables["wire"].keys() >= {"size", "diameter"}:
        del tables["wire"]["diameter"]
    return "\n".join(
        f"[{name}]\n" + "\n".join(f"{key} = {json.dumps(value)}" for key, value in values.items())
        for name, values in tables.items()
    )


def page_answer(recipe: Path, draft: bool) -> None:
    """What the page answers while a slider moves (a draft), or once it rests."""
    from helix.page.answers.joint_answer import joint_answer
    from helix.page.answers.recipe_tables import tables_of_text
    from helix.page.server.replies import to_bytes

    to_bytes(joint_answer({"recipe": tables_of_text(recipe.read_text("utf-8"), "recipe"), "draft": draft}))


def words_of(command: str, folder: Path) -> list[str]:
    """The command line of a command."""
    files = {"draw": "joint.svg", "sheet": "sheet.pdf", "steps": "steps", "compare": "two.svg"}
    more = ["-o", str(folder / files[command]), "--force"] if command in files else []
    load = ["--load", "300 N"] if command == "stretch" else []
    second = [str(folder / "joint.toml")] if command == "compare" else []
    return [command, str(folder / "joint.toml"), *second, *load, *more]


def measured(corner: Corner, command: str, folder: Path) -> dict[str, Any]:
    """Exit code, processor time [s], most memory [MB] and what was said about a recipe by a command or the page."""
    from helix.commands.main import main
    from helix.errors import HelixError

    (folder / "joint.toml").write_text(text_of(corner), "utf-8")
    watch_memory()
    said = io.StringIO()
    start = time.process_time()
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(said):
        code = 0
        if command in ("draft", "page"):
            try:
                page_answer(folder / "joint.toml", command == "draft")
            except HelixError as refused:
                code = 2
                said.write(str(refused))
        else:
            code = main(words_of(command, folder))
    row = {"corner": corner, "command": command, "code": code, "s": round(time.process_time() - start, 3)}
    return row | {"mb": round(most_memory_mb(), 1), "said": said.getvalue()[:300]}


def watch_memory() -> None:
    """Note the most memory from here on, where the system does so."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5", "ascii")


def most_memory_mb(kind: str = "VmHWM") -> float:
    """The most memory since `watch_memory`; with "VmRSS", what is held now."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text("ascii").splitlines():
            if line.startswith(f"{kind}:"):
                return float(line.split()[1]) / 1024.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def problem_of(row: dict[str, Any]) -> str | None:
    """What is wrong with an answer: its memory, its time, or a fault of helix itself; None where nothing is."""
    if "fault of helix" in row["said"] or "more memory than there is" in row["said"] or "Error" in row["said"]:
        return f"{row['command']} {row['corner']}: {row['said']}"
    if row["mb"] > MOST_MB or row["s"] > MOST_S:
        return f"{row['command']} {row['corner']}: {row['mb']:.0f} MB, {row['s']:.2f} s"
    return None


def main(words: list[str]) -> None:
    """Measure, one line a recipe and command."""
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESS_SPACE, ADDRESS_SPACE))
    chosen = singles()
    if words[0] == "pairs":
        chosen = itertools.islice(pairs(), int(words[1]), None, int(words[2]))
        words = words[2:]
    with tempfile.TemporaryDirectory() as folder:
        for corner in chosen:
            for command in words[1:]:
                sys.stdout.write(json.dumps(measured(corner, command, Path(folder))) + "\n")
                sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
