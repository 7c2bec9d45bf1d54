"""What is seen of a simulated pull.

* it ends with the break: no load is shown above that at which the wire broke, and none is borne after;
* the broken end goes on along its own line: neither piece grows or shrinks, the one on the pin stands still, and the other ends up
  beyond whatever covered it;
* a slip is shown to the end of its run, in one piece;
* ink stands round the eye at even distances from its middle, and on the barrel in one line.
"""

from __future__ import annotations

import dataclasses
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from helix.output.simulate.pull_film import pull_film
from helix.output.simulate.pull_frames import PART_D, ink_of, parted, pull_frames
from helix.studies.simulate.pull_result import PullRun
from helix.studies.simulate.shipped import shipped_pull


def run_of(key: str) -> PullRun:
    return shipped_pull(key).run


def length(points: NDArray[np.float64]) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def test_it_ends_with_the_break() -> None:
    run = run_of("turns-5")
    assert run.nominal is not None
    shown = pull_frames(run)
    assert max(point.load for point in shown.curve) == pytest.approx(run.nominal.load, abs=1e-6)
    assert (shown.tensions[shown.last] > 0.5).any() and not shown.tensions[shown.last + 1 :].any()
    assert shown.pull_d[shown.last] == pytest.approx(run.nominal.pull_d) and (np.diff(shown.pull_d) > 0.0).all()
    film = pull_film(run, 0.74, 1000.0)
    assert film["load"][film["last"]] == pytest.approx(run.nominal.load, abs=1e-3) and film["load"][-1] == 0.0
    assert film["said"][-1] == [film["said"][film["last"]][0], "broke at 87 % of straight wire"]


@pytest.mark.parametrize("key", ["turns-5", "bare-5", "lay-6.0"])
def test_a_broken_end_goes_along_its_own_line(key: str) -> None:
    run = run_of(key)
    shown = pull_frames(run)
    broken, whole, last = shown.broken, shown.points[shown.last], shown.points[-1]
    assert broken is not None and run.section[broken] == "exit_standing"
    assert np.array_equal(last[broken:], whole[broken:])
    moved = shown.pull_d[-1] - shown.pull_d[shown.last]
    assert length(last[:broken]) == pytest.approx(length(whole[:broken]), rel=2e-3)
    assert length(whole[:broken]) + moved == pytest.approx(length(np.concatenate([last[:1], whole[:broken]])), rel=2e-3)
    off = whole[0] + np.outer(np.linspace(0.0, moved, 400), (whole[0] - whole[1]) / np.linalg.norm(whole[0] - whole[1]))
    line = np.concatenate([off[::-1], dense(whole[: broken + 1])])
    assert all(np.linalg.norm(line - node, axis=1).min() < 0.02 for node in last[:broken])
    tag = last[broken:]
    assert last[broken - 1, 2] > tag[:, 2].max() + 0.5 * PART_D, "the end is still covered"


def dense(points: NDArray[np.float64]) -> NDArray[np.float64]:
    shares = np.linspace(0.0, 1.0, 20, endpoint=False)[:, None]
    return np.concatenate([one + shares * (other - one) for one, other in pairwise(points)])


def test_nothing_moves_by_nothing() -> None:
    points = run_of("turns-5").frames[-1]
    assert parted(points, 40, 0.0) == pytest.approx(points)


def test_a_slip_goes_to_the_end_of_its_run() -> None:
    run = run_of("turns-2")
    shown = pull_frames(run)
    assert shown.broken is None and len(shown.points) == len(run.curve) and shown.bears(len(run.curve) - 1)
    assert (
        run.curve[-1].through_d > run.curve[shown.last].through_d + 0.5
    )  # of the wire's diameters, to be seen at its ink
    assert pull_film(run, 0.74, 1000.0)["said"][-1][1].endswith("of wire through")


def test_ink_is_round_the_eye_and_in_a_line_on_the_barrel() -> None:
    run = run_of("wraps-8")
    ink, sections, first = ink_of(run), np.array(run.section), run.frames[0]
    eye = np.flatnonzero(ink & (sections != "barrel"))
    assert len(eye) >= 5 and np.argmin(first[:, 2]) in eye
    assert np.diff(run.s_d[eye]) == pytest.approx(np.full(len(eye) - 1, 3.0), abs=0.5)
    barrel = first[np.flatnonzero(ink & (sections == "barrel"))]
    assert 7 <= len(barrel) <= 8
    angles = np.arctan2(barrel[:, 1], barrel[:, 0])
    assert np.ptp(angles) < np.radians(25.0)  # places stand 23 deg apart round the barrel
    assert not ink_of(dataclasses.replace(run, section=("standing",) * len(sections))).any()
