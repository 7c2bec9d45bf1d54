"""Build helix's pages from helix/page/source/: three.js, which both pages load first; viewer.js with the
joint in 3-D, which both load next, and viewer.css for the self-contained page; page.js and page.css for `helix page`. All of it
goes into helix/page/built/.

    python3 scripts/build_page.py           build (needs Node.js with npm)
    python3 scripts/build_page.py --check   only say whether what is built fits its sources

The built files are committed, so that users need no Node.js. helix/page/built/built.json holds hashes of the sources
and of what was built from them; a test compares them.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from pathlib import Path

PAGE = Path(__file__).resolve().parent.parent / "helix" / "page"
BUILT_FOLDER = PAGE / "built"
STAMP = BUILT_FOLDER / "built.json"
BUNDLES = {
    "three.js": "source/three_used.js",
    "viewer.js": "source/index.js",
    "viewer.css": "source/shared.css",
    "page.js": "source/app/main.js",
    "page.css": "source/app/page.css",
}
THREE = "--alias:three=./source/three_loaded.cjs"
LINKED = {
    "three.js": ["--global-name=three"],
    "viewer.js": ["--global-name=helix", THREE],
    "page.js": [THREE, "--alias:viewer=./source/viewer_loaded.cjs"],
}
"""What a script leaves for the next under a name, and what it finds from those before it."""
BUILT = ("licences.txt", *sorted(BUNDLES))
NPM = ("ci", "--no-audit", "--no-fund", "--ignore-scripts")
BUNDLE = ("--bundle", "--minify", "--format=iife", "--target=es2022", "--charset=ascii")


def sources() -> list[Path]:
    """Every file that the bundle is made from: our own, and which packages at which versions."""
    own = sorted(path for path in (PAGE / "source").rglob("*") if path.is_file())
    return [*own, PAGE / "package.json", PAGE / "package-lock.json"]


def digest(files: list[Path]) -> str:
    """One hash of names and contents; line ends do not count."""
    found = hashlib.sha256()
    for path in files:
        found.update(
            path.relative_to(PAGE).as_posix().encode() + b"\0" + path.read_bytes().replace(b"\r\n", b"\n") + b"\0"
        )
    return found.hexdigest()


def state() -> dict[str, str]:
    """Hashes of the sources and of the built files as they are now."""
    return {"sources": digest(sources())} | {name: digest([BUILT_FOLDER / name]) for name in BUILT}


def problem() -> str | None:
    """What is wrong with the built files, or None."""
    missing = [path.name for path in (STAMP, *(BUILT_FOLDER / name for name in BUILT)) if not path.is_file()]
    if missing:
        return f"helix/page/built has no {', '.join(missing)}; run python3 scripts/build_page.py"
    kept, now = json.loads(STAMP.read_text(encoding="utf-8")), state()
    wrong = [name for name in now if kept.get(name) != now[name]]
    if "sources" in wrong:
        return "helix/page/source has changed since the pages were built; run python3 scripts/build_page.py"
    return (
        f"{', '.join(wrong)} in helix/page/built was changed by hand; run python3 scripts/build_page.py"
        if wrong
        else None
    )


def build() -> int:
    """Install the packages, bundle, write licences and hashes; return the exit code."""
    npm = shutil.which("npm")
    if npm is None:
        print("build_page.py needs npm, which comes with Node.js 20 or newer", file=sys.stderr)
        return 2
    if not (PAGE / "node_modules").is_dir() and subprocess.run([npm, *NPM], cwd=PAGE, check=False).returncode:
        return 1
    esbuild = [npm, "exec", "--offline", "--", "esbuild", *BUNDLE, "--legal-comments=none"]
    for made, source in BUNDLES.items():
        command = [*esbuild, *LINKED.get(made, []), source, f"--outfile=built/{made}"]
        if subprocess.run(command, cwd=PAGE, check=False).returncode:
            return 1
    version = json.loads((PAGE / "node_modules/three/package.json").read_text(encoding="utf-8"))["version"]
    licence = (PAGE / "node_modules/three/LICENSE").read_text(encoding="utf-8").strip()
    notice = f"three.js contains three.js {version}:\n\n{licence}\n"
    (BUILT_FOLDER / "licences.txt").write_text(notice.replace("\u00a9", "(c)"), encoding="utf-8")
    STAMP.write_text(json.dumps(state(), indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    if sys.argv[1:] == ["--check"]:
        print(problem() or "what is built fits its sources")
        sys.exit(1 if problem() else 0)
    if sys.argv[1:]:
        print(__doc__)
        sys.exit(0 if sys.argv[1] in ("-h", "--help") else 2)
    sys.exit(build())
