"""The wire lit like metal, as pixels: shading and contact shadows are worked out here, VTK only paints.

Light is worked out for each vertex, so a picture looks the same on every machine and at every size, and
a test can tell which colour a place must have.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from helix.output.picture.gl import first_picture, rendering_problem
from helix.output.picture.shade import SIDES, openness
from helix.output.picture.undisturbed import undisturbed
from helix.output.picture.view import View, VisiblePart, runs_inside
from helix.output.surface.tube import rotation_minimising_frame

Floats = NDArray[np.float64]
Pixels = NDArray[np.float32]

FINER = 3
"""Everything is painted so many times finer, then averaged: that is what makes edges smooth."""
_LAMP = np.array([-0.36, 0.72, 0.60])  # towards the lamp: right, up, nearer
_FILL = np.array([0.75, -0.25, 0.60])
_CUT_EDGE, _CUT_MIDDLE = 0.42, 0.72  # a cut end is darker than the drawn wire, at its edge the most: nipped, not a disc
_HAIR_PX, _HAIR_SIDES = 3.0, 8  # a wire as narrow as this needs few sides, and no shade
_MOST_PX = 12_000  # of one painted strip, in either direction


class CannotRender(RuntimeError):
    """This machine cannot draw 3-D pictures; the message says why and what to install."""


@dataclass(frozen=True)
class Body:
    """A surface to paint: vertices (v, 3) in mm, faces (f, 3), unit normals (v, 3), colours (v, 3) 0 to 1.

    open: share of light (v,) that gets to each vertex past the rest of the wire.
    """

    vertices: Floats
    faces: NDArray[np.int32]
    normals: Floats
    rgb: Floats
    open: Floats


def wire_body(shown: VisiblePart, rgb: Floats, view: View, box: tuple[float, float, float, float]) -> Body | None:
    """The wire's surface with a colour (n, 3), 0 to 1, for each of its n samples; ends closed flat.

    Only what can be seen in box (x0, y0, x1, y1) of the canvas, with as many sides as it is wide there;
    None where that is nothing.
    """
    width = shown.d_mm * view.scale
    runs = runs_inside(shown, view, box, width)
    if width < _HAIR_PX:
        parts = [_bare_run(shown, run, rgb[run], _HAIR_SIDES) for run in runs]
    else:
        sides = int(np.clip(4 * np.ceil(width / 4.0), 20, 72))
        parts = [_run_body(shown, run, rgb, sides) for run in runs]
    return joined(parts) if parts else None


def joined(bodies: Sequence[Body]) -> Body:
    """Several bodies as one."""
    offsets = np.cumsum([0, *(len(body.vertices) for body in bodies[:-1])])
    return Body(
        np.concatenate([body.vertices for body in bodies]),
        np.concatenate([body.faces + np.int32(offset) for body, offset in zip(bodies, offsets, strict=True)]).astype(
            np.int32
        ),
        np.concatenate([body.normals for body in bodies]),
        np.concatenate([body.rgb for body in bodies]),
        np.concatenate([body.open for body in bodies]),
    )


def pin_body(middle_mm: Floats, along: Floats, diameter_mm: float, length_mm: float, rgb: Floats) -> Body:
    """A straight pin through a point, along a unit vector."""
    line = middle_mm + np.outer(np.linspace(-0.5, 0.5, 9) * length_mm, along)
    tangents = np.broadcast_to(along, line.shape)
    shown = VisiblePart(line, tangents, np.zeros(9, int), np.zeros(9), (slice(0, 9),), None, ("pin",), diameter_mm)
    body = _bare_run(shown, slice(0, 9), np.broadcast_to(rgb, (9, 3)), 96)
    colour = np.broadcast_to(rgb, body.rgb.shape)  # its end faces the viewer and is no cut
    return Body(body.vertices, body.faces, body.normals, colour, np.full(len(body.vertices), 0.82))


def lit(body: Body, view: View) -> Floats:
    """Colours (v, 3), 0 to 1, of a body's vertices as the viewer sees them."""
    normals = body.normals @ view.axes.T
    key = np.clip(normals @ (_LAMP / np.linalg.norm(_LAMP)), 0.0, 1.0)
    fill = np.clip(normals @ (_FILL / np.linalg.norm(_FILL)), 0.0, 1.0)
    half_way = _LAMP / np.linalg.norm(_LAMP) + np.array([0.0, 0.0, 1.0])
    gleam = np.clip(normals @ (half_way / np.linalg.norm(half_way)), 0.0, 1.0) ** 28
    facing = np.clip(normals[:, 2], 0.0, 1.0)
    rim = 0.52 + 0.48 * np.clip(facing / 0.42, 0.0, 1.0) ** 0.8  # darker towards the edge: parts stand apart
    share = (0.40 + 0.62 * key + 0.18 * fill) * rim * (0.20 + 0.80 * body.open)
    colour = body.rgb * share[:, None] + 0.42 * (gleam * body.open)[:, None]
    return np.asarray(np.clip(colour, 0.0, 1.0))


