"""Simulated pulls and formings that come with the package, in words: what each is called, and which two are worth seeing side by side."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any, Final

from helix.mechanics import limits
from helix.mechanics.bends.first_bend import GOOD_EXIT
from helix.output.words.sentence_format import TESTED
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
FORM_PAIRS: Final = (
    ("hands-75", "hands-105", "Hands 75 deg apart beside 105: the wide ones wind a lay half as long."),
    (
        "hands-90",
        "unlike-40",
        "Hands alike beside hands 40 deg unlike: one leg stays straighter, the other winds round it.",
    ),
    ("unlike-40", "slack", "Unlike hands, and hands that hardly pull: both wind an uneven twist."),
)
"""Pairs of keys, and what they show."""
_STARTS: Final = {Start.EXACT: "free of stress", Start.FORMED: "formed by hands"}
_USUAL: Final = {"lay": "4 d", "pin": "6 d", "friction": 0.08}
"""What is not told, since most of them have it."""
_USUAL_TENSION: Final = 0.1


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


def form_name(told: Mapping[str, Any]) -> str:
    """What a forming is called: its hands, which tell it from others, and its counts. told: a value of `form_list`."""
    recipe, run = tomllib.loads(told["recipe"]), told["run"]
    words = [f"hands {run['hands_deg']:g} deg apart"]
    if run["unlike_deg"]:
        words.append(f"{run['unlike_deg']:g} deg unlike")
    if run["tension"] != _USUAL_TENSION:
        words.append(f"pull {run['tension']:g} of the strength")
    words.append(f"{recipe['twist']['turns']:g} turns, {recipe['barrel']['wraps']:g} wraps")
    return ", ".join(words)


def form_end(told: Mapping[str, Any]) -> str:
    """What came out of it, in a line."""
    run = told["run"]
    held, free, barrel = run["held"], run["free"], run["sprung"]
    if free is None or held is None:
        return "The run did not converge."
    line = f"Let go, the lay is {free['lay_d']:.1f} d, the evenness {free['evenness']:.2f} (1: both legs alike)"
    if not barrel:
        return f"{line}."
    line += f", the barrel {100.0 * barrel['off_d']:.0f} % of the wire off the leg."
    return line + _past_the_test(max(barrel["tag_strain"], barrel["leg_strain"]), run["strain"])


def _past_the_test(barrel: float, twist: float) -> str:
    """What is said of a hardest bend that is past the wrapping test."""
    hardest, place = max((barrel, "where the barrel begins"), (twist, "in the turns"))
    if round(hardest, 2) <= limits.STRAIN_OK:
        return ""
    exact = f"; a touching barrel has {GOOD_EXIT:.2f}" if barrel >= twist else ""
    return f" Hardest bend {hardest:.2f}, {place}: past the {limits.STRAIN_OK:.2f} of the {TESTED}, a caution{exact}."
