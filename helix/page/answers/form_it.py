"""Simulated formings that the page plays: those that come with the package, one alone or two side by side."""

from __future__ import annotations

from typing import Any

from helix.errors import ValidationError, argument_issue
from helix.output.simulate.forming_film import BENT_NOTE, bend_legend, forming_film
from helix.output.simulate.shipped_words import FORM_PAIRS, form_end, form_name
from helix.studies.simulate.shipped import form_list, shipped_form
from helix.units import UnitSystem


def forms_record() -> dict[str, Any]:
    """The formings by key and name, and the pairs worth seeing."""
    return {
        "note": BENT_NOTE,
        "legend": bend_legend(),
        "forms": [{"key": key, "name": form_name(told)} for key, told in form_list().items()],
        "pairs": [{"keys": [one, two], "says": says} for one, two, says in FORM_PAIRS],
    }


def form_films(keys: object, units: UnitSystem = "metric") -> dict[str, Any]:
    """A film of each of one or two formings by their keys, their names and what came out. Raises ValidationError for other keys."""
    known = form_list()
    if (
        not isinstance(keys, list)
        or not 1 <= len(keys) <= 2
        or any(not isinstance(key, str) or key not in known for key in keys)
    ):
        raise ValidationError([argument_issue("keys", "must be one or two of the formings that come with helix")])
    chosen = [shipped_form(key) for key in keys]
    return {
        "films": [
            forming_film(
                form.run, form.recipe.eye.pin_mm / form.recipe.wire.diameter_mm, form.recipe.wire.diameter_mm, units
            )
            for form in chosen
        ],
        "names": [form_name(known[key]) for key in keys],
        "ends": [form_end(known[key]) for key in keys],
    }
