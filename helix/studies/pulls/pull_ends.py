"""The two ends of pieces: whether the joint at one of them fails more often than chance has it."""

from __future__ import annotations

from collections.abc import Sequence

from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.agreement import count_agreement
from helix.values import result


@result
class Ends:
    """Failures at a joint by end, of pieces with a joint alike at each. unplaced: the end was not noted.

    p: how probable it is that so many fall on one end, were the two joints alike; None without any.
    """

    a: int
    b: int
    unplaced: int
    p: float | None

    @property
    def differ(self) -> bool:
        """Whether the two joints of a piece do not look alike."""
        return self.p is not None and self.p < limits.DISAGREES


def ends_of(pieces: Sequence[PullPiece]) -> Ends:
    """Count failures by end, breaks at a joint and unwinding together."""
    failed = [
        piece
        for piece in pieces
        if piece.joints == 2 and piece.ending in ("joint", "unwound") and piece.recipes[0] == piece.recipes[1]
    ]
    a, b = (sum(piece.end == end for piece in failed) for end in ("a", "b"))
    p = count_agreement(a, a + b, [0.5]) if a + b else None
    return Ends(a=a, b=b, unplaced=len(failed) - a - b, p=p)
