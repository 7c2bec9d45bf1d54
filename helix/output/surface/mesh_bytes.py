"""A surface as the bytes of an STL, PLY or GLB file: records of numpy, written in one go.

The formats: STL binary as it has been since 1989 [mem]; PLY 1.0 (G. Turk, 1994) [mem]; GLB and its JSON: Khronos glTF 2.0,
section 4 and 5 [mem]. Tests read the files back with another library.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from helix.output.surface.model import Surface

_STL = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
_PLY_VERTEX = np.dtype(
    [("place", "<f4", 3), ("normal", "<f4", 3), ("rgba", "u1", 4), ("section", "<f4"), ("strain", "<f4")]
)
_PLY_FACE = np.dtype([("count", "u1"), ("corners", "<i4", 3)])
_PLY_HEAD = """ply
format binary_little_endian 1.0
{comments}
element vertex {vertices}
property float x
property float y
property float z
property float nx
property float ny
property float nz
property uchar red
property uchar green
property uchar blue
property uchar alpha
property float _SECTION
property float _STRAIN
element face {faces}
property list uchar int vertex_indices
end_header
"""
_FLOAT, _BYTE, _INT = 5126, 5121, 5125  # glTF's numbers of types of components
_ALIGNED = 4  # bytes; all parts of a GLB file start at a multiple


def stl_bytes(surface: Surface, head: str, scale: float, axes: Sequence[int] = (0, 1, 2)) -> bytes:
    """Write bare triangles with their normals; head: 80 characters at most; axes: which coordinate becomes x, y and z."""
    columns = np.ascontiguousarray(surface.vertices.T[list(axes)] * scale)
    x, y, z = (column.take(np.ascontiguousarray(surface.faces.T)) for column in columns)  # (3, f) each
    (ax, ay, az), (bx, by, bz) = ((x[k] - x[0], y[k] - y[0], z[k] - z[0]) for k in (1, 2))
    normals = np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])
    size = np.sqrt(np.einsum("kf,kf->f", normals, normals))
    np.divide(normals, size, out=normals, where=size > 0.0)
    triangles = np.zeros(len(surface.faces), _STL)
    triangles["normal"] = normals.T
    for k, column in enumerate((x, y, z)):
        triangles["corners"][:, :, k] = column.T
    return b"".join(
        (head.encode("ascii", "replace").ljust(80)[:80], struct.pack("<I", len(triangles)), triangles.tobytes())
    )


def ply_bytes(surface: Surface, comments: Sequence[str], scale: float) -> bytes:
    """Write vertices with normals, colours, section and strain, and the triangles."""
    vertices, faces = np.empty(len(surface.vertices), _PLY_VERTEX), np.empty(len(surface.faces), _PLY_FACE)
    vertices["place"], vertices["normal"] = surface.vertices * scale, surface.normals
    vertices["rgba"] = _rgba(surface)
    vertices["section"], vertices["strain"] = surface.section, surface.scalar
    faces["count"], faces["corners"] = 3, surface.faces
    told = "\n".join(f"comment {' '.join(line.split())}" for line in comments)
    head = _PLY_HEAD.format(comments=told, vertices=len(vertices), faces=len(faces))
    return b"".join((head.encode("ascii", "replace"), vertices.tobytes(), faces.tobytes()))


def glb_bytes(
    surface: Surface, extras: Mapping[str, Any], scale: float, matrix: NDArray[np.float64], look: Mapping[str, Any]
) -> bytes:
    """Write one mesh in one node.

    extras: what the mesh tells of itself; matrix (4, 4): how the node is turned; look: its metallic-roughness material.
    """
    parts = {
        "indices": (surface.faces.astype("<u4").ravel(), _INT, "SCALAR"),
        "POSITION": ((surface.vertices * scale).astype("<f4"), _FLOAT, "VEC3"),
        "NORMAL": (surface.normals.astype("<f4"), _FLOAT, "VEC3"),
        "COLOR_0": (_rgba(surface), _BYTE, "VEC4"),
        "_SECTION": (np.asarray(surface.section).astype("<f4"), _FLOAT, "SCALAR"),
        "_STRAIN": (np.asarray(surface.scalar).astype("<f4"), _FLOAT, "SCALAR"),
    }
    views: list[dict[str, int]] = []
    accessors: list[dict[str, Any]] = []
    at = 0
    for name, (values, component, kind) in parts.items():
        views.append({"buffer": 0, "byteOffset": at, "byteLength": values.nbytes})
        accessor: dict[str, Any] = {
            "bufferView": len(accessors), "componentType": component, "type": kind, "count": len(values),
        }  # fmt: skip
        if name == "POSITION":
            accessor |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        if component == _BYTE:
            accessor["normalized"] = True
        accessors.append(accessor)
        at += values.nbytes  # each a multiple of four
    attributes = {name: number for number, name in enumerate(parts) if name != "indices"}
    tree = {
        "asset": {"version": "2.0", "generator": "helix"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"name": "wire", "mesh": 0, "matrix": matrix.T.ravel().tolist()}],
        "meshes": [
            {
                "name": "wire",
                "extras": dict(extras),
                "primitives": [{"attributes": attributes, "indices": 0, "mode": 4, "material": 0}],
            }
        ],
        "materials": [{"name": "wire", "pbrMetallicRoughness": dict(look)}],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": at}],
    }
    told = json.dumps(tree, separators=(",", ":")).encode()
    told += b" " * (-len(told) % _ALIGNED)
    blocks = (struct.pack("<I4s", len(told), b"JSON"), told, struct.pack("<I4s", at, b"BIN\0"))
    whole = 12 + sum(len(block) for block in blocks) + at
    return b"".join(
        (struct.pack("<4sII", b"glTF", 2, whole), *blocks, *(values.tobytes() for values, _, _ in parts.values()))
    )


def _rgba(surface: Surface) -> NDArray[np.uint8]:
    """Colours (v, 4) with nothing transparent."""
    rgba = np.full((len(surface.colours), 4), 255, np.uint8)
    rgba[:, :3] = surface.colours
    return rgba
