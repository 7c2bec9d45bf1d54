"""A function of several inputs from a few exact values of it, to try it at many points at once.

Arrays in, arrays out; inputs are in steps of their own, -1 to 1. Theory: docs/theory/spread.md.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from helix.statistics.fits.node_curves import curve_at, node_slopes

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Axis:
    """Where one input is tried.

    nodes: ascending places, 0 among them; smooth: a spline runs through the values, else pieces that never overshoot
    them.
    """

    nodes: tuple[float, ...]
    smooth: bool = True


@dataclass(frozen=True)
class Response:
    """What m outputs do over k inputs.

    base (m,): at the origin; alone: for each input by itself the change at its nodes (q, m); mixed (m, k, k): what two
    inputs do together beyond that, for one step of each.
    """

    axes: tuple[Axis, ...]
    base: Floats
    alone: tuple[Floats, ...]
    mixed: Floats

    def at(self, z: Floats) -> Floats:
        """Return the outputs at points.

        Parameters
        ----------
        z : array of float, (n, k)
            Points, in steps of each input, -1 to 1.

        Returns
        -------
        array of float, (n, m)
            Outputs.

        Examples
        --------
        >>> answer = tabulated_response(lambda z: np.array([z[0] ** 3 + z[0] * z[1]]),
        ...                            [Axis((-1.0, -0.5, 0.0, 0.5, 1.0))] * 2)
        >>> answer.at(np.array([[0.25, 0.5]])).round(6).tolist()
        [[0.140625]]
        """
        total = np.tile(self.base, (len(z), 1))
        moved = [k for k in range(len(self.axes)) if np.any(z[:, k])]  # what stays where it is changes nothing
        for k in moved:
            axis = self.axes[k]
            total += curve_at(np.array(axis.nodes), self.alone[k], z[:, k], "spline" if axis.smooth else "monotone")
        for i, j in combinations(moved, 2):
            if np.any(self.mixed[:, i, j]):
                total += (z[:, i] * z[:, j])[:, None] * self.mixed[:, i, j]
        return total

    def slopes(self) -> Floats:
        """Return the first derivatives at the origin.

        Returns
        -------
        array of float, (k, m)
            One-sided for an input that starts there.

        Examples
        --------
        >>> answer = tabulated_response(lambda z: np.sin(z), [Axis((-1.0, -0.5, 0.0, 0.5, 1.0))])
        >>> answer.slopes().round(2).tolist()
        [[1.0]]
        """
        pairs = zip(self.axes, self.alone, strict=True)
        return np.stack([node_slopes(np.array(a.nodes), change, "spline")[a.nodes.index(0.0)] for a, change in pairs])


def tabulated_response(
    f: Callable[[Floats], Floats], axes: Sequence[Axis], pairs: Sequence[tuple[int, int]] | None = None
) -> Response:
    """Return the response of f: exact at every node of every axis, and where a pair is at its last nodes.

    Parameters
    ----------
    f : callable
        Of inputs (k,) the outputs (m,). It is called 1 + (all nodes but 0) + (number of pairs) times.
    axes : sequence of Axis
        One an input: three nodes or more, ascending, 0 among them.
    pairs : sequence of tuple of int, optional
        Which inputs are tried together (default: every two).

    Returns
    -------
    Response
        Of k inputs and m outputs.

    Raises
    ------
    ValueError
        Where an axis has no 0, fewer than three nodes, or nodes out of order.

    Notes
    -----
    Theory: docs/theory/spread.md.

    Examples
    --------
    >>> tabulated_response(lambda z: z * 1.0, [Axis((0.0, 1.0))])
    Traceback (most recent call last):
        ...
    ValueError: nodes must be three or more, ascending, 0 among them; got (0.0, 1.0)
    """
    k = len(axes)
    for axis in axes:
        steps = np.diff(axis.nodes)
        if len(axis.nodes) < 3 or 0.0 not in axis.nodes or not np.all(steps > 0.0):
            raise ValueError(f"nodes must be three or more, ascending, 0 among them; got {axis.nodes}")
    base = np.asarray(f(np.zeros(k)), dtype=float)

    def change(*moves: tuple[int, float]) -> Floats:
        z = np.zeros(k)
        for place, move in moves:
            z[place] = move
        moved: Floats = np.asarray(f(z), dtype=float) - base
        return moved

    alone = tuple(
        np.stack([np.zeros(len(base)) if node == 0.0 else change((i, node)) for node in axis.nodes])
        for i, axis in enumerate(axes)
    )
    mixed = np.zeros((len(base), k, k))
    for i, j in combinations(range(k), 2) if pairs is None else pairs:
        ends = axes[i].nodes[-1], axes[j].nodes[-1]
        both = change((i, ends[0]), (j, ends[1])) - alone[i][-1] - alone[j][-1]
        mixed[:, i, j] = mixed[:, j, i] = both / (ends[0] * ends[1])
    return Response(tuple(axes), base, alone, mixed)
