"""Simulated pulls that the page plays: those that come with the package, one alone or two side by side."""

from __future__ import annotations

from typing import Any

from helix.errors import ValidationError, argument_issue
from helix.mechanics.rod.compiling import is_installed
from helix.model.recipe.recipe_parts import Recipe
from helix.output.batch.batch_answers import wire_words
from helix.output.simulate.decides_words import against_estimate, decides_label, decides_line
from helix.output.simulate.pull_film import GIVES_WAY, LEGS_NOTE, TENSION_NOTE, pull_film, tension_legend
from helix.output.simulate.shipped_words import PAIRS, name_of
from helix.page.answers.request_values import own_pieces
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.simulate.pull_result import PullRun
from helix.studies.simulate.shipped import shipped_list, shipped_pull
from helix.units import UnitSystem


def pulls_record() -> dict[str, Any]:
    """The pulls by key and name, and the pairs worth seeing."""
    return {
        "note": f"{TENSION_NOTE}. {LEGS_NOTE}",
        "limit": GIVES_WAY,
        "own": is_installed(),
        "legend": tension_legend(),
        "pulls": [{"key": key, "name": name_of(told)} for key, told in shipped_list().items()],
        "pairs": [{"keys": [one, two], "says": says} for one, two, says in PAIRS],
    }


def films(body: dict[str, Any], units: UnitSystem) -> dict[str, Any]:
    """A film of each of one or two pulls, for {"keys", "pulls": own pieces, as the hold takes them}: their names, what decides beside
    each, and the same in a few words. Raises ValidationError for other keys."""
    known, keys = shipped_list(), body.get("keys")
    if (
        not isinstance(keys, list)
        or not 1 <= len(keys) <= 2
        or any(not isinstance(k, str) or k not in known for k in keys)
    ):
        raise ValidationError([argument_issue("keys", "must be one or two of the pulls that come with helix")])
    chosen = [shipped_pull(key) for key in keys]
    held = [_held(pull.recipe, body) for pull in chosen]
    return {
        "films": [
            pull_film(pull.run, pull.recipe.wire.diameter_mm, pull.recipe.wire.breaking_load_n[1], units)
            for pull in chosen
        ],
        "names": [name_of(known[key]) for key in keys],
        "decides": [
            decides_line(one, pull.run, wire_words(pull.recipe.wire, units))
            for one, pull in zip(held, chosen, strict=True)
        ],
        "labels": [label_record(one, pull.run, False) for one, pull in zip(held, chosen, strict=True)],
    }


def label_record(held: HoldResult | None, run: PullRun, in_hand: bool = True) -> dict[str, Any]:
    """What decides beside a pull, for the picture: `text`; `against`: whether the pull ends otherwise. in_hand: of the joint in hand."""
    return {"text": decides_label(held, run, in_hand), "against": held is not None and against_estimate(held, run)}


def _held(recipe: Recipe, body: dict[str, Any]) -> HoldResult | None:
    """The estimate of a joint, with what own pieces say of it; None where it is too far out."""
    try:
        return hold_with(recipe, setting_of(recipe), own_pieces({"pulls": body.get("pulls")}, recipe))
    except ValueError:
        return None