@dataclass
class Painter:
    """Paints bodies through one window of VTK; made by :func:`painter`."""

    window: Any
    scene: Any
    mapper: Any

    def paint(self, body: Body, view: View, box: tuple[int, int, int, int]) -> Pixels:
        """The body as seen in box (x0, y0, x1, y1) of the canvas: (height, width, 4), 0 to 1, colours times cover."""
        x0, y0, x1, y1 = box
        rows = max(int(_MOST_PX / FINER), 1)
        strips = []
        for top in range(y0, y1, rows):
            across = [
                self._strip(body, view, (left, top, min(left + rows, x1), min(top + rows, y1)))
                for left in range(x0, x1, rows)
            ]
            strips.append(np.concatenate(across, axis=1))
        return np.concatenate(strips, axis=0)

    def _strip(self, body: Body, view: View, box: tuple[int, int, int, int]) -> Pixels:
        with undisturbed():
            return self._painted(body, view, box)

    def _painted(self, body: Body, view: View, box: tuple[int, int, int, int]) -> Pixels:
        from PIL import Image

        x0, y0, x1, y1 = box
        width, height = x1 - x0, y1 - y0
        self.mapper.SetInputData(_surface(body, lit(body, view)))
        self._make_room(FINER * width, FINER * height)
        right, up, nearer = view.axes
        centre = ((x0 + x1) / 2.0 - view.origin[0]) / view.scale * right
        centre = centre - ((y0 + y1) / 2.0 - view.origin[1]) / view.scale * up
        depth = float(np.abs(body.vertices @ nearer).max()) * 1.01 + 1e-6
        camera = self.scene.GetActiveCamera()
        camera.SetPosition(*(centre + 10.0 * depth * nearer))
        camera.SetFocalPoint(*centre)
        camera.SetViewUp(*up)
        camera.ParallelProjectionOn()
        camera.SetParallelScale(height / 2.0 / view.scale)
        camera.SetClippingRange(8.5 * depth, 11.5 * depth)
        self.window.Render()
        fine = _grabbed(self.window, FINER * width, FINER * height)
        # what is not covered is black, so the mean of the colours is that of colour times cover
        mean = Image.frombuffer("RGBa", (FINER * width, FINER * height), fine, "raw", "RGBa", 0, 1).reduce(FINER)
        return np.asarray(mean)[::-1].astype(np.float32) / np.float32(255.0)

    def _make_room(self, width: int, height: int) -> None:
        """Paint in the lower left corner of a window that only grows: to give it another size takes longer than to paint."""
        have = self.window.GetSize()
        size = (max(width, have[0]), max(height, have[1]))
        if size != tuple(have):
            self.window.SetSize(*size)
        self.scene.SetViewport(0.0, 0.0, width / size[0], height / size[1])


