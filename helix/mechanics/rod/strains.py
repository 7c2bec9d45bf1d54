"""Strains of a discrete rod and the forces that belong to them: frames carried along in time, no rest frame.

Bending and twist of node i from the two edges beside it, as in M. Bergou et al., ACM Trans. Graph. 29 (2010) 116 (from
memory; checked against differences in tests).
"""

from __future__ import annotations

import numpy as np

from helix.mechanics.rod.compiling import compiled
from helix.mechanics.rod.rod_state import ELASTIC, HARDENED, PLASTIC, STRAINING, State, Wire
from helix.mechanics.rod.section import return_to_yield, yield_norm


@compiled
def carry_frames(points: np.ndarray, tangent: np.ndarray, director: np.ndarray, turn: np.ndarray) -> None:
    """Carry directors along with edges that moved, without twist, then turn them about the edges.

    Parameters
    ----------
    points : array
        Where the nodes are now, (n, 3).
    tangent, director : array
        Unit vectors as they were, (n-1, 3); changed in place.
    turn : array
        Angles about the edges [rad], (n-1,).
    """
    for j in range(len(tangent)):
        x, y, z = points[j + 1, 0] - points[j, 0], points[j + 1, 1] - points[j, 1], points[j + 1, 2] - points[j, 2]
        inverse = 1.0 / np.sqrt(x * x + y * y + z * z)
        x, y, z = x * inverse, y * inverse, z * inverse
        a, b, c = tangent[j, 0], tangent[j, 1], tangent[j, 2]
        u, v, w = director[j, 0], director[j, 1], director[j, 2]
        k = (x * u + y * v + z * w) / (1.0 + x * a + y * b + z * c)
        u, v, w = u - k * (x + a), v - k * (y + b), w - k * (z + c)
        cos, sin = np.cos(turn[j]), np.sin(turn[j])
        p, q, r = y * w - z * v, z * u - x * w, x * v - y * u
        u, v, w = cos * u + sin * p, cos * v + sin * q, cos * w + sin * r
        k = x * u + y * v + z * w
        u, v, w = u - k * x, v - k * y, w - k * z
        k = 1.0 / np.sqrt(u * u + v * v + w * w)
        tangent[j, 0], tangent[j, 1], tangent[j, 2] = x, y, z
        director[j, 0], director[j, 1], director[j, 2] = u * k, v * k, w * k


@compiled
def node_strains(t0: np.ndarray, t1: np.ndarray, d0: np.ndarray, d1: np.ndarray, out: np.ndarray) -> None:
    """Give the bend in both directions and the twist of a node, whole angles, and the curvature binormal.

    Parameters
    ----------
    t0, t1, d0, d1 : array
        Tangents and directors of the edges before and after, (3,).
    out : array
        Bend about the second director, about the first with the sign turned, twist, then the binormal, (6,).
    """
    chi = 1.0 + t0[0] * t1[0] + t0[1] * t1[1] + t0[2] * t1[2]
    bx = 2.0 * (t0[1] * t1[2] - t0[2] * t1[1]) / chi
    by = 2.0 * (t0[2] * t1[0] - t0[0] * t1[2]) / chi
    bz = 2.0 * (t0[0] * t1[1] - t0[1] * t1[0]) / chi
    # second directors
    ex, ey, ez = t0[1] * d0[2] - t0[2] * d0[1], t0[2] * d0[0] - t0[0] * d0[2], t0[0] * d0[1] - t0[1] * d0[0]
    fx, fy, fz = t1[1] * d1[2] - t1[2] * d1[1], t1[2] * d1[0] - t1[0] * d1[2], t1[0] * d1[1] - t1[1] * d1[0]
    out[0] = 0.5 * ((ex + fx) * bx + (ey + fy) * by + (ez + fz) * bz)
    out[1] = -0.5 * ((d0[0] + d1[0]) * bx + (d0[1] + d1[1]) * by + (d0[2] + d1[2]) * bz)
    # the director before, carried over the node
    k = (t1[0] * d0[0] + t1[1] * d0[1] + t1[2] * d0[2]) / chi
    ux, uy, uz = d0[0] - k * (t0[0] + t1[0]), d0[1] - k * (t0[1] + t1[1]), d0[2] - k * (t0[2] + t1[2])
    cos = ux * d1[0] + uy * d1[1] + uz * d1[2]
    sin = -(ux * fx + uy * fy + uz * fz)
    out[2] = np.arctan2(sin, cos)
    out[3], out[4], out[5] = bx, by, bz


