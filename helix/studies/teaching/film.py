"""The making of a joint as one continuous film: time from 0 to 1, and what is to be seen at any of it.

The steps of helix.studies.teaching.steps lie on it in their order; between two of them the moment of the making, and
with it what is formed, goes on steadily. So every picture is a curve of the whole wire, not a mean of two others.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.geometry.joint.free_ends import FreeEnds, free_ends
from helix.geometry.joint.partly_formed import Arc, cranked
from helix.geometry.wire.curves import Curve, derivatives
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.hand_work import grip_reach_mm, pin_drawn_mm
from helix.studies.teaching.making import Making, Move, WireNow, forming_at, making_of, wires_at
from helix.studies.teaching.steps import Step, forming_steps
from helix.values import result

Floats = NDArray[np.float64]

FRAMES_A_SECOND: Final = 30
_SECONDS: Final = {
    "mark": 0.0,
    "bend": 2.0,
    "cross": 1.2,
    "straighten": 1.2,
    "swing": 1.2,
    "handle": 1.2,
    "finished": 3.2,
}
_TURN_S, _TURNS_S = 1.0, 9.0  # a turn or wrap, and all of them where they are many
_FIRST_S, _LAST_S = 0.8, 1.0  # the straight wire and the finished joint stand
_ROCK_SHARE = 0.65  # of the last step, until the handle breaks: up to there the step of the handle is at work
HAND_AHEAD_S: Final = 0.4  # how far ahead an arrow shows the way of a hand
_HANDLE_HELD = 0.3  # of the handle, from its end to the hand
_ARC_NODES: Final = 9
_AS_ONE: Final = ("bend", "twist")  # both tags of two wires in one hand
_TAGS: Final = (0, 2)  # the hands on the tags
_MOVES_LEG: Final = ("bend", "twist", "straighten")  # with both hands; the others with the one that holds the tag


@result
class Film:
    """A joint's making on a time from 0 to 1. times, moments (k,): its knots, between which moments go on evenly.

    reached: number of the step at work up to each knot. seconds: how long it runs at the pace of hands that teach.
    pin_d: middle of the pin's axis, which runs along y [d]; grip_d: how far from the work a hand holds.
    """

    result: ShapeResult
    making: Making
    steps: tuple[Step, ...]
    times: Floats
    moments: Floats
    reached: tuple[int, ...]
    seconds: float
    pin_d: tuple[float, float, float]
    grip_d: float

    def moment(self, time: float) -> float:
        """The moment of the making at a time from 0 to 1."""
        return float(np.interp(time, self.times, self.moments))

    def whole(self, kind: str) -> float:
        """How many turns the twist has, or wraps the barrel; kind: "twist" or "wrap"."""
        return self.result.recipe.twist.turns if kind == "twist" else self.result.recipe.barrel.wraps

    def time_of(self, number: int) -> float:
        """The time at which a step, by its number from 1, is as it shows the wire."""
        return float(self.times[self.reached.index(number)])


@result
class FilmState:
    """What is to be seen at a time: each wire, the step that is at work, how many turns or wraps there are by now.

    wires: see WireNow. middle_d: arc length at which the tag begins and the standing leg ends. count, of: None where
    nothing is counted. hands: the way that each hand goes next, as points (n, 3) in wire diameters, None where it rests:
    on the tag, on the standing leg, on the second tag of two. pin_out: 0 while the pin is in the eye, to 1 as it is
    drawn out.
    """

    time: float
    moment: float
    step: Step
    wires: tuple[WireNow, ...]
    middle_d: float
    count: float | None
    of: float | None
    hands: tuple[Floats | None, ...]
    pin_out: float

    @property
    def wire(self) -> WireNow:
        """The wire, the first of several."""
        return self.wires[0]


@result
class WireFrames:
    """One wire at many times; rows are times, lengths in wire diameters.

    low, high: how the wire leaves what is formed, at the standing leg and at the tag. bent: for each row of ``bent_from``
    arc lengths from the standing end (m,), points and tangents (m, 3) along its handle; the wire runs on straight from
    the last. carried (n, 3): by how much a handle that has broken off is moved.
    """

    low: FreeEnds
    high: FreeEnds
    bent: tuple[tuple[Floats, Floats, Floats], ...]
    carried: Floats


@result
class FilmFrames:
    """Many times of a film at once, for whoever draws them all; rows are times, lengths in wire diameters.

    step: number of the step at work. count: turns or wraps by now, NaN where nothing is counted. bent_from: rows at
    which the handle is bent. wires: each wire. hands (n, 2, 3): where the tag and the standing leg are held, NaN where
    the hand rests; of two wires (n, 3, 3), the third for the second tag where it goes its own way. pin_out: as in
    FilmState.
    """

    time: Floats
    step: NDArray[np.int64]
    count: Floats
    bent_from: NDArray[np.int64]
    wires: tuple[WireFrames, ...]
    hands: Floats
    pin_out: Floats

    @property
    def wire(self) -> WireFrames:
        """The wire, the first of several."""
        return self.wires[0]


def film_of(result: ShapeResult, steps: Sequence[Step] | None = None, hold_d: float = 9.0) -> Film:
    """The film of a joint's making; steps: if they are at hand already. hold_d: farthest from the work that a hand is shown.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> from helix.studies.shape.shape import shape
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> film = film_of(shape(recipe_from_text(text)))
    >>> film.moment(0.0), film.moment(1.0) == film.making.end
    (0.0, True)
    """
    making = making_of(result.joint)
    shown = tuple(forming_steps(result) if steps is None else steps)
    knots = [(0.0, 0.0, 1), (_FIRST_S, 0.0, 1)]
    before = {"twist": 0.0, "wrap": 0.0}
    whole = {"twist": result.recipe.twist.turns, "wrap": result.recipe.barrel.wraps}
    for step in shown[1:]:
        if step.kind in before:
            pace = min(_TURN_S, _TURNS_S / whole[step.kind])
            lasts, before[step.kind] = pace * (step.done - before[step.kind]), step.done
        else:
            lasts = _SECONDS[step.kind]
        start, moment = knots[-1][0], knots[-1][1]
        if step.kind == "finished":
            if step.moment == moment:  # no handle to break
                lasts = 0.0
            else:
                knots.append((start + _ROCK_SHARE * lasts, moment + 1.0, step.number - 1))
        knots.append((start + lasts, step.moment, step.number))
    knots.append((knots[-1][0] + _LAST_S, knots[-1][1], knots[-1][2]))
    seconds = knots[-1][0]
    sizes = result.joint.layout.sizes
    d = result.joint.diameter_mm
    return Film(
        result=result,
        making=making,
        steps=shown,
        times=np.array([time / seconds for time, _, _ in knots]),
        moments=np.array([moment for _, moment, _ in knots]),
        reached=tuple(number for _, _, number in knots),
        seconds=seconds,
        pin_d=pin_place(making),
        grip_d=min(grip_reach_mm(result.recipe.wire) / d, max(sizes.handle, 2.0), hold_d),
    )


def pin_place(making: Making) -> tuple[float, float, float]:
    """Middle of the pin [d], which touches the eye's end from within, at its middle; the pin runs along y."""
    path = making.joint.layout.path
    samples = path.sample(0.02, 0.5)
    k = int(np.argmin(np.abs(samples.s - making.middle_d)))
    bent = samples.curvature[k]
    recipe = making.joint.recipe
    thinner_d = 0.5 * (recipe.eye.pin_mm - pin_drawn_mm(recipe)) / recipe.wire.diameter_mm
    size = math.sqrt(max(float(bent @ bent), 1e-9))
    x, y, z = (samples.points[k] + bent / size * (1.0 / size - thinner_d)).tolist()
    return x, y, z


