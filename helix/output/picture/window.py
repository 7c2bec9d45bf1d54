"""The joint in a window of its own, where there is a display to open one on."""

from __future__ import annotations

import ctypes
import ctypes.util
import importlib.util
import os
import sys
from typing import TYPE_CHECKING

import numpy as np

from helix.output.picture.view import named_view, shown_part
from helix.output.shape.colouring import ColourBy
from helix.output.surface.mesh import joint_meshes, mesh_colours
from helix.output.surface.model import together, whole_surface
from helix.output.words.words import title_of

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

_INSTEAD = 'make a picture with "helix draw -o FILE.png", or an interactive 3-D page with "-o FILE.html"'


def window_problem() -> str | None:
    """What keeps a window from being opened here, in one line; None if nothing does.

    A display that is named but does not answer ends the process in VTK, so it is asked first.
    """
    if importlib.util.find_spec("pyvista") is None:
        return f"a window needs the package pyvista, which is not installed: pip install 'helix[render]'; {_INSTEAD}"
    if not sys.platform.startswith("linux"):
        return None
    display = os.environ.get("DISPLAY")
    if not display:
        return f"there is no display to open a window on (DISPLAY is not set); {_INSTEAD}"
    library = ctypes.util.find_library("X11")
    if library is None:
        return f"a window needs libX11 (on Debian or Ubuntu: sudo apt install libx11-6); {_INSTEAD}"
    x11 = ctypes.CDLL(library)
    x11.XOpenDisplay.restype = ctypes.c_void_p
    x11.XCloseDisplay.argtypes = [ctypes.c_void_p]
    opened = x11.XOpenDisplay(display.encode())
    if not opened:
        return f"the display {display} does not answer; {_INSTEAD}"
    x11.XCloseDisplay(opened)
    return None


def show(result: ShapeResult, colour: ColourBy = "verdict", *, seconds: float | None = None) -> None:
    """Open a window with the joint and wait until it is closed, or, if told, for so many seconds.

    Drag to turn, wheel to zoom, Shift and drag to move, r for the first view, q to close.
    """
    import pyvista

    os.environ.pop("VTK_DEFAULT_OPENGL_WINDOW", None)  # a window on the screen, not one without a display
    surface = together([
        whole_surface(mesh, mesh_colours(mesh, result, colour, k)) for k, mesh in enumerate(joint_meshes(result))
    ])  # fmt: skip
    faces = np.concatenate((np.full((len(surface.faces), 1), 3, np.int64), surface.faces), axis=1)
    body = pyvista.PolyData(surface.vertices, faces.ravel())
    body["seen"] = surface.colours
    plotter = pyvista.Plotter(title=f"helix: {title_of(result)}", window_size=(1200, 700))
    plotter.set_background("#f6f5f2")
    plotter.add_mesh(
        body, scalars="seen", rgb=True, smooth_shading=True, split_sharp_edges=True, feature_angle=50.0,
        ambient=0.25, diffuse=0.8, specular=0.6, specular_power=30.0,
    )  # fmt: skip
    keys = "drag: turn, wheel: zoom, Shift and drag: move, r: first view, q: close"
    plotter.add_text(keys, position="lower_left", font_size=9, color="#6b727a")
    shown = shown_part(result.joint, 0.5)
    right, up, nearer = named_view("side").axes
    low, high = shown.points_mm.min(axis=0), shown.points_mm.max(axis=0)
    middle = (low + high) / 2.0
    plotter.camera.focal_point = tuple(middle)
    plotter.camera.position = tuple(middle + nearer * 2.2 * float(np.ptp(shown.points_mm @ right)))
    plotter.camera.up = tuple(up)
    plotter.camera.clipping_range = (0.01, 1e5)
    plotter.show(interactive=seconds is None, auto_close=seconds is None)
    if seconds is not None:
        plotter.close()
