"""Make or reuse the virtual environment .venv of this clone (standard library only).

Every script here calls ``ensure`` first. It returns the path of a Python that has helix and, where asked
for, the test tools. What was installed is written to a stamp inside .venv as the very last step, so an
install that was interrupted is never taken for a finished one. While the stamp fits, nothing is installed
and pip is not even started.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import queue
import re
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
# wheels, so that nothing is compiled; one small package of the test tools is plain Python without a wheel
WHEELS_ONLY = ("--only-binary", ":all:", "--no-binary", "autograd-gamma")
CONSTRAINTS = ROOT / "scripts" / "constraints.txt"
STAMP_NAME = "helix-stamp.json"
NEEDED_MB = 1750
"""Free disk space that a first install needs, downloads included (1.4 GB are left in .venv on Linux)."""
_TICK_S = 5.0


class SetUpFailed(Exception):
    """The environment cannot be made; the message says why and what to do."""


def say(text: str) -> None:
    """Print one line at once, also when the output is a pipe."""
    print(text, flush=True)


def main_with(job: Callable[[], int]) -> None:
    """Run a script's job and end the process with its exit code; faults are one message, no traceback."""
    try:
        sys.exit(job())
    except SetUpFailed as fault:
        sys.exit(f"{Path(sys.argv[0]).name}: {fault}")
    except KeyboardInterrupt:
        say("\nStopped. Run it again to go on.")
        sys.exit(130)


def venv_python(venv: Path = VENV) -> Path:
    """Return the path of the environment's Python, which Windows keeps in a folder of another name."""
    return venv / "Scripts" / "python.exe" if os.name == "nt" else venv / "bin" / "python"


def python_version() -> str:
    """Return the running Python's version as two numbers, "3.11"."""
    return f"{sys.version_info.major}.{sys.version_info.minor}"


def call(python: Path, *arguments: str) -> int:
    """Run this Python in the clone's folder, its output on the terminal; return the exit code."""
    command = [str(python), *arguments]
    return subprocess.run(command, cwd=ROOT, env=clean_environment(), check=False).returncode