def film_state(film: Film, time: float) -> FilmState:
    """What is to be seen at a time from 0 to 1."""
    ahead = np.linspace(time, min(time + HAND_AHEAD_S / film.seconds, 1.0), 9)
    frames = film_frames(film, ahead)
    count = float(frames.count[0])
    step = film.steps[int(frames.step[0]) - 1]
    hands = []
    for side in range(frames.hands.shape[1]):
        way = frames.hands[:, side]
        same = np.cumprod(~np.isnan(way[:, 0])).astype(bool)
        hands.append(way[same] if same.sum() > 1 else None)
    return FilmState(
        time=time,
        moment=film.moment(time),
        step=step,
        wires=wires_at(film.making, film.moment(time)),
        middle_d=film.making.middle_d,
        count=None if np.isnan(count) else count,
        of=None if np.isnan(count) else film.whole(step.kind),
        hands=tuple(hands),
        pin_out=float(frames.pin_out[0]),
    )


def film_frames(film: Film, times: Floats) -> FilmFrames:
    """Everything that is to be seen at many times (n,) from 0 to 1, rising."""
    moments = np.interp(times, film.times, film.moments)
    knots = np.clip(np.searchsorted(film.times, times, side="left"), 1, len(film.times) - 1)
    bent_from = np.flatnonzero(moments >= film.making.moves.index(Move(kind="handle")))
    wires = tuple(_wire_frames(making, moments, bent_from) for making in film.making.wires)
    return FilmFrames(
        time=times,
        step=np.array(film.reached)[knots],
        count=_counts(film, moments),
        bent_from=bent_from,
        wires=wires,
        hands=_hands(film, moments, bent_from, wires),
        pin_out=np.clip((times - film.times[-2]) / (0.6 * (1.0 - film.times[-2])), 0.0, 1.0),
    )


