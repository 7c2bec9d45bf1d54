"""Which parts of the wire may touch: local least distances, looked for now and then and followed in between."""

from __future__ import annotations

import numpy as np

from helix.mechanics.rod.compiling import compiled
from helix.mechanics.rod.rod_state import Touch
from helix.mechanics.rod.smooth_line import foot_step

_STEPS = 8
_SAME = 0.9  # feet nearer than this, in nodes, are one
_PER_POINT = 6


@compiled
def look_for_contacts(points: np.ndarray, length: np.ndarray, alive: np.ndarray, touch: Touch) -> int:
    """Find anew which points of the later part of the wire are near which places of the earlier part.

    Parameters
    ----------
    points : array
        Nodes, (n, 3).
    length : array
        Lengths of the edges, (n-1,).
    alive : array
        Whether an edge is there, (n-1,); a missing one parts two rods.
    touch : Touch
        Written; grips of pairs that stay are kept.

    Returns
    -------
    int
        How many pairs had no room.
    """
    n, per = len(points), touch.per_node
    old_count = touch.used[0]
    old_point, old_place, old_grip = (
        touch.point[:old_count].copy(),
        touch.place[:old_count].copy(),
        touch.grip[:old_count].copy(),
    )
    reach2 = touch.reach * touch.reach
    wide2 = (touch.reach + 0.25) ** 2  # between nodes the line can be nearer
    count = old = lost = 0
    for i in range(1, n - 1):
        if not (alive[i - 1] and alive[i]):
            continue
        last = i  # last node of the earlier part
        along = 0.0
        while last > 1 and along < touch.apart:
            last -= 1
            along = along + length[last] if alive[last] else touch.apart
        if along < touch.apart:
            continue
        for q in range(per):
            number = i * per + q
            u = (q + 0.5) / per - 0.5
            a, b, c = 0.5 * (0.5 - u) ** 2, 0.75 - u * u, 0.5 * (0.5 + u) ** 2
            x = a * points[i - 1, 0] + b * points[i, 0] + c * points[i + 1, 0]
            y = a * points[i - 1, 1] + b * points[i, 1] + c * points[i + 1, 1]
            z = a * points[i - 1, 2] + b * points[i, 2] + c * points[i + 1, 2]
            while old < old_count and old_point[old] < number:
                old += 1
            first = count
            before = 1e30
            here = (points[1, 0] - x) ** 2 + (points[1, 1] - y) ** 2 + (points[1, 2] - z) ** 2
            for j in range(1, last + 1):
                after = 1e30
                if j + 1 < n:
                    after = (points[j + 1, 0] - x) ** 2 + (points[j + 1, 1] - y) ** 2 + (points[j + 1, 2] - z) ** 2
                if here < wide2 and here <= before and here <= after and alive[j - 1] and alive[j]:
                    place = float(j)
                    for _ in range(_STEPS):
                        place = foot_step(points, place, x, y, z)
                    m = min(max(int(np.floor(place + 0.5)), 1), n - 2)
                    v = place - m
                    a, b, c = 0.5 * (0.5 - v) ** 2, 0.75 - v * v, 0.5 * (0.5 + v) ** 2
                    gap2 = 0.0
                    for k in range(3):
                        away = a * points[m - 1, k] + b * points[m, k] + c * points[m + 1, k]
                        gap2 += (away - (x if k == 0 else y if k == 1 else z)) ** 2
                    known = gap2 > reach2 or count - first >= _PER_POINT or not (alive[m - 1] and alive[m])
                    for other in range(first, count):
                        known = known or abs(touch.place[other] - place) < _SAME
                    if not known:
                        if count >= len(touch.point):
                            lost += 1
                        else:
                            touch.point[count] = number
                            touch.place[count] = place
                            touch.press[count] = 0.0
                            for k in range(3):
                                touch.grip[count, k] = 0.0
                            kept = old
                            while kept < old_count and old_point[kept] == number:
                                if abs(old_place[kept] - place) < 1.0:
                                    for k in range(3):
                                        touch.grip[count, k] = old_grip[kept, k]
                                kept += 1
                            count += 1
                before, here = here, after
    touch.used[0] = count
    return lost
