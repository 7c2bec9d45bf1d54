"""Every task by its name, with what it is for in a sentence; the task itself is loaded when it is asked for."""

from __future__ import annotations

import importlib
from typing import Any, Final

from helix.tasks.task import Task

SENTENCES: Final[dict[str, str]] = {
    "shape": "How much wire to cut, how the bends are, and every size of the joint.",
    "sizes": "Wire sizes with tensile strength and breaking load by material.",
    "draw": "The joint as a picture (PNG), a drawing true to scale (SVG), an interactive 3-D page (HTML) or a model "
    "(STL, GLB, PLY).",
    "compare": "Joints one below the other: good beside bad, and what differs.",
    "steps": "How hands make the joint, step by step, with marks to ink on the wire.",
    "view": "The joint in a window, to turn with the mouse; needs a display.",
    "sheet": "A sheet of paper to work by: the joint at true size, ink marks, counts and verdicts (PDF).",
    "new": "Write a recipe to start from, every key explained.",
    "pulls": "Pull tests: plan them, read them, compare groups, and say what they prove.",
    "pulls template": "Write a file to fill in, every column explained.",
    "pulls read": "What a bench's pieces say about one joint, with limits.",
    "pulls compare": "Groups against each other, pair by pair.",
    "pulls plan": "How many pieces, which load cell, how much wire, in which order.",
    "cut": "What to cut for a whole batch, and from which length of stock.",
    "choose": "Which wire will do for a load: the lightest first.",
    "inspect": "What was made, from caliper readings, and whether it is good.",
    "spread": "What small errors do to cut length, finished length and verdicts.",
    "hold": "Will it hold: locks, marginal or unwinds, at what load, and why one thinks so.",
    "why": "Why it holds what it holds: the load path, the weakest place, what to change.",
    "form": "What the hands must apply: torques, cranks, where to hold, springback, grips.",
    "stretch": "How much the joint lengthens under load.",
    "link": "Eye through eye, or an eye on a ring: the bend where they cross, what it leaves, and room to move.",
    "simulate": "Pull the joint in a simulation: its weakest point, and at what load. Simulated, not tested.",
}
"""In the order in which people read them; "pulls" is what its four are found under."""
_FOLDERS: Final = {
    "shape": ("shape", "sizes", "draw", "view", "sheet", "new"),
    "hold": ("hold", "why", "form", "stretch"),
    "link": ("link",),
    "simulate": ("simulate",),
    "batch": ("cut", "choose"),
    "inspect": ("inspect", "spread"),
    "pulls": ("pulls template", "pulls read", "pulls compare", "pulls plan"),
    "teaching": ("compare", "steps"),
}
PLACES: Final = {
    name: f"helix.tasks.{folder}.{name.replace(' ', '_')}_task" for folder, names in _FOLDERS.items() for name in names
}


def task(name: str) -> Task:
    """The task of that name.

    >>> [option.key for option in task("form").options]
    ['recipe', 'units', 'hand_force', 'pulls']
    """
    named: Task = importlib.import_module(PLACES[name]).TASK
    return named


def fields() -> dict[str, list[dict[str, Any]]]:
    """The fields of every task that the page shows, by the task's name."""
    return {
        name: shown for name in PLACES if (shown := [option.record() for option in task(name).options if option.label])
    }