def _wire_frames(making: Making, moments: Floats, bent_from: NDArray[np.int64]) -> WireFrames:
    """One wire at many moments."""
    path = making.joint.layout.path
    formings = [forming_at(making, float(moment)) for moment in moments]
    low = free_ends(path, [now.low for now in formings], [now.rising[0] for now in formings], making.handle_d, low=True)
    high = free_ends(
        path, [now.high for now in formings], [now.rising[1] for now in formings], making.handle_d, low=False
    )
    last = derivatives(path.pieces[-1].curve, np.array([path.pieces[-1].curve.span]), 1)[:, 0]
    root, ahead = last[0], last[1] / np.linalg.norm(last[1])
    bent = tuple(
        _laid(cranked(root, ahead, making.handle_d, crank), path.length)
        for crank in (formings[int(k)].crank for k in bent_from)
        if crank is not None
    )
    carried = np.zeros((len(moments), 3))
    for k in bent_from.tolist():
        carried[k] = (formings[k].carried_d or 0.0) * ahead
    return WireFrames(low=low, high=high, bent=bent, carried=carried)


def _laid(curves: Sequence[Curve], start: float) -> tuple[Floats, Floats, Floats]:
    """Places along a bent handle: arc lengths, points, tangents; of a straight piece its two ends."""
    s, points, tangents = [], [], []
    for curve in curves:
        u = np.linspace(0.0, curve.span, _ARC_NODES if isinstance(curve, Arc) else 2)[
            : None if curve is curves[-1] else -1
        ]
        d = derivatives(curve, u, 1)
        s.append(start + u)
        points.append(d[0])
        tangents.append(d[1])
        start += curve.span
    return np.concatenate(s), np.concatenate(points), np.concatenate(tangents)


def _counts(film: Film, moments: Floats) -> Floats:
    """Turns, or wraps, that are done at each moment; NaN outside of the moves that make them."""
    counts = np.full(moments.shape, np.nan)
    for k, move in enumerate(film.making.moves):
        if move.kind in ("twist", "wrap"):
            within = (moments > k) & (moments <= k + 1)
            counts[within] = (moments[within] - k) * move.turns
    return counts


def _hands(film: Film, moments: Floats, bent_from: NDArray[np.int64], wires: tuple[WireFrames, ...]) -> Floats:
    """Where tag and standing leg are held (n, 2 or 3, 3), a pair as one; NaN where a hand rests."""
    making = film.making
    kinds = [making.moves[min(int(moment), len(making.moves) - 1)].kind for moment in moments]
    hands = np.full((len(moments), 1 + len(wires), 3), np.nan)
    grip = np.full(moments.shape, film.grip_d)
    tag = np.array([kind not in ("handle", "rock", "break") for kind in kinds])
    leg = np.array([kind in _MOVES_LEG for kind in kinds])
    as_one = np.array([kind in _AS_ONE for kind in kinds]) & (len(wires) > 1)
    tags = [wire.high.place(grip) for wire in wires]
    for side, held in zip(_TAGS, tags, strict=False):
        hands[tag, side] = held[tag]
        for row, (s, points, tangents) in zip(bent_from.tolist(), wires[_TAGS.index(side)].bent, strict=True):
            if kinds[row] == "break":
                continue
            own = making.wires[_TAGS.index(side)]
            share = moments[row] - int(moments[row]) if kinds[row] == "handle" else 1.0
            far = (1.0 - _HANDLE_HELD) * making.handle_d
            at = (
                own.joint.layout.path.length + film.grip_d + share * (far - film.grip_d)
            )  # it slips out along the handle
            k = int(np.searchsorted(s, at, side="right")) - 1
            hands[row, side] = points[k] + (at - s[k]) * tangents[k]
    hands[leg, 1] = np.mean([wire.low.place(grip) for wire in wires], axis=0)[leg]
    hands[as_one, 0] = np.mean(tags, axis=0)[as_one]
    hands[as_one, 2:] = np.nan
    return hands
