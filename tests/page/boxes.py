"""Where things stand on a page: boxes of what is seen, whether one lies in another, which of them meet."""

from __future__ import annotations

from itertools import combinations
from typing import Any

Box = dict[str, float]
_BOXES = """(selector) => [...document.querySelectorAll(selector)].filter((one) => one.checkVisibility({ visibilityProperty: true }))
  .map((one) => { const { x, y, width, height } = one.getBoundingClientRect();
    return [one.textContent.trim() || one.className, { x, y, width, height }]; }).filter(([, { width, height }]) => width && height)"""


def boxes(page: Any, selector: str) -> list[tuple[str, Box]]:
    """What is seen of a selector: its words and its box, in pixels of the window."""
    return [(str(words), box) for words, box in page.evaluate(_BOXES, selector)]


def inside(box: Box, other: Box, slack: float = 0.6) -> bool:
    """Whether a box lies in another; slack: for what browsers round."""
    return all(
        other[low] - slack <= box[low] and box[low] + box[size] <= other[low] + other[size] + slack
        for low, size in (("x", "width"), ("y", "height"))
    )


def meet(one: Box, other: Box, slack: float = 0.6) -> bool:
    """Whether two boxes lie over each other."""
    return all(
        one[low] + slack < other[low] + other[size] and other[low] + slack < one[low] + one[size]
        for low, size in (("x", "width"), ("y", "height"))
    )


def meeting(shown: list[tuple[str, Box]]) -> list[tuple[str, str]]:
    """The words of those that lie over each other."""
    return [(one, other) for (one, box), (other, far) in combinations(shown, 2) if meet(box, far)]
