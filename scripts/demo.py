"""Set helix up in .venv if need be, then run the main job on the demo recipe.

    python3 scripts/demo.py

Prints the answer for a logger tether's lower eye, draws it into demo-output/, and says what to type next.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("demo.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import contextlib
import tempfile
from pathlib import Path

from _venv import ROOT, ask, call, ensure, main_with, say

RECIPE = ROOT / "docs" / "examples" / "logger-tether.toml"
NEXT = (
    ("hold {recipe}", "will it hold, and the load to plan with"),
    ("new my-joint.toml", "a recipe of your own to fill in, then: shape my-joint.toml"),
    ("page", "the same on a page, with sliders"),
)
"""What to type after the demo, and what it gives."""
CANNOT_DRAW = 3
"""Exit code of helix.output.picture.gl on a machine without 3-D."""


def output_folder() -> Path:
    """Return a folder to draw into: demo-output/ in the clone or, where that cannot be written, a new one."""
    folder = ROOT / "demo-output"
    try:
        folder.mkdir(exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return folder
    except OSError:
        return Path(tempfile.mkdtemp(prefix="helix-demo-"))


def run_helix(python: Path, *arguments: str) -> int:
    """Show a helix command and run it; return its exit code."""
    say(f"\n$ helix {' '.join(arguments)}")
    return call(python, "-m", "helix", *arguments)


def demo(python: Path, folder: Path) -> int:
    """Print the demo joint's numbers and draw it into the folder; return the exit code."""
    recipe = RECIPE.relative_to(ROOT).as_posix()
    code = run_helix(python, "shape", recipe)
    if code:
        return code
    problem = ask(python, "-m", "helix.output.picture.gl")
    if problem.returncode not in (0, CANNOT_DRAW):
        sys.stderr.write(problem.stderr)
        return problem.returncode
    if problem.returncode == CANNOT_DRAW:
        say(f"\nDrawing without 3-D: {problem.stdout.strip()}")
    picture = folder / ("logger-tether.png" if problem.returncode == 0 else "logger-tether.svg")
    drawn = ask(python, "-m", "helix", "draw", recipe, "-o", str(picture), "--force")
    if drawn.returncode:
        sys.stderr.write(drawn.stderr)
        return drawn.returncode
    say(f"\nPicture: {picture}\n\nType next:")
    for words, what in NEXT:
        say(f"  {_command(python)} {words.format(recipe=recipe)}\n      {what}")
    return 0


def _command(python: Path) -> str:
    """The helix of this environment, as it is typed in the clone."""
    with contextlib.suppress(ValueError):
        return str((python.parent / "helix").relative_to(ROOT))
    return "helix"


def job() -> int:
    if len(sys.argv) > 1:
        say(__doc__ or "")
        return 0 if sys.argv[1] in ("-h", "--help") else 2
    return demo(ensure(), output_folder())


if __name__ == "__main__":
    main_with(job)
