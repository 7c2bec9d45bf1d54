"""What is read off a simulated wire at each frame, and fibres that judge whether it has broken."""

from __future__ import annotations

from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.fibres import fibre_places, follow_fibres, formed_fibres
from helix.mechanics.rod.rod_state import State
from helix.studies.simulate.pull_result import PullPoint
from helix.studies.simulate.pull_start import PullStart

_GRIP_D: Final = 2.0


def tension_of(state: State) -> Array:
    """Tension of each node over the strength."""
    edges = 0.5 * (state.force[:, 0, 0] + state.force[:, 1, 0])
    return np.concatenate([edges[:1], 0.5 * (edges[:-1] + edges[1:]), edges[-1:]])


class Judge:
    """Fibres of every section, for one hardening."""

    def __init__(self, state: State, node_length: Array, stiffness: float, hardening: float) -> None:
        self.places = fibre_places()
        self.node_length = node_length
        self.stiffness, self.hardening = stiffness, hardening
        self.plastic, self.stretch = formed_fibres(self._bend(state), stiffness, hardening, self.places)
        self.broken = np.cumsum(node_length) < _GRIP_D  # what breaks there is the grip's

    def _bend(self, state: State) -> Array:
        return state.bend / self.node_length[:, None]

    def broken_at(self, state: State, tension: Array) -> int | None:
        """Go on to now; the node that bears most of those that broke, None where none did."""
        new = follow_fibres(
            self.places,
            self.plastic,
            self.stretch,
            self._bend(state),
            tension,
            self.broken,
            self.stiffness,
            self.hardening,
        )
        if not new:
            return None
        at = np.flatnonzero(self.broken & (np.cumsum(self.node_length) >= _GRIP_D))
        return int(at[np.argmax(tension[at])])


class PullWatch:
    """What is read off the wire at each frame."""

    def __init__(self, state: State, start: PullStart) -> None:
        self.start = start
        self.before = self._angles(state)
        self.turned = 0.0
        self.first = float(state.points[0, 2])
        self.middle = self._lowest(state)
        names = np.array(start.section)
        twist = np.flatnonzero(names == "twist_tag")
        self.twist_end = int(twist[-1]) if twist.size else start.lowest

    def look(self, state: State, load: float, tension: Array) -> PullPoint:
        """One point of the curve."""
        angles = self._angles(state)
        if angles.size:
            step = np.angle(np.exp(1j * (angles - self.before)))
            self.turned += float(step.mean()) / (2.0 * np.pi)
        self.before = angles
        a, b = self.start.leg_middles
        one, two = state.tangent[a], state.tangent[b]
        return PullPoint(
            pull_d=float(state.points[0, 2]) - self.first,
            load=load,
            throat_deg=float(np.degrees(np.arccos(np.clip(-one @ two, -1.0, 1.0)))),
            through_d=self._lowest(state) - self.middle,
            turned=-self.turned if self.start.right_handed else self.turned,
            tag_load=float(tension[self.twist_end]),
        )

    def _angles(self, state: State) -> Array:
        """Angles of the barrel's nodes round the axis of the standing leg."""
        barrel = np.array(self.start.section) == "barrel"
        x = state.points[barrel]
        return np.asarray(np.arctan2(x[:, 1], x[:, 0]))

    def _lowest(self, state: State) -> float:
        """Arc length at which the wire is lowest, between two nodes."""
        slope = state.tangent[:, 2]
        i = int(np.argmin(state.points[:, 2]))
        i = min(max(i, 1), len(slope) - 1)
        fall, rise = float(slope[i - 1]), float(slope[i])
        share = fall / (fall - rise) if fall < rise else 0.5
        middles = 0.5 * (self.start.s[:-1] + self.start.s[1:])
        return float(middles[i - 1] + share * (middles[i] - middles[i - 1]))
