"""The verdict of the trial picture, kept from one run to the next: that this machine can draw, and how.

Kept on disk in the folder for such things, named by all that the verdict hangs on: VTK itself, the drivers that are
installed, the display, the start of the machine. Only a good verdict is kept, and it is taken away while a first picture is
painted on its word: should that end the process, the next run tries again and says what is wrong.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import os
import platform
import sys
import tempfile
from pathlib import Path

_PREFIXES = (
    "DISPLAY",
    "WAYLAND_",
    "VTK_",
    "__EGL_",
    "__GLX_",
    "EGL_",
    "LIBGL_",
    "MESA_",
    "GALLIUM_",
    "LD_",
    "DRI_",
    "NVIDIA_",
)
_PLACES = (
    "/etc/ld.so.cache", "/usr/share/glvnd/egl_vendor.d", "/etc/glvnd/egl_vendor.d", "/dev/dri",
    "/usr/lib/x86_64-linux-gnu/dri", "/usr/lib/aarch64-linux-gnu/dri",
)  # fmt: skip
"""What changes when drivers do."""
_BOOT = Path("/proc/sys/kernel/random/boot_id")


def read_verdict(file: Path) -> str | None:
    """Return the kind of window that drew a trial picture here before ("": VTK's own choice), None if none is known."""
    try:
        return file.read_text(encoding="ascii")
    except (OSError, UnicodeDecodeError):
        return None


def keep_verdict(file: Path, window: str) -> None:
    """Keep a good verdict; where that is not possible, nothing is kept."""
    with contextlib.suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, made = tempfile.mkstemp(dir=file.parent)
        with os.fdopen(handle, "w", encoding="ascii") as stream:
            stream.write(window)
        os.replace(made, file)


def drop_verdict(file: Path) -> None:
    """Forget a verdict."""
    with contextlib.suppress(OSError):
        file.unlink()


def verdict_file() -> Path:
    """Where the verdict for this machine as it is now is kept."""
    return _folder() / f"draws-{_state()}"


def _folder() -> Path:
    if os.environ.get("XDG_CACHE_HOME"):
        return Path(os.environ["XDG_CACHE_HOME"]) / "helix"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or "~/AppData/Local").expanduser() / "helix"
    return Path("~/Library/Caches" if sys.platform == "darwin" else "~/.cache").expanduser() / "helix"


def _state() -> str:
    """A name for the state of this machine as far as drawing hangs on it."""
    environment = sorted(item for item in os.environ.items() if item[0].startswith(_PREFIXES))
    spec = importlib.util.find_spec("vtkmodules")
    package = spec.origin if spec and spec.origin else ""
    boot = _BOOT.read_text(encoding="ascii") if _BOOT.is_file() else platform.release()
    parts = [environment, sys.executable, package, [(place, _stamp(place)) for place in (*_PLACES, package)], boot]
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:24]


def _stamp(place: str) -> int:
    try:
        return os.stat(place).st_mtime_ns
    except OSError:
        return 0
