"""Columns and words of a pull-test file, and the file that `helix pulls template` writes."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Final, Literal, TypeAlias

from helix.model.files.file_kinds import template_in
from helix.units import UnitSystem

Ending: TypeAlias = Literal["joint", "clear", "unwound", "grip", "stopped"]

FAILURES: Final[dict[str, tuple[Ending, str]]] = {
    "broke_clear": ("clear", "the wire broke clear of both joints"),
    "broke_barrel_end": ("joint", "broke where the standing leg leaves the barrel"),
    "broke_exit": ("joint", "broke at the exit, between twist and barrel"),
    "broke_entry": ("joint", "broke at the entry or in the eye"),
    "broke": ("joint", "broke, place not noted"),
    "unwound": ("unwound", "a joint unwound or pulled out"),
    "grip": ("grip", "slipped or broke in a grip of the machine"),
    "stopped": ("stopped", "the test was stopped before anything failed"),
}
"""Words of the column `failure`: what each counts as, and what it means."""

# what people write for one of the words
_OTHER_WORDS: Final = {
    "slipped": "grip", "slip": "grip", "jaw": "grip", "clamp": "grip", "grips": "grip",
    "unwind": "unwound", "untwisted": "unwound", "pulled_out": "unwound", "pullout": "unwound", "unravelled": "unwound",
    "wire": "broke_clear", "clear": "broke_clear", "free_length": "broke_clear", "middle": "broke_clear",
    "eye": "broke_entry", "entry": "broke_entry", "throat": "broke_entry", "exit": "broke_exit",
    "barrel": "broke_barrel_end", "barrel_end": "broke_barrel_end", "break": "broke", "broken": "broke",
    "failed": "broke", "snapped": "broke", "stop": "stopped", "aborted": "stopped", "held": "stopped", "ok": "stopped",
}  # fmt: skip

NEEDED: Final = ("id", "group", "load", "unit", "failure")

COLUMNS: Final[dict[str, str]] = {
    "id": "name of the piece, each once",
    "group": "pieces made alike; straight wire without a joint: control",
    "date": "year-month-day",
    "size": 'wire size or diameter, "MWG 12" or "0.737 mm"',
    "batch": "coil or batch of the wire",
    "maker": "who made the joints",
    "joints": "joints in the piece: 2 (taken if empty), 1, or 0 for straight wire",
    "recipe": "recipe of both joints: a recipe file, or a name of yours",
    "recipe_a": "recipe of the joint at end a, if the two differ",
    "recipe_b": "recipe of the joint at end b",
    "turns": "even turns of the twist",
    "wraps": "wraps of the barrel",
    "lay": 'lay length, "4 d" or "2.95 mm"',
    "rated_load": 'rated load of the wire, "620 N"',
    "load": "largest load, a bare number",
    "unit": "of the load: N, kN, lbf or kgf",
    "failure": f"how it ended: {', '.join(FAILURES)}",
    "end": "which end failed, a or b",
    "speed": 'of the crosshead, "20 mm/min"',
    "curve": "file with the load-extension curve",
    "remark": "anything else",
}
"""Columns that helix knows, with what belongs in each. Others are kept, for `helix pulls compare --by`."""

OTHER_NAMES: Final = {"coil": "batch", "rated": "rated_load", "note": "remark", "notes": "remark", "remarks": "remark"}
"""Headings taken for one of the columns."""


def failure_word(text: str) -> str:
    """The failure word of a cell, letter case and blanks aside; InputValueError proposing the nearest one otherwise.

    >>> failure_word("Broke clear")
    'broke_clear'
    """
    word = "_".join(text.strip().lower().replace("-", " ").split())
    if word in FAILURES:
        return word
    from helix.errors import InputValueError, quoted

    near = _OTHER_WORDS.get(word) or next(iter(get_close_matches(word[:60], FAILURES, n=1, cutoff=0.4)), None)
    meant = f"; did you mean {near} ({FAILURES[near][1]})?" if near else ""
    got = quoted(text.strip(), 40) if text.strip() else "nothing"
    raise InputValueError("not-a-choice", wanted=f"one of {', '.join(FAILURES)}", got=got, hint=meant)


_IN_INCHES: Final = {
    "0.737 mm": "0.029 in", "2.95 mm": "0.116 in", "620 N": "140 lbf", "20 mm/min": "0.8 in/min",
    "N, kN, lbf or kgf": "lbf, or another force",
}  # fmt: skip


def template_text(units: UnitSystem = "metric") -> str:
    """What `helix pulls template` writes: the heading, then every column explained in rows that are not read."""
    lines = [
        ",".join(COLUMNS),
        "# Pull tests: one row a piece, under the heading. Rows that start with # are not read; take them out.",
        "# Needed: id, group, load, unit, failure. Leave out other columns that you do not use, or leave cells empty.",
        "#",
        *(f"# {name}: {text.replace(chr(34), chr(39))}" for name, text in COLUMNS.items()),
        "#",
        *(f"# failure {word}: {text}" for word, (_, text) in FAILURES.items()),
        "#",
        "# A row with neither load nor failure counts as not tested yet.",
    ]
    return template_in("\n".join(lines) + "\n", _IN_INCHES, units)