def ask(python: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run this Python in the clone's folder; return its exit code and what it printed."""
    command = [str(python), *arguments]
    return subprocess.run(command, cwd=ROOT, env=clean_environment(), check=False, capture_output=True, text=True)


def start(python: Path, *arguments: str) -> subprocess.Popen[str]:
    """Begin such a run beside other work; what it prints is kept for its end."""
    command = [str(python), *arguments]
    merged, kept = subprocess.STDOUT, subprocess.PIPE
    return subprocess.Popen(command, cwd=ROOT, env=clean_environment(), stdout=kept, stderr=merged, text=True)


def clean_environment(**extra: str) -> dict[str, str]:
    """Return a copy of the environment without settings that lead Python or pip out of .venv."""
    dropped = {"PYTHONHOME", "PYTHONPATH", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "__PYVENV_LAUNCHER__"}
    kept = {name: value for name, value in os.environ.items() if name not in dropped}
    return {**kept, "PIP_USER": "0", **extra}


def key() -> str:
    """Return what the stamp must hold: one hash over everything that decides what gets installed."""
    parts = [(ROOT / "pyproject.toml").read_bytes(), CONSTRAINTS.read_bytes(), Path(__file__).read_bytes()]
    parts += [sys.version.encode(), sys.base_prefix.encode(), str(ROOT).encode()]
    joined = hashlib.sha256()
    for part in parts:
        joined.update(hashlib.sha256(part).digest())
    return joined.hexdigest()


def read_stamp(venv: Path) -> tuple[str, tuple[str, ...]]:
    """Return the key and the extras of the last finished install; ("", ()) if there is none."""
    try:
        content = json.loads((venv / STAMP_NAME).read_text(encoding="utf-8"))
        return str(content["key"]), tuple(content["extras"])
    except (OSError, ValueError, KeyError, TypeError):
        return "", ()


def write_stamp(venv: Path, stamp_key: str, extras: Sequence[str]) -> None:
    """Write the stamp whole or not at all."""
    temporary = venv / f"{STAMP_NAME}.part"
    temporary.write_text(json.dumps({"key": stamp_key, "extras": sorted(extras)}) + "\n", encoding="utf-8")
    os.replace(temporary, venv / STAMP_NAME)


def ensure(extra: str = "", venv: Path = VENV) -> Path:
    """Return a Python with helix, and with the tools of ``extra`` ("", "test" or "docs"), installed if need be."""
    wanted = {"render", extra} - {""}  # pictures in 3-D are part of what a clone is set up for
    stamp_key = key()
    old_key, old_extras = read_stamp(venv)
    python = venv_python(venv)
    if old_key == stamp_key and wanted <= set(old_extras) and python.exists():
        return python
    if old_key == stamp_key:
        wanted |= set(old_extras)
    started = time.monotonic()
    try:
        _make(venv)
        (venv / STAMP_NAME).unlink(missing_ok=True)
        _install(venv, sorted(wanted))
        write_stamp(venv, stamp_key, sorted(wanted))
    except OSError as fault:
        raise SetUpFailed(explain(str(fault))) from fault
    say(f"Set-up done in {time.monotonic() - started:.0f} s; the next run starts at once.")
    return python


def _make(venv: Path) -> None:
    """Create the environment unless a usable one for this Python is there."""
    if venv.exists() and not (venv / "pyvenv.cfg").is_file() and any(venv.iterdir()):
        raise SetUpFailed(f"{venv} is there but is no virtual environment; move it away and run this again.")
    if _usable(venv):
        return
    problem = missing_module()
    if problem:
        raise SetUpFailed(problem)
    free_mb = shutil.disk_usage(venv.parent).free // 1_000_000
    if free_mb < NEEDED_MB:
        raise SetUpFailed(f"the set-up needs about {NEEDED_MB} MB in {venv.parent}; {free_mb} MB are free.")
    say(f"Making a virtual environment in {venv} (Python {sys.version.split()[0]}) ...")
    outside = getattr(sys, "_base_executable", None) or sys.executable
    _run([outside, "-m", "venv", "--clear", str(venv)], "making the environment", log=None)


def _usable(venv: Path) -> bool:
    """Return whether the environment belongs to this Python, in this place, and has pip."""
    try:
        lines = (venv / "pyvenv.cfg").read_text(encoding="utf-8").splitlines()
    except OSError:
        return False
    settings = dict(line.split(" = ", 1) for line in lines if " = " in line)
    version = settings.get("version", settings.get("version_info", ""))
    if ".".join(version.split(".")[:2]) != python_version() or not venv_python(venv).exists():
        return False
    answer = ask(venv_python(venv), "-c", "import pip, sys; print(sys.prefix)")
    return answer.returncode == 0 and Path(answer.stdout.strip()).resolve() == venv.resolve()


def missing_module() -> str:
    """Return what to install when this Python cannot make virtual environments; "" when it can."""
    missing = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
    if not missing:
        return ""
    package = f"python{python_version()}-venv"
    return (
        f"this Python ({sys.executable}) has no module {' and no module '.join(missing)}, so it cannot make a "
        f"virtual environment. On Debian or Ubuntu: sudo apt install {package} (or python3-venv). "
        "Elsewhere: install Python from its own installer."
    )


def _install(venv: Path, extras: Sequence[str]) -> None:
    """Install helix from this clone, every package at the version in the constraints file."""
    log = venv / "install.log"
    log.unlink(missing_ok=True)
    tools = [name for name in extras if name != "render"]
    what = "helix and its packages" + (f" and the tools for {' and '.join(tools)}" if tools else "")
    say(f"Installing {what} (half a minute and 300 MB to download, if none of it is here; log: {log}) ...")
    pip = [str(venv_python(venv)), "-m", "pip", "install", "--disable-pip-version-check", "--no-input"]
    pip += ["--progress-bar", "off", *WHEELS_ONLY, "--constraint", str(CONSTRAINTS)]
    _run([*pip, "setuptools"], "installing", log)
    target = str(ROOT) + (f"[{','.join(extras)}]" if extras else "")
    # compat: a plain path entry; the default import hook adds some 10 ms to every start of this Python.
    here = ["--no-build-isolation", "--config-settings", "editable_mode=compat", "--editable", target]
    _run([*pip, *here], "installing", log)


def _run(command: Sequence[str], doing: str, log: Path | None) -> None:
    """Run a command, showing what it works on; raise SetUpFailed with the reason if it fails."""
    started = time.monotonic()
    process = subprocess.Popen(
        command,
        cwd=ROOT,
        env=clean_environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
    )
    lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    threading.Thread(target=_feed, args=(process, lines), daemon=True).start()
    try:
        output = _follow(lines, started, log)
        code = process.wait()
    except BaseException:
        process.terminate()
        process.wait()
        raise
    if code:
        raise SetUpFailed(f"{doing} failed. {explain(output)}")


def _feed(process: subprocess.Popen[str], lines: queue.SimpleQueue[str | None]) -> None:
    """Hand a command's output on line by line, then None."""
    if process.stdout is not None:
        with process.stdout as output:
            for line in output:
                lines.put(line)
    lines.put(None)


def _follow(lines: queue.SimpleQueue[str | None], started: float, log: Path | None) -> str:
    """Show each step at most every few seconds, also while nothing comes; return all the output."""
    seen: list[str] = []
    step, shown = "", started
    while True:
        try:
            line = lines.get(timeout=_TICK_S)
        except queue.Empty:
            line = ""
        if line is None:
            return "".join(seen)
        seen.append(line)
        if line and log is not None:
            with log.open("a", encoding="utf-8") as stream:
                stream.write(line)
        news = progress(line)
        step = news or step
        now = time.monotonic()
        if step and (now - shown >= _TICK_S or "MB)" in news or "again" in news):
            say(f"  {now - started:3.0f} s  {step}")
            shown = now


def progress(line: str) -> str:
    """Return what a line of pip's output means to somebody waiting; "" for nothing worth showing."""
    text = line.strip()
    large = re.match(r"Downloading (\S+?)-(\d\S*?)-\S+\.whl\S* \((\d+(?:\.\d+)? MB)\)", text)
    if large and float(large[3].split()[0]) >= 5:
        return f"downloading {large[1]} {large[2]} ({large[3]})"
    simple = re.match(r"(Collecting|Using cached|Processing) (\S+)", text)
    if simple:
        name = simple[2].rsplit("/", 1)[-1]
        return f"looking up {re.split(r'[<>=!;~-]', name)[0]}"
    if text.startswith("Installing collected packages"):
        count = text.count(",") + 1
        return f"unpacking packages ({count})"
    if "Retrying" in text:
        return "the package index does not answer; pip tries again"
    return ""


def explain(output: str) -> str:
    """Return the reason for a failed install in a sentence, with what to do; the output itself if unknown."""
    lines = [line for line in output.splitlines() if line.strip()]
    if re.search(r"No space left on device|Errno 28|WinError 112|Disk quota exceeded", output):
        return f"The disk is full: {NEEDED_MB} MB are needed in {ROOT} and some in the temporary folder."
    if re.search(r"Permission denied|Errno 13|Read-only file system|Errno 30|WinError 5\b", output):
        return f"A file cannot be written ({lines[-1]}): make {ROOT} writable or clone into a folder of your own."
    network = (
        r"NewConnectionError|NameResolutionError|ConnectTimeout|ReadTimeout|ProxyError|SSLError"
        r"|Network is unreachable|name resolution|Failed to establish|Connection refused|Connection broken"
    )
    if re.search(network, output):
        return (
            "The package index cannot be reached: check the network (or the proxy, HTTPS_PROXY) and run this "
            "again; what is already downloaded is kept."
        )
    nothing = re.search(r"No matching distribution found for (\S+)", output)
    if nothing:
        return (
            f"The index has no ready-made {nothing[1]} for Python {python_version()} on {sys.platform}. "
            "Use a 64-bit Python from 3.11 to 3.13."
        )
    return "The last lines were:\n  " + "\n  ".join(lines[-12:])
