"""Frames of a forming, seen with the eye at rest."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.hands import Twisting, shape_in_space
from helix.studies.simulate.form_result import Stage

_LEG_D: Final = 8.0  # of straight wire that is seen beyond a hand


class FormFilm:
    """Places, strains of the outer fibres and what is being done, frame by frame; all frames have the nodes of the whole wire."""

    def __init__(self, work: Twisting, *, right_handed: bool) -> None:
        self.mirror = np.array([1.0, 1.0 if right_handed else -1.0, 1.0])
        self.frames: list[Array] = []
        self.strains: list[Array] = []
        self.stages: list[Stage] = []
        self.rounds: list[float] = []
        self.tag = np.arange(len(work.wire.length) + 1) > work.middle
        self.s_d = np.concatenate([[0.0], np.cumsum(work.wire.length)])

    def take(self, work: Twisting, stage: Stage) -> None:
        """Add a frame. What was cut off the tag lies where the stub ends, and the leg beyond the hand stays."""
        points = shape_in_space(work, _LEG_D) * self.mirror
        strain = 0.5 * np.linalg.norm(work.state.bend, axis=1) / work.wire.node_length
        if len(points) < len(self.s_d):
            own = slice(work.first, work.first + len(points))
            whole, bent = self.frames[-1].copy(), np.zeros(len(self.s_d))
            whole[own], whole[own.stop :], bent[own] = points, points[-1], strain
            points, strain = whole, bent
        self.frames.append(points)
        self.strains.append(strain)
        self.stages.append(stage)
        self.rounds.append(work.turned / (2.0 * math.pi))

    def each(self, stage: Stage, time: float) -> Callable[[Twisting], None]:
        """What takes a frame of a stage once in so much time."""
        due = -math.inf

        def look(work: Twisting) -> None:
            nonlocal due
            if float(work.state.clock[0]) >= due:
                due = float(work.state.clock[0]) + time
                self.take(work, stage)

        return look