@compiled
def strain_rod(state: State, wire: Wire, moments: np.ndarray, tensions: np.ndarray, scratch: np.ndarray) -> None:
    """Strain the rod to where its nodes are: forces of all sections, with what flowed and what damping took.

    Parameters
    ----------
    state : State
        Changed in place: strains, section forces, energies.
    wire : Wire
        Its constants.
    moments : array
        Two bending moments and the torque of each node, damping included, (n, 3); written.
    tensions : array
        Tension of each edge, damping included, (n-1,); written.
    scratch : array
        Room for one section: strain increments, forces, back forces, and both stiffnesses over the plastic values, (6, 4).
    """
    points, edges = state.points, len(state.tangent)
    grow, s, x, stiff, hard, out = scratch[0], scratch[1], scratch[2], scratch[3], scratch[4], scratch[5:7].ravel()
    for k in range(4):
        stiff[k] = wire.stiff[k] / wire.plastic[k] ** 2
        hard[k] = wire.hard[k] / wire.plastic[k] ** 2
    rate = wire.viscosity / wire.time_step
    moments[:] = 0.0
    stored = kept = flowed = damped = 0.0
    bent0 = bent1 = twisted = 0.0  # increments at the node before the edge
    for j in range(edges):
        dx, dy, dz = (points[j + 1, 0] - points[j, 0], points[j + 1, 1] - points[j, 1], points[j + 1, 2] - points[j, 2])
        stretch = np.sqrt(dx * dx + dy * dy + dz * dz) / wire.length[j] - 1.0
        tensions[j] = 0.0
        next0 = next1 = next2 = 0.0
        i = j + 1
        if i < edges and wire.alive[j] and wire.alive[i]:
            node_strains(state.tangent[j], state.tangent[i], state.director[j], state.director[i], out)
            next0 = (out[0] - state.bend[i, 0]) / wire.node_length[i]
            next1 = (out[1] - state.bend[i, 1]) / wire.node_length[i]
            next2 = (out[2] - state.twist[i]) / wire.node_length[i]
            state.bend[i, 0], state.bend[i, 1], state.twist[i] = out[0], out[1], out[2]
        if wire.alive[j]:
            half = 0.5 * wire.length[j]
            grow[0] = stretch - state.stretch[j]
            for end in range(2):
                node = j + end
                if end == 0:
                    grow[1], grow[2], grow[3] = bent0, bent1, twisted
                else:
                    grow[1], grow[2], grow[3] = next0, next1, next2
                for k in range(4):
                    s[k] = state.force[j, end, k] + wire.stiff[k] * grow[k] / wire.plastic[k]
                    x[k] = state.back[j, end, k]
                m0, m1 = s[1] - x[1], s[2] - x[2]
                if yield_norm(s[0] - x[0], np.sqrt(m0 * m0 + m1 * m1), s[3] - x[3]) > 1.0:
                    flowed += half * return_to_yield(s, x, stiff, hard)
                for k in range(4):
                    state.force[j, end, k] = s[k]
                    state.back[j, end, k] = x[k]
                    stored += half * 0.5 * s[k] * s[k] / stiff[k]
                    if hard[k] > 0.0:
                        kept += half * 0.5 * x[k] * x[k] / hard[k]
                    damped += half * rate * wire.stiff[k] * grow[k] * grow[k]
                tensions[j] += 0.5 * (s[0] * wire.plastic[0] + rate * wire.stiff[0] * grow[0])
                weight = half / wire.node_length[node]
                for k in range(3):
                    moments[node, k] += weight * (
                        s[k + 1] * wire.plastic[k + 1] + rate * wire.stiff[k + 1] * grow[k + 1]
                    )
        state.stretch[j] = stretch
        bent0, bent1, twisted = next0, next1, next2
    state.energy[ELASTIC] = stored
    state.energy[HARDENED] = kept
    state.energy[PLASTIC] += flowed
    state.energy[STRAINING] += damped


