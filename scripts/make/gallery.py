"""Draw the pictures of the README and the docs anew into docs/images/.

    python3 scripts/make/gallery.py

Run it when the shape, the picture or an example recipe has changed, look at the result, and commit it.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("gallery.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import shutil
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from _venv import ROOT, ask, call, ensure, main_with, say

FOLDER = ROOT / "docs" / "images"
EXAMPLES, FAULTS, LESSONS = "docs/examples", "docs/examples/faults", "docs/lessons"
GOOD = f"{LESSONS}/good.toml"
TAUGHT = (
    "steep-entry", "steep-exit", "uneven-twist", "open-barrel", "opposite-hand-barrel", "wraps-only",
    "half-turns-counted",
)  # fmt: skip
PICTURES: dict[str, str] = {
    "logger-tether.png": f"draw {EXAMPLES}/logger-tether.toml --size 1600x900",
    "anchor-tether.png": f"draw {EXAMPLES}/anchor-tether.toml --size 1600x900",
    "wide-throat.png": f"draw {FAULTS}/wide-throat.toml --size 1200x675",
    "overbent-120.png": f"draw {FAULTS}/overbent-120.toml --size 1200x675",
    "strain.png": f"draw {LESSONS}/steep-exit.toml --size 1200x675 --colour strain",
    "three-quarter.png": f"draw {EXAMPLES}/logger-tether.toml --size 1200x675 --colour section --view three-quarter --theme dark",
    "linked-eyes.png": f"link {EXAMPLES}/logger-tether.toml",
    "steps.png": f"steps {EXAMPLES}/logger-tether.toml",
    **{f"{name}.png": f"compare {GOOD} {LESSONS}/{name}.toml --width 1200" for name in TAUGHT},
}
"""Name of a picture: the helix command that draws it, but for the file to write."""


SMALLER = "import sys; from PIL import Image; Image.open(sys.argv[1]).save(sys.argv[1], optimize=True)"
"""A program: a picture packed as small as it goes with all its colours; in 256 of them steel and marks lose theirs."""


def draw(python: Path, name: str, command: str) -> int:
    """Draw one picture into the folder; of a joint's steps, the sheet of all of them."""
    words = command.split()
    if words[0] != "steps":
        return call(python, "-m", "helix", *words, "-o", str(FOLDER / name), "--force")
    with tempfile.TemporaryDirectory() as made:
        code = call(python, "-m", "helix", *words, "-o", made)
        if code == 0:
            shutil.copyfile(Path(made) / "all-steps.png", FOLDER / name)
        return code


def job() -> int:
    if len(sys.argv) > 1:
        say(__doc__ or "")
        return 0 if sys.argv[1] in ("-h", "--help") else 2
    python = ensure()
    problem = ask(python, "-m", "helix.output.picture.gl")
    if problem.returncode:
        say(f"This machine cannot draw the pictures. {problem.stdout.strip() or problem.stderr.strip()}")
        return 1
    FOLDER.mkdir(exist_ok=True)
    failed = 0
    for name, command in PICTURES.items():
        say(f"{name}: helix {command} ...")
        failed |= draw(python, name, command) or call(python, "-c", SMALLER, str(FOLDER / name))
    for path in sorted(FOLDER.iterdir()):
        if path.name not in PICTURES and not path.name.startswith("page-"):  # those are page_pictures.py's
            say(f"{path.relative_to(ROOT)} is no picture of this script's; remove it or add it to PICTURES.")
    return 1 if failed else 0


if __name__ == "__main__":
    main_with(job)
