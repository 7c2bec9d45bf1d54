"""Set helix up in .venv if need be, then run the main job on the demo recipe.

    python3 scripts/demo.py

Prints the numbers of a logger tether's lower eye and draws it into demo-output/.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("demo.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import tempfile
from pathlib import Path

from _venv import ROOT, ask, call, ensure, main_with, say

RECIPE = ROOT / "docs" / "examples" / "logger-tether.toml"
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
    code = run_helix(python, "draw", recipe, "-o", str(picture), "--force")
    if code == 0:
        say(f"\nPicture: {picture}")
    return code


def job() -> int:
    if len(sys.argv) > 1:
        say(__doc__ or "")
        return 0 if sys.argv[1] in ("-h", "--help") else 2
    return demo(ensure(), output_folder())


if __name__ == "__main__":
    main_with(job)
