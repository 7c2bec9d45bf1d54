"""Draw the pictures of the README and the docs anew into docs/images/.

    python3 scripts/gallery.py

Run it when the shape, the picture or an example recipe has changed, look at the result, and commit it.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("gallery.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

from _venv import ROOT, ask, call, ensure, main_with, say

FOLDER = ROOT / "docs" / "images"
PICTURES = {
    "logger-tether.png": ("docs/examples/logger-tether.toml", "1600x900"),
    "wide-throat.png": ("docs/examples/faults/wide-throat.toml", "1200x675"),
    "overbent-120.png": ("docs/examples/faults/overbent-120.toml", "1200x675"),
}
"""Name of a picture: the recipe that it shows and its size in pixels."""


def job() -> int:
    if len(sys.argv) > 1:
        say(__doc__ or "")
        return 0 if sys.argv[1] in ("-h", "--help") else 2
    python = ensure()
    problem = ask(python, "-m", "helix.output.gl")
    if problem.returncode:
        say(f"This machine cannot draw the pictures. {problem.stdout.strip() or problem.stderr.strip()}")
        return 1
    FOLDER.mkdir(exist_ok=True)
    failed = 0
    for name, (recipe, size) in PICTURES.items():
        say(f"{name} from {recipe} ...")
        failed |= call(python, "-m", "helix", "draw", recipe, "-o", str(FOLDER / name), "--size", size, "--force")
    for path in sorted(FOLDER.iterdir()):
        if path.name not in PICTURES:
            say(f"{path.relative_to(ROOT)} is no picture of this script's; remove it or add it to PICTURES.")
    return 1 if failed else 0


if __name__ == "__main__":
    main_with(job)
