"""How a joint is made over time: its moves in order, and the wire at any moment of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from helix.geometry.joint.partly_formed import (
    HANDLE,
    STRAIGHT,
    Crank,
    FormedPlace,
    Rising,
    Trimmed,
    partly_formed,
    place_at,
    square_to,
)
from helix.geometry.wire.curves import Moved, curve_length, derivatives
from helix.geometry.wire.path import CurvePiece, Path
from helix.model.joint.joint import Joint
from helix.model.joint.joint_curves import STUB_FADE, STUB_LIFT
from helix.values import result

Floats = NDArray[np.float64]

_OF_HANDLE = ("handle", "rock", "break")
_CRANK_RADIUS_D = 1.5
_CRANK_ARM = 0.35  # of the handle, from the stub to its bend
_HELD_APART = np.deg2rad(12.0)  # how far the legs are held apart sideways while they are crossed
_LEAST_HANDLE_D = 8.0  # a shorter one is gripped with pliers and not bent
_ROCKED, _ROOT_RADIUS_D = np.deg2rad(35.0), 1.0  # how far the handle is rocked, and how sharply it is bent at its root
_ROCKS = 2.5  # to and fro until it breaks, on the way out
_CARRIED_D = 60.0  # how far the handle is carried off once it has broken
_PAIR_RADIUS_D = 2.0  # at which the rests of two wires worked as one are bent to run side by side
_HELD_OFF = np.deg2rad(12.0)  # how far the tags of a pair are held off the legs while these come straight
_LAST_TURN = 8.0  # part of a turn, inverted, in which the rest of a pair's tag comes to lie as its stub will


@result
class Move:
    """One thing done at a time: pieces of the path that take shape together on both sides of the eye.

    kind: "bend", "twist", "straighten", "swing", "wrap", "handle", "rock" or "break". low, high: piece indices on the
    standing side and on the tag's, in the order in which they take shape, none where that side rests. turns: turns or
    wraps that it makes.
    """

    kind: str
    low: tuple[int, ...] = ()
    high: tuple[int, ...] = ()
    turns: float = 1.0


@dataclass(frozen=True)
class Making:
    """The moves that make a joint. Move k runs from the moment k to k + 1; at 0 the wire is straight.

    Of several wires it is that of the first, and ``wires`` has each: the same moves at the same moments, as hands
    work them as one. middle_d, throat_d: arc lengths of the middle of the eye and of its two ends [d]; handle_d [d].
    """

    joint: Joint
    moves: tuple[Move, ...]
    middle_d: float
    throat_d: tuple[float, float]
    handle_d: float

    @cached_property
    def wires(self) -> tuple[Making, ...]:
        """The making of each wire, this one first."""
        return (self, *(making_of(wire) for wire in self.joint.wires[1:]))

    @property
    def starts_d(self) -> tuple[float, ...]:
        """Arc length at which each wire starts where all are counted on, their handles included [d]."""
        return tuple(start + k * self.handle_d for k, start in enumerate(self.joint.wire_starts_d))

    @cached_property
    def parallel(self) -> float:
        """The moment at which the legs, bent round the pin, are parallel; of two wires those of both."""
        return max(_parallel_legs(each.joint.layout.path, each.middle_d, each.throat_d) for each in self.wires)

    @cached_property
    def throat(self) -> tuple[FormedPlace, FormedPlace]:
        """The two ends of the eye."""
        first, last = (place_at(self.joint.layout.path, s) for s in self.throat_d)
        return first, last

    @property
    def end(self) -> float:
        """The moment at which the handle has been broken off and all is done."""
        return float(len(self.moves))

    def moment_after(self, kind: str, turns: float | None = None) -> float:
        """The moment when the last move of a kind is done, or so many of its turns; raises ValueError if none is."""
        moves = [k for k, move in enumerate(self.moves) if move.kind == kind]
        if not moves:
            raise ValueError(f"kind must be one of the joint's moves; got {kind!r}")
        k = moves[-1]
        return k + (1.0 if turns is None else turns / self.moves[k].turns)


@result
class WireNow:
    """The wire at a moment (wire diameters, handle included) and the arc lengths that have their final shape.

    broken_off: the handle once it has broken off and is carried away, which is then no part of path; else None.
    """

    path: Path
    formed_d: tuple[float, float]
    broken_off: Path | None = None


@result
class Forming:
    """What is formed at a moment: its ends, how the straight rest leaves at either, and how the handle is bent.

    carried_d: how far the handle has been carried off since it broke, None while it is there.
    """

    low: FormedPlace
    high: FormedPlace
    rising: tuple[Rising, Rising]
    crank: Crank | None
    carried_d: float | None = None


def making_of(joint: Joint) -> Making:
    """The moves that make a joint: bend, twist, straighten the leg, swing the tag, wrap, handle, break."""
    path, sizes = joint.layout.path, joint.layout.sizes
    names = [p.section for p in path.pieces]

    def rows(name: str) -> tuple[int, ...]:
        return tuple(k for k, n in enumerate(names) if n == name)

    loop = rows("entry_standing") + rows("eye") + rows("entry_tag")
    moves = [Move(kind="bend")]
    if rows("twist_standing"):  # next to no turn leaves no piece
        moves.append(Move(kind="twist", low=rows("twist_standing"), high=rows("twist_tag"), turns=sizes.turns))
    legs, tags = rows("exit_standing")[::-1], rows("exit_tag")
    if legs:
        moves.append(Move(kind="straighten", low=legs, high=tags[: len(legs)]))
    if tags[len(legs) :]:
        moves.append(Move(kind="swing", high=tags[len(legs) :]))
    if rows("barrel"):
        moves.append(Move(kind="wrap", high=rows("barrel"), turns=sizes.wraps))
    moves.append(Move(kind="handle"))
    if sizes.handle > 0.0:
        moves += [Move(kind="rock"), Move(kind="break")]
    ends = float(path.starts[min(loop)]), float(path.starts[max(loop) + 1])
    return Making(joint, tuple(moves), joint.middle_d, ends, sizes.handle)


def wire_at(making: Making, moment: float) -> WireNow:
    """The wire at a moment from 0 (straight) to ``making.end``; between whole numbers a move is partly done."""
    path, now = making.joint.layout.path, forming_at(making, moment)
    made = partly_formed(path, now.low, now.high, making.handle_d, now.rising, now.crank)
    formed = (_arc_length(path, now.low), _arc_length(path, now.high))
    if now.carried_d is None:
        return WireNow(path=made, formed_d=formed)
    handle = [piece for piece in made.pieces if piece.section == HANDLE]
    last = path.pieces[-1].curve
    ahead = derivatives(last, np.array([last.span]), 1)[1, 0]
    x, y, z = (now.carried_d * ahead / np.linalg.norm(ahead)).tolist()
    off = Path(tuple(CurvePiece(HANDLE, Moved(piece.curve, (x, y, z))) for piece in handle))
    return WireNow(path=Path(made.pieces[: -len(handle)]), formed_d=formed, broken_off=off)


def wires_at(making: Making, moment: float) -> tuple[WireNow, ...]:
    """Each wire at a moment, see `wire_at`."""
    return tuple(wire_at(wire, moment) for wire in making.wires)


def forming_at(making: Making, moment: float) -> Forming:
    """What is formed at a moment from 0 (straight) to ``making.end``."""
    own = _forming(making, moment)
    if len(making.wires) == 1:
        return own
    return replace(own, rising=_as_pair(making, moment, own))


def _forming(making: Making, moment: float) -> Forming:
    """What is formed of the wire at a moment, as if there were no other."""
    path, moves = making.joint.layout.path, making.moves
    k = min(max(int(moment), 0), len(moves) - 1)
    share, move = min(max(moment - k, 0.0), 1.0), moves[k]
    rising = (STRAIGHT, STRAIGHT)
    if move.kind == "bend":
        low, high = (place_at(path, making.middle_d + share * (end - making.middle_d)) for end in making.throat_d)
        return Forming(low=high if share == 0.0 else low, high=high, rising=_apart(making, share), crank=None)
    if move.kind in _OF_HANDLE:
        low, high = _done(making, k)[0], FormedPlace(len(path.pieces) - 1, path.pieces[-1].curve.span)
        bent, rocks = {"handle": (share, 0.0), "rock": (1.0, _ROCKS * share), "break": (1.0, _ROCKS)}[move.kind]
        crank = _crank(making, bent, float(np.sin(np.pi * rocks)) ** 2)
        carried = share * share * (_CARRIED_D + making.handle_d) if move.kind == "break" else None
        return Forming(low=low, high=high, rising=rising, crank=crank, carried_d=carried)
    low, high = _done(making, k)
    if move.low:  # this side of the path runs towards the eye
        piece, taken = _reached(path, move.low, share)
        low = FormedPlace(piece, path.pieces[piece].curve.span - taken)
    if move.high:
        high = FormedPlace(*_reached(path, move.high, share))
    on_leg = {"swing": share, "wrap": 1.0}.get(move.kind, 0.0)
    if on_leg > 0.0:
        rising = STRAIGHT, Rising(STUB_FADE * on_leg, float(np.tan(STUB_LIFT)) * on_leg)
    return Forming(low=low, high=high, rising=rising, crank=None)


def _parallel_legs(path: Path, middle: float, throat: tuple[float, float]) -> float:
    """The share of the bend round the pin at which its two legs are parallel."""

    def turned(share: float) -> float:
        ends = [place_at(path, middle + share * (end - middle)) for end in throat]
        a, b = (derivatives(path.pieces[e.piece].curve, np.array([e.u]), 1)[1, 0] for e in ends)
        return float(np.cross(a, b)[1])

    start = turned(0.05)
    low, high = 0.05, 1.0
    if start * turned(high) > 0.0:
        return 1.0
    for _ in range(24):
        between = (low + high) / 2.0
        low, high = (between, high) if turned(between) * start > 0.0 else (low, between)
    return (low + high) / 2.0


def _reached(path: Path, pieces: tuple[int, ...], share: float) -> tuple[int, float]:
    """The piece that is at work at a share of some that take shape one after the other, and how much of its span is done."""
    spans = [path.pieces[k].curve.span for k in pieces]
    left = share * sum(spans)
    for k, span in zip(pieces[:-1], spans, strict=False):
        if left < span:
            return k, left
        left -= span
    return pieces[-1], min(left, spans[-1])


def _done(making: Making, k: int) -> tuple[FormedPlace, FormedPlace]:
    """How far both sides are formed when move k begins."""
    path, (first, last) = making.joint.layout.path, making.throat
    for move in making.moves[:k]:
        first = FormedPlace(move.low[-1], 0.0) if move.low else first
        last = FormedPlace(move.high[-1], path.pieces[move.high[-1]].curve.span) if move.high else last
    return first, last


def _apart(making: Making, share: float) -> tuple[Rising, Rising]:
    """While the legs close over each other they are held apart sideways, by nothing at either end of that."""
    start = making.parallel
    if not start < share < 1.0:
        return STRAIGHT, STRAIGHT
    hold = float(np.sin(np.pi * (share - start) / (1.0 - start)))
    path = making.joint.layout.path
    tag = making.throat[1]
    side = 1.0 if derivatives(path.pieces[tag.piece].curve, np.array([tag.u]), 0)[0, 0, 1] >= 0.0 else -1.0
    lift = float(np.tan(_HELD_APART)) * hold
    low, high = (Rising(STUB_FADE * hold, lift, (0.0, way, 0.0)) for way in (-side, side))
    return low, high


def _as_pair(making: Making, moment: float, own: Forming) -> tuple[Rising, Rising]:
    """How the rests of a pair leave what is formed: side by side as hands hold them, from the bend to the end of the twist.

    While the standing pair comes straight the tags go apart, held off it a little; then each goes its own way round it.
    """
    k = min(int(moment), len(making.moves) - 1)
    move, share = making.moves[k], min(max(moment - k, 0.0), 1.0)
    if move.kind in _OF_HANDLE:
        return own.rising
    each = [own, *(_forming(other, moment) for other in making.wires[1:])]
    paths = [wire.joint.layout.path for wire in making.wires]
    sides = []
    for low, apart in zip((True, False), own.rising, strict=True):
        places = [now.low if low else now.high for now in each]
        found = [_leaving(path, place, low) for path, place in zip(paths, places, strict=True)]
        point, tangent, bent = found[0]
        way = _unit(np.sum([ahead for _, ahead, _ in found], axis=0))
        if move.kind == "bend" and apart.lift > 0.0:
            way = way + apart.lift * square_to(way, np.asarray(apart.upward))
        if not low and move.kind == "straighten":
            way = tangent + (1.0 - share) ** 3 * (_unit(way) - tangent)
            off = float(np.tan(_HELD_OFF)) * float(np.sin(np.pi * np.sqrt(share)))
            way = way + off * square_to(tangent, np.array([point[0], point[1], 0.0]))
        if not low and move.kind in ("swing", "wrap"):
            left = (1.0 - share) * move.turns * _LAST_TURN if move.kind == "wrap" else 1.0
            way = tangent + apart.lift * square_to(tangent, np.asarray(apart.upward))
            way = way + (1.0 - min(left, 1.0)) * apart.fade / 2.0 * bent
            sides.append(_turned_to(tangent, bent, way, apart.fade))
        else:
            sides.append(_turned_to(tangent, bent, way))
    return sides[0], sides[1]


def _leaving(path: Path, place: FormedPlace, low: bool) -> tuple[Floats, Floats, Floats]:
    """A place, the unit tangent along which the rest leaves there, and the curvature vector."""
    d = derivatives(path.pieces[place.piece].curve, np.array([place.u]), 2)[:, 0]
    speed = float(np.linalg.norm(d[1]))
    tangent = d[1] / speed
    bent = (d[2] - tangent * float(d[2] @ tangent)) / speed**2
    return d[0], (-tangent if low else tangent), bent


def _turned_to(tangent: Floats, bent: Floats, way: Floats, fade: float | None = None) -> Rising:
    """How a rest leaves that is straight along ``way`` in the end; what fades of its curvature turns it too."""
    fade = _PAIR_RADIUS_D * float(np.arccos(np.clip(tangent @ _unit(way), -1.0, 1.0))) if fade is None else fade
    across = way / float(way @ tangent) - tangent - bent * (fade / 2.0)
    lift = float(np.linalg.norm(across))
    if fade == 0.0 or lift == 0.0:
        return STRAIGHT
    x, y, z = (across / lift).tolist()
    return Rising(fade, lift, (x, y, z))


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / np.linalg.norm(vector))


def _crank(making: Making, bent: float, rocked: float) -> Crank | None:
    """The handle, bent along the standing leg where the tag stands out from it, else away from it; bent, rocked: 0 to 1.

    One too short for a crank is only rocked.
    """
    handle, path = making.handle_d, making.joint.layout.path
    last = path.pieces[-1].curve
    tip, ahead = derivatives(last, np.array([last.span]), 1)[:, 0]
    along = abs(float(ahead[2])) > 0.7 * float(np.linalg.norm(ahead))
    towards = (float(tip[0]), float(tip[1]), 0.0) if along else (0.0, 0.0, 1.0)
    radius = min(_CRANK_RADIUS_D, 0.1 * handle)
    angle = bent * np.pi / 2.0 if handle >= _LEAST_HANDLE_D else 0.0
    most = min(_ROCKED, 0.3 * handle / _ROOT_RADIUS_D)
    return Crank(_CRANK_ARM * handle, radius, angle, towards, rocked * most, _ROOT_RADIUS_D)


def _arc_length(path: Path, place: FormedPlace) -> float:
    """Arc length of a place from the standing end."""
    return float(path.starts[place.piece]) + curve_length(Trimmed(path.pieces[place.piece].curve, 0.0, place.u))
