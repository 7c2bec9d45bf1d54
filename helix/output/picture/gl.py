"""Whether this machine can draw 3-D pictures, found out without risking this process.

On a machine without OpenGL, VTK ends the whole process with a segmentation fault at the first picture. So
one small picture is drawn in a child process first, and its pixels are looked at.
"""

from __future__ import annotations

import contextlib
import functools
import importlib.util
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from helix.output.picture.gl_verdict import drop_verdict, keep_verdict, read_verdict, verdict_file

LINUX_PACKAGES = ("libegl1", "libgl1-mesa-dri", "libx11-6")
"""Debian's and Ubuntu's names of what VTK needs to draw without a display."""

_WINDOW = "VTK_DEFAULT_OPENGL_WINDOW"
_EGL_WINDOW = "vtkEGLRenderWindow"
_PROBE_TIMEOUT_S = 60.0

_PROBE = """
try:
    import resource
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
except ImportError:
    pass
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkFiltersSources import vtkSphereSource
from vtkmodules.vtkRenderingCore import (
    vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow, vtkWindowToImageFilter)
source, mapper, actor, scene, window = (
    vtkSphereSource(), vtkPolyDataMapper(), vtkActor(), vtkRenderer(), vtkRenderWindow())
mapper.SetInputConnection(source.GetOutputPort())
actor.SetMapper(mapper)
actor.GetProperty().SetColor(1.0, 0.0, 0.0)
actor.GetProperty().LightingOff()
scene.AddActor(actor)
scene.SetBackground(0.0, 0.0, 1.0)
window.SetOffScreenRendering(1)
window.SetSize(64, 64)
window.AddRenderer(scene)
scene.ResetCamera()
window.Render()
grab = vtkWindowToImageFilter()
grab.SetInput(window)
grab.Update()
image = grab.GetOutput()
def pixel(x, y):
    return tuple(int(image.GetScalarComponentAsDouble(x, y, 0, k)) for k in range(3))
print("drawn", *pixel(32, 32), *pixel(1, 1))
"""
_EXPECTED = "drawn 255 0 0 0 0 255"
_trusted: dict[Path, str] = {}  # the verdict of an earlier run that this one goes by


@functools.cache
def rendering_problem() -> str | None:
    """Return None if this machine can draw 3-D pictures, else one line saying why not and what to install.

    The first call takes about half a second (a child process draws one small picture); the answer then holds
    for the life of this process, and a good one for the next ones (`helix.output.picture.gl_verdict`). On Linux
    without a display, and where the display named by DISPLAY does not work, VTK is told to draw without one, by an
    environment variable set for this process and its children.

    Nothing is raised: whatever goes wrong in the child is the answer.

    >>> problem = rendering_problem()
    >>> problem is None or "\\n" not in problem
    True
    """
    if importlib.util.find_spec("vtkmodules") is None:
        return "3-D pictures need the package vtk, which is not installed: pip install 'helix[render]'"
    file = verdict_file()
    window = read_verdict(file)
    if window is not None:
        _draw_with(window)
        _trusted[file] = window
        return None
    fault = None
    for window in _windows_to_try():
        fault = _probe(window)
        if fault is None:
            keep_verdict(file, window)
            _draw_with(window)
            return None
    return f"this machine cannot draw 3-D pictures ({fault}); {_remedy()}"


@contextlib.contextmanager
def first_picture() -> Iterator[None]:
    """Where a process draws for the first time: a kept verdict that is wrong is gone when that ends the process."""
    trusted = dict(_trusted)
    _trusted.clear()
    for file in trusted:
        drop_verdict(file)
    yield
    for file, window in trusted.items():
        keep_verdict(file, window)


def _draw_with(window: str) -> None:
    if window:
        os.environ[_WINDOW] = window


def _on_linux() -> bool:
    return sys.platform.startswith("linux")


def _windows_to_try() -> tuple[str, ...]:
    """Return the kinds of VTK window worth a probe, "" for VTK's own choice."""
    if not _on_linux() or os.environ.get(_WINDOW):
        return ("",)
    return ("", _EGL_WINDOW) if os.environ.get("DISPLAY") else (_EGL_WINDOW,)


def _probe(window: str) -> str | None:
    """Draw one small picture in a child process; return what went wrong in a few words, None if nothing."""
    environment = {**os.environ, _WINDOW: window} if window else dict(os.environ)
    try:
        child = subprocess.run(
            [sys.executable, "-c", _PROBE],
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=_PROBE_TIMEOUT_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return f"a trial picture was not done after {_PROBE_TIMEOUT_S:.0f} s"
    except OSError as fault:
        return f"a trial picture could not be started: {fault}"
    if child.returncode < 0:
        return f"VTK ended a trial process with {_signal_name(-child.returncode)}"
    if child.returncode:
        last = (child.stderr.strip().splitlines() or ["no message"])[-1]
        return f"a trial picture failed: {last}"
    drawn = [line for line in child.stdout.splitlines() if line.startswith("drawn")]
    if drawn != [_EXPECTED]:
        return "a trial picture came out wrong"
    return None


def _signal_name(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"


def _remedy() -> str:
    if _on_linux():
        return f"on Debian or Ubuntu: sudo apt install {' '.join(LINUX_PACKAGES)}"
    return "a graphics driver with OpenGL 3.2 or newer is needed"


if __name__ == "__main__":
    answer = rendering_problem()
    print(answer or "3-D pictures can be drawn here")
    sys.exit(3 if answer else 0)