def _surface(body: Body, colours: Floats) -> Any:
    """A body as VTK takes it, with the colours (v, 3), 0 to 1, of its vertices."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

    points, cells, surface = vtkPoints(), vtkCellArray(), vtkPolyData()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(body.vertices), deep=True))
    cells.SetData(3, numpy_to_vtkIdTypeArray(body.faces.astype(np.int64).ravel(), deep=True))
    surface.SetPoints(points)
    surface.SetPolys(cells)
    surface.GetPointData().SetScalars(numpy_to_vtk(np.round(255.0 * colours).astype(np.uint8), deep=True))
    return surface


def _grabbed(window: Any, width: int, height: int) -> NDArray[np.uint8]:
    """What the window has painted (height, width, 4), the lower row first."""
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

    pixels = vtkUnsignedCharArray()
    window.GetRGBACharPixelData(0, 0, width - 1, height - 1, 0, pixels)
    return np.asarray(vtk_to_numpy(pixels).reshape(height, width, 4))


@contextlib.contextmanager
def painter() -> Iterator[Painter]:
    """A window to paint through, off screen; raises CannotRender where the machine cannot draw."""
    problem = rendering_problem()
    if problem:
        raise CannotRender(problem)
    with undisturbed(), first_picture():
        made = _opened()
        made.window.Render()
    try:
        yield made
    finally:
        with undisturbed():
            made.window.Finalize()


def _opened() -> Painter:
    """VTK itself, without a package round it: those that there are load a drawing library for charts first."""
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  (what paints)
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow

    window, scene, actor, mapper = vtkRenderWindow(), vtkRenderer(), vtkActor(), vtkPolyDataMapper()
    window.SetOffScreenRendering(1)
    window.SetSize(64, 64)
    window.SetAlphaBitPlanes(1)
    window.SetMultiSamples(0)
    window.SwapBuffersOff()  # nobody looks at it
    window.AddRenderer(scene)
    scene.SetBackground(0.0, 0.0, 0.0)
    scene.SetBackgroundAlpha(0.0)
    scene.AutomaticLightCreationOff()
    mapper.SetColorModeToDirectScalars()
    actor.SetMapper(mapper)
    actor.GetProperty().LightingOff()
    scene.AddActor(actor)
    return Painter(window, scene, mapper)


def _run_body(shown: VisiblePart, run: slice, rgb: Floats, sides: int) -> Body:
    light, u, v = openness(shown, run)
    bare = _bare_run(shown, run, rgb[run], sides, (u, v))
    n = run.stop - run.start
    turn = np.arange(sides) * (SIDES / sides)
    low = turn.astype(int)
    part = turn - low
    wall = light[:, low % SIDES] * (1.0 - part) + light[:, (low + 1) % SIDES] * part
    opened = np.ones(len(bare.vertices))
    opened[: n * sides] = wall.ravel()
    return Body(bare.vertices, bare.faces, bare.normals, bare.rgb, opened)


def _bare_run(
    shown: VisiblePart, run: slice, rgb: Floats, sides: int, frame: tuple[Floats, Floats] | None = None
) -> Body:
    """The wall of a run of wire and its two flat ends, which have vertices of their own; frame: two normals (n, 3)."""
    x, t = shown.points_mm[run], shown.tangents[run]
    n = len(x)
    u, v = frame or rotation_minimising_frame(x, t)
    turn = 2.0 * np.pi * np.arange(sides) / sides
    out = np.cos(turn)[None, :, None] * u[:, None] + np.sin(turn)[None, :, None] * v[:, None]
    radius = shown.d_mm / 2.0 * (np.pi / sides) / np.sin(np.pi / sides)  # a polygon that looks as wide on average
    wall = x[:, None] + radius * out
    ring = np.arange(sides, dtype=np.int32)
    after = np.roll(ring, -1)
    quad = np.stack((ring, after, sides + after, ring, sides + after, sides + ring), -1).ravel()
    first = np.arange(n - 1, dtype=np.int32)[:, None] * sides
    faces = [(first + quad).reshape(-1, 3)]
    vertices, normals, colours = [wall.reshape(-1, 3)], [out.reshape(-1, 3)], [np.repeat(rgb, sides, axis=0)]
    for row, way in ((0, -1.0), (-1, 1.0)):
        start = sum(len(part) for part in vertices)
        fan = np.stack((np.full(sides, sides), ring, after) if way > 0 else (np.full(sides, sides), after, ring), -1)
        faces.append((start + fan).astype(np.int32))
        vertices.append(np.concatenate((wall[row], x[row][None])))
        normals.append(np.broadcast_to(way * t[row], (sides + 1, 3)))
        colours.append(np.outer([*[_CUT_EDGE] * sides, _CUT_MIDDLE], rgb[row]))
    whole = np.concatenate(vertices)
    return Body(whole, np.concatenate(faces), np.concatenate(normals), np.concatenate(colours), np.ones(len(whole)))
