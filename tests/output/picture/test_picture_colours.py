"""Colours of the wire, in the picture, on the page and in the mesh.

Map of what must hold:
  a legend's colours and numbers are those of the wire
  only the wire to blame is coloured, in the picture, on the page and in the mesh alike; an overlap has its colour
"""

from __future__ import annotations

import base64
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from helix.findings import Severity
from helix.model.joint.section_names import SECTIONS
from helix.output.canvas.primitives import Area, Stroke
from helix.output.picture.picture import Look, picture_canvas
from helix.output.picture.view import VisiblePart, shown_part
from helix.output.shape.colouring import COLOUR_BY, METAL, OVERLAP, TAG_TONE, ramp, rgb
from helix.output.shape.wire_colours import wire_colours
from helix.output.surface.mesh import QUALITIES, mesh_colours, wire_mesh
from helix.output.viewer.scene import METAL as PAGE_METAL
from helix.output.viewer.scene import scene
from helix.studies.shape.along import overlaps_along, severities, strain_along
from helix.studies.shape.shape import ShapeResult
from tests.output.picture.seen_faults import METAL_RGB, VERMILLION


@pytest.mark.parametrize("name", ["faults/good", "faults/overbent-120", "faults/short-exit"])
def test_the_strain_legend_tells_the_strain(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    shown = shown_part(result.joint, 0.02)
    there = wire_colours(result, shown, "strain")
    legend = there.legend
    assert legend.scale is not None
    low, top = legend.scale
    bare = np.ones(len(shown.s_mm), bool)
    for a, b in overlaps_along(result):
        bare &= ~((shown.s_mm >= a * shown.d_mm) & (shown.s_mm <= b * shown.d_mm))
    most = max(row.gauge_strain for row in result.sections)
    if not bare.all():  # where parts overlap no strain is told
        most = float(strain_along(result.joint.layout.path).at(shown.s_mm[bare] / shown.d_mm).max())
    stated = float(legend.note.split(";")[0].removeprefix("highest here "))
    assert low == 0.0 and top >= most
    assert stated == pytest.approx(most, abs=0.006)  # two decimals, sampled more coarsely
    assert [value for value, _ in legend.ticks] == [0.0, 0.5, 0.75, top]
    assert all(float(label) == value for value, label in legend.ticks)
    # every place has the colour of its strain: d/(2 R) averaged over half a diameter, on a helix known exactly
    sizes = result.joint.layout.sizes
    twist = shown.rows("twist_tag")
    inner = twist[(shown.s_mm[twist] > shown.s_mm[twist[0]] + 1.0) & (shown.s_mm[twist] < shown.s_mm[twist[-1]] - 1.0)]
    h = sizes.lay / (2 * np.pi)
    kappa, tau = sizes.tag_radius / (sizes.tag_radius**2 + h**2), h / (sizes.tag_radius**2 + h**2)
    exact = kappa / 2 * np.sin(tau / 4) / (tau / 4)
    assert np.allclose(there.rgb[inner], ramp(np.array([exact / top])), atol=2e-3)
    assert np.allclose(there.rgb[shown.rows("standing")[bare[shown.rows("standing")]]][:5], ramp(np.zeros(1)))


def test_the_scale_of_the_legend_has_the_colours_of_the_wire(good: ShapeResult) -> None:
    canvas = picture_canvas(good, "metric", (1600, 900), Look("strain"))
    steps = [item for item in canvas.over if isinstance(item, Area) and item.role == "scale"]
    left, right = steps[0].points[0][0], steps[-1].points[1][0]
    ticks = {
        item.role.removeprefix("tick "): item.points[0][0]
        for item in canvas.over
        if isinstance(item, Stroke) and item.role.startswith("tick ")
    }
    assert set(ticks) == {"0.00", "0.50", "0.75", "1.00"}
    for label, x in ticks.items():
        share = (x - left) / (right - left)
        assert share == pytest.approx(float(label), abs=0.003)
        at = min(steps, key=lambda item: abs(item.points[0][0] - x))
        assert np.abs(rgb(at.fill or "") - ramp(np.array([float(label)]))[0]).max() < 0.04


def faded(result: ShapeResult, shown: VisiblePart) -> NDArray[np.bool_]:
    """Where the colour of a fault is to be seen: on the sections to blame, and within a diameter of them."""
    blamed = [name for name, severity in severities(result).items() if severity > Severity.NOTE]
    there = np.sort(shown.s_mm[shown.rows(*blamed)])
    if not len(there):
        return np.zeros(len(shown.s_mm), bool)
    return np.abs(shown.s_mm[:, None] - there).min(axis=1) < shown.d_mm


@pytest.mark.parametrize("by", COLOUR_BY)
@pytest.mark.parametrize("name", ["faults/good", "faults/short-exit", "faults/uneven-half"])
def test_every_colour_on_the_wire_is_in_the_legend(example: Callable[[str], ShapeResult], name: str, by: str) -> None:
    result = example(name)
    shown = shown_part(result.joint)
    there = wire_colours(result, shown, by)
    if by == "strain":
        return
    said = {entry.text: [rgb(colour) for colour in entry.colours] for entry in there.legend.entries}
    if by == "section":
        for colour in np.unique(there.rgb, axis=0):
            assert min(np.abs(colour - other).max() for colours in said.values() for other in colours) < 1e-9
    else:  # two tones of the bare wire, and the eye between them
        inside = np.abs(there.rgb - rgb(OVERLAP)).max(axis=1) < 1e-9
        marked = faded(result, shown) if by == "verdict" else np.zeros(len(inside), bool)
        bare = there.rgb[~inside & ~marked] / METAL_RGB
        assert np.ptp(bare, axis=1).max() < 1e-9
        assert {round(float(tone), 9) for tone in np.unique(bare[:, 0])} >= {TAG_TONE, 1.0}
        assert bare.min() >= TAG_TONE - 1e-9 and bare.max() <= 1.0 + 1e-9
        assert np.allclose(said["standing leg"], METAL_RGB) and np.allclose(
            said["tag"], TAG_TONE * METAL_RGB, atol=0.003
        )
    words = list(said)
    assert ("overlap" in words) == (result.clearance.least_d < -1e-3)


def test_both_legs_at_fault_keep_their_two_tones(example: Callable[[str], ShapeResult]) -> None:
    result = example("faults/loose-twist")
    shown = shown_part(result.joint)
    there = wire_colours(result, shown, "verdict").rgb
    leg, tag = (there[shown.rows(name)][50] for name in ("twist_standing", "twist_tag"))
    assert np.allclose(255 * leg, VERMILLION, atol=1) and np.all(tag < 0.8 * leg + 1e-9) and tag[0] > 2 * tag[1]
    alone = wire_colours(example("faults/open-barrel"), shown_part(example("faults/open-barrel").joint), "verdict").rgb
    assert np.abs(255 * alone - VERMILLION).max(axis=1).min() < 1


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("uneven-zero", {"twist_tag"}), ("uneven-half", {"twist_tag"}), ("open-barrel", {"barrel"}),
        ("opposite-hand-barrel", {"exit_tag", "barrel"}), ("loose-twist", {"twist_standing", "twist_tag"}),
    ],
)  # fmt: skip
def test_only_the_wire_to_blame_is_coloured_the_same_in_picture_page_and_mesh(
    example: Callable[[str], ShapeResult], name: str, parts: set[str]
) -> None:
    result = example(f"faults/{name}")
    whole = picture_canvas(result).frames[0]
    on_page = scene(result)
    page_rgb, page_section = (
        np.frombuffer(base64.b64decode(text), np.uint8)
        for text in (on_page["wire"]["colours"]["verdict"], on_page["wire"]["section"])
    )
    mesh = wire_mesh(result.joint.layout.path, result.joint.diameter_mm, QUALITIES["draft"])
    shown = whole.shown
    beside = {shown.names[k] for k in np.unique(shown.section[faded(result, shown)])}  # the colour fades out there
    assert beside < set(shown.names)
    for rgb_255, metal, section, names in (
        (np.round(255 * whole.rgb), METAL, whole.shown.section, whole.shown.names),
        (page_rgb.reshape(-1, 3), PAGE_METAL, page_section, on_page["sections"]),
        (mesh_colours(mesh, result, "verdict"), METAL, mesh.tube.section, SECTIONS),
    ):
        bare = np.ptp(rgb_255 / rgb(metal), axis=1) < 2.0  # a tone of the metal, rounded
        blamed = [names.index(part) for part in parts]
        assert {names[k] for k in np.unique(section[~bare])} <= beside
        assert not bare[np.isin(section, blamed)].any()


def test_an_overlap_is_coloured_where_it_is(short_exit: ShapeResult) -> None:
    shown = shown_part(short_exit.joint, 0.02)
    for by in COLOUR_BY:
        there = wire_colours(short_exit, shown, by).rgb
        rows = np.flatnonzero(np.abs(there - rgb(OVERLAP)).max(axis=1) < 1e-9)
        assert len(rows) > 10
        # each of these lies in another part, by brute force; none of the rest does by more than a hair
        apart = np.abs(shown.s_mm[:, None] - shown.s_mm[None, rows]) > 1.6 * shown.d_mm
        away = np.linalg.norm(shown.points_mm[:, None] - shown.points_mm[None, rows], axis=2)
        assert np.where(apart, away, np.inf).min(axis=0).max() < 1.01 * shown.d_mm
