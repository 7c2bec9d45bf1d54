"""What to change in a recipe that is refused: a count of half turns, a lay that cannot exist, an eye that cannot close."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from helix.errors import InputFaults
from helix.studies.flags import USUAL_LAY
from helix.studies.remedies import Changes, Remedy, apply

_KEY = re.compile(r"\[(\w+)\] (\w+)$")
_COUNTS = {"turns": "crossings", "crossings": "turns"}
_LEAST_PIN = re.compile(r"least pin that works is ([\d.e+-]+ mm)")


def refusal_remedies(tables: Mapping[str, Any], refused: InputFaults) -> tuple[Remedy, ...]:
    """What cures the faults for which a recipe file's tables were refused, where the message tells it.

    The remedies' name is the key ("twist.turns"), their `do` the message of the fault.

    >>> from helix.model.recipe_reader import read_values
    >>> tables = {"wire": {"size": "MWG 12", "material": "302 stainless"}, "eye": {"pin": "6 mm"},
    ...           "twist": {"lay_length": "2 d"}}
    >>> try:
    ...     read_values(tables, "recipe", {})
    ... except InputFaults as refused:
    ...     (remedy,) = refusal_remedies(tables, refused)
    >>> remedy.name, remedy.say, remedy.changes
    ('twist.lay_length', 'Twist to a lay of 4 d', {'twist.lay_length': '4 d'})
    """
    found = []
    for fault in refused.faults:
        key = _KEY.search(fault.place)
        if key:
            name = f"{key[1]}.{key[2]}"
            ways = _ways(tables, name, fault.message)
            found += [Remedy(name, fault.message, say, changes) for say, changes in ways]
    return tuple(found)


def _ways(tables: Mapping[str, Any], name: str, message: str) -> list[tuple[str, Changes]]:
    stated = apply(tables, {})
    pin = _LEAST_PIN.search(message)
    if "looks like a count of" in message:
        other = _COUNTS[name.partition(".")[2]]
        count = stated["twist"][name.partition(".")[2]]
        return [(f"Count {count:g} {other}", {f"twist.{other}": count})]
    if message.startswith("must give a lay above 2 d"):
        return [(f"Twist to a lay of {USUAL_LAY:g} d", {"twist.lay_length": f"{USUAL_LAY:g} d"})]
    if name != "eye.pin" or "for the eye to close" not in message:
        return []
    found: list[tuple[str, Changes]] = []
    changes: Changes = {}
    if "throat" in stated["eye"]:
        changes["eye.throat"] = "tangent"
    if "entry" in stated:
        changes["entry.radius"] = "tangent"
    if changes:
        found.append(("Let the legs run into the twist at its own angle", changes))
    if pin:
        found.append((f"Use a pin or a thimble of {pin[1]}", {"eye.pin": pin[1]}))
    return found
