"""Simulated pulls that come with the package, in words: what each is called, and which two are worth seeing side by side."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any, Final

from helix.studies.simulate.pull_result import Start

PAIRS: Final = (
    (
        "mid-5",
        "mid-4",
        "Five turns beside four at a friction of 0.065: four let wire run round the pin, five break first.",
    ),
    ("turns-5", "turns-2", "Five turns beside two: two let wire run round the pin, five break first."),
    ("turns-4", "turns-3", "Four turns beside three: where slipping begins at this friction."),
    ("bare-3", "turns-3", "Without and with a barrel: it adds a little, and turns back as one piece."),
    ("turns-5", "bare-5", "Five turns, with and without a barrel: both break at the standing leg's exit."),
    ("turns-5", "throat-100", "A throat that was spread to 100 deg closes; it breaks at the same place."),
    ("slick-5", "rough-5", "Friction of 0.05 beside 0.12: the same joint slips, or breaks."),
    ("turns-3", "exact-3", "Wound and let go beside exact and free of stress: a looser joint slips."),
    (
        "turns-3",
        "formed-3",
        "Let go of the exact shape beside formed by hands: hands wind a little looser, and it slips sooner.",
    ),
    ("turns-5", "lay-6.0", "A short lay beside a long one: the long one bends less, and breaks later."),
)
_STARTS: Final = {Start.EXACT: "free of stress", Start.FORMED: "formed by hands"}
_USUAL: Final = {"lay": "4 d", "pin": "6 d", "friction": 0.08}
"""What is not told, since most of them have it."""


def name_of(told: Mapping[str, Any]) -> str:
    """What a pull is called: its counts, and what else sets it apart. told: a value of `shipped_list`."""
    recipe, run = tomllib.loads(told["recipe"]), told["run"]
    words = [f"{recipe['twist']['turns']:g} turns, {recipe['barrel']['wraps']:g} wraps"]
    own = {
        "lay": recipe["twist"]["lay_length"],
        "pin": recipe["eye"]["pin"],
        "throat": recipe["eye"].get("throat"),
        "friction": run["friction"],
    }
    words += [f"{name} {value}" for name, value in own.items() if value is not None and value != _USUAL.get(name)]
    words += [said for start, said in _STARTS.items() if run["start"] == start.value]
    return ", ".join(words)