@compiled
def resist(state: State, wire: Wire, moments: np.ndarray, tensions: np.ndarray) -> None:
    """Give the force on each node and the torque on each edge by the rod itself.

    Parameters
    ----------
    state : State
        Its force_on and torque_on are written.
    wire : Wire
        Its constants.
    moments, tensions : array
        As `strain_rod` wrote them.
    """
    t, d, force, torque = state.tangent, state.director, state.force_on, state.torque_on
    edges = len(t)
    force[:] = 0.0
    torque[:] = 0.0
    g0, g1, g2 = np.empty(3), np.empty(3), np.empty(3)
    for j in range(edges):
        for k in range(3):
            pull = tensions[j] * t[j, k]
            force[j, k] += pull
            force[j + 1, k] -= pull
    for i in range(1, edges):
        e, f = i - 1, i
        if not (wire.alive[e] and wire.alive[f]):
            continue
        m0, m1, m2 = moments[i, 0], moments[i, 1], moments[i, 2]
        t0, t1, d0, d1 = t[e], t[f], d[e], d[f]
        chi = 1.0 + t0[0] * t1[0] + t0[1] * t1[1] + t0[2] * t1[2]
        inverse_e = 1.0 / (wire.length[e] * (1.0 + state.stretch[e]))
        inverse_f = 1.0 / (wire.length[f] * (1.0 + state.stretch[f]))
        bx = 2.0 * (t0[1] * t1[2] - t0[2] * t1[1]) / chi
        by = 2.0 * (t0[2] * t1[0] - t0[0] * t1[2]) / chi
        bz = 2.0 * (t0[0] * t1[1] - t0[1] * t1[0]) / chi
        ex, ey, ez = t0[1] * d0[2] - t0[2] * d0[1], t0[2] * d0[0] - t0[0] * d0[2], t0[0] * d0[1] - t0[1] * d0[0]
        fx, fy, fz = t1[1] * d1[2] - t1[2] * d1[1], t1[2] * d1[0] - t1[0] * d1[2], t1[0] * d1[1] - t1[1] * d1[0]
        # w: moment vector over the edges' mean frame, m0 times second directors less m1 times first ones
        wx = (m0 * (ex + fx) - m1 * (d0[0] + d1[0])) / chi
        wy = (m0 * (ey + fy) - m1 * (d0[1] + d1[1])) / chi
        wz = (m0 * (ez + fz) - m1 * (d0[2] + d1[2])) / chi
        k = (m0 * state.bend[i, 0] + m1 * state.bend[i, 1]) / chi
        g1[0], g1[1], g1[2] = k * (t0[0] + t1[0]), k * (t0[1] + t1[1]), k * (t0[2] + t1[2])
        half = 0.5 * m2
        g0[0] = inverse_e * (-g1[0] + t1[1] * wz - t1[2] * wy + half * bx)
        g0[1] = inverse_e * (-g1[1] + t1[2] * wx - t1[0] * wz + half * by)
        g0[2] = inverse_e * (-g1[2] + t1[0] * wy - t1[1] * wx + half * bz)
        g2[0] = inverse_f * (-g1[0] - t0[1] * wz + t0[2] * wy + half * bx)
        g2[1] = inverse_f * (-g1[1] - t0[2] * wx + t0[0] * wz + half * by)
        g2[2] = inverse_f * (-g1[2] - t0[0] * wy + t0[1] * wx + half * bz)
        for c in range(3):
            force[i - 1, c] += g0[c]
            force[i, c] += g2[c] - g0[c]
            force[i + 1, c] -= g2[c]
        torque[e] += m2 + 0.5 * (m0 * (bx * d0[0] + by * d0[1] + bz * d0[2]) + m1 * (bx * ex + by * ey + bz * ez))
        torque[f] += -m2 + 0.5 * (m0 * (bx * d1[0] + by * d1[1] + bz * d1[2]) + m1 * (bx * fx + by * fy + bz * fz))
