"""Build what is released from the last commit, the same bytes each time, and try it in clean environments.

    python3 scripts/release.py [FOLDER]

The wheel and the source archive go to FOLDER (dist/ in this clone). Each Python that is here, 3.11 to 3.13, then installs
the wheel without VTK and answers, draws, writes a sheet and a model; a Python that is missing is named and left out.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("release.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import gzip
import hashlib
import io
import shutil
import subprocess
import tarfile
import tempfile
from pathlib import Path

from _venv import CONSTRAINTS, ROOT, WHEELS_ONLY, SetUpFailed, clean_environment, ensure, main_with, say, venv_python

PYTHONS = ("python3.11", "python3.12", "python3.13")
BUILD = "import sys; from setuptools import build_meta; print(getattr(build_meta, sys.argv[1])(sys.argv[2]))"
TRIALS = (
    ("shape", "joint.toml"), ("hold", "joint.toml"), ("draw", "joint.toml", "-o", "joint.svg"),
    ("sheet", "joint.toml", "-o", "joint.pdf"), ("draw", "joint.toml", "-o", "joint.stl"), ("page", "--help"),
)  # fmt: skip
"""What the wheel alone has to do."""


def run(command: list[str], folder: Path, **extra: str) -> str:
    """Run a command in a folder; return its output, or fail with it."""
    done = subprocess.run(
        command, cwd=folder, env=clean_environment(**extra), check=False, capture_output=True, text=True
    )  # fmt: skip
    if done.returncode:
        raise SetUpFailed(
            f"{' '.join(command[:4])} ... ended with {done.returncode}:\n{(done.stdout + done.stderr)[-2000:]}"
        )
    return done.stdout


def build(python: Path, folder: Path) -> list[Path]:
    """Build both files from the last commit into a folder; no time, owner or order of this machine is in them."""
    epoch = run(["git", "log", "-1", "--format=%ct"], ROOT).strip()
    archive = subprocess.run(["git", "archive", "HEAD"], cwd=ROOT, check=True, capture_output=True).stdout
    with tempfile.TemporaryDirectory(prefix="helix-release-") as held:
        with tarfile.open(fileobj=io.BytesIO(archive)) as packed:
            packed.extractall(held, filter="data")
        for kind in ("build_wheel", "build_sdist"):
            made = run([str(python), "-c", BUILD, kind, str(folder)], Path(held), SOURCE_DATE_EPOCH=epoch).split()[-1]
    evened = evenly(folder / made, int(epoch))
    (folder / made).write_bytes(evened)
    return sorted(path for path in folder.iterdir() if path.suffix in (".whl", ".gz"))


def evenly(sdist: Path, epoch: int) -> bytes:
    """Return a source archive packed anew: sorted, of one time, of nobody."""
    out = io.BytesIO()
    with (
        tarfile.open(sdist) as old,
        gzip.GzipFile(filename="", fileobj=out, mode="wb", mtime=epoch) as pressed,
        tarfile.open(fileobj=pressed, mode="w", format=tarfile.PAX_FORMAT) as new,
    ):
        for member in sorted(old.getmembers(), key=lambda member: member.name):
            member.mtime, member.uid, member.gid, member.uname, member.gname = epoch, 0, 0, "", ""
            member.mode, member.pax_headers = (0o755 if member.isdir() else 0o644), {}
            new.addfile(member, old.extractfile(member) if member.isfile() else None)
    return out.getvalue()


def fingerprints(files: list[Path]) -> list[str]:
    """Return the SHA-256 of each file."""
    return [hashlib.sha256(path.read_bytes()).hexdigest() for path in files]


def trial(python: str, wheel: Path) -> None:
    """Install the wheel into a clean environment and use it there."""
    with tempfile.TemporaryDirectory(prefix="helix-trial-") as held:
        folder = Path(held)
        run([python, "-m", "venv", "env"], folder)
        inside = str(venv_python(folder / "env"))
        pip = [
            inside,
            "-m",
            "pip",
            "install",
            "-q",
            "--disable-pip-version-check",
            *WHEELS_ONLY,
            "-c",
            str(CONSTRAINTS),
        ]
        run([*pip, str(wheel)], folder)
        if "vtk" in run([inside, "-m", "pip", "list"], folder):
            raise SetUpFailed("VTK came along with the bare wheel")
        shutil.copyfile(ROOT / "docs" / "examples" / "logger-tether.toml", folder / "joint.toml")
        for words in TRIALS:
            run([inside, "-m", "helix", *words], folder)
        for name in ("joint.svg", "joint.pdf", "joint.stl"):
            if not (folder / name).stat().st_size:
                raise SetUpFailed(f"{name} is empty")


def job() -> int:
    if len(sys.argv) > 2 or sys.argv[1:2] in (["-h"], ["--help"]):
        say(__doc__ or "")
        return 0 if len(sys.argv) == 2 else 2
    target = Path(sys.argv[1]).resolve() if sys.argv[1:] else ROOT / "dist"
    target.mkdir(parents=True, exist_ok=True)
    if any(target.iterdir()):
        raise SetUpFailed(f"{target} is not empty; nothing is written over.")
    python = ensure()
    files = build(python, target)
    with tempfile.TemporaryDirectory(prefix="helix-again-") as again:
        if fingerprints(build(python, Path(again))) != fingerprints(files):
            raise SetUpFailed("the second build differs from the first")
    for path, fingerprint in zip(files, fingerprints(files), strict=True):
        say(f"{fingerprint}  {path.name}  {path.stat().st_size / 1e6:.1f} MB, the same twice")
    for name in PYTHONS:
        if shutil.which(name) is None or subprocess.run([name, "-c", ""], capture_output=True, check=False).returncode:
            say(f"{name}: not here, left out")
            continue
        trial(name, next(path for path in files if path.suffix == ".whl"))
        say(f"{name}: installed without VTK, {len(TRIALS)} commands done")
    return 0


if __name__ == "__main__":
    main_with(job)
