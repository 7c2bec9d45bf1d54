"""Set helix up in .venv if need be, then build the documentation as a site that is read offline.

    python3 scripts/docs.py [FOLDER]

The pages go to FOLDER (docs-output/ in this clone): open README.html there. A link that leads nowhere, a page that
nothing names and a docstring that cannot be set end it with an exit code other than 0.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("docs.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import shutil
import tempfile
from pathlib import Path

from _venv import ROOT, call, ensure, main_with, say

SITE = ROOT / "docs" / "site"
PAGES = ("README.md", "DEVELOPERS.md")


def stage(folder: Path) -> None:
    """Copy what the site is made of into a folder, laid out as in the clone, so that links between files hold."""
    for name in ("docs", "validation"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "test_*.py"))
    for name in PAGES:
        shutil.copyfile(ROOT / name, folder / name)
    with (folder / "README.md").open("a", encoding="utf-8") as first:
        first.write((SITE / "contents.txt").read_text(encoding="utf-8"))


def build(python: Path, target: Path) -> int:
    """Build the site into a folder; return the exit code."""
    with tempfile.TemporaryDirectory(prefix="helix-docs-") as held:
        source = Path(held) / "source"
        stage(source)
        options = ["-q", "-b", "html", "-W", "--keep-going", "-c", str(SITE), "-d", str(Path(held) / "doctrees")]
        made = Path(held) / "site"  # what is left beside it while it is built goes with the folder
        code = call(python, "-m", "sphinx", *options, str(source), str(made))
        if not code:
            shutil.copytree(made, target, dirs_exist_ok=True)
    if not code:
        say(f"Documentation: {target / 'README.html'}")
    return code


def job() -> int:
    if len(sys.argv) > 2 or sys.argv[1:2] in (["-h"], ["--help"]):
        say(__doc__ or "")
        return 0 if len(sys.argv) == 2 else 2
    target = Path(sys.argv[1]).resolve() if sys.argv[1:] else ROOT / "docs-output"
    return build(ensure("docs"), target)


if __name__ == "__main__":
    main_with(job)
