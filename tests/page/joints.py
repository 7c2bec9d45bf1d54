"""Joints with faults, as the page holds them: tables of a recipe."""

from __future__ import annotations

from typing import Any

from helix.page.answers.joint_answer import START
from helix.studies.shape.remedies import apply

FAULTY: dict[str, dict[str, Any]] = {
    "steep exit": apply(START, {"exit.style": "bench", "exit.peak_angle": "120 deg"}),
    "steep entry": apply(START, {"eye.throat": "110 deg", "entry.radius": "0.7 d"}),
    "uneven": apply(START, {"twist.evenness": 0.3}),
    "open barrel": apply(START, {"barrel.pitch": "1.8 d"}),
    "opposite hand": apply(START, {"barrel.hand": "opposite"}),
    "wraps only": apply(START, {"twist.turns": 0.0}),
    "few": apply(START, {"twist.turns": 2.5}),
}
