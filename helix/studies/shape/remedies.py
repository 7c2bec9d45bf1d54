"""What to change in a recipe so that a finding goes away: the advice in its words, as keys and values.

A change is of a recipe file: dotted keys ("exit.style") with values as they are written there. What is advised in
words is in helix.output.words.findings.finding_words; tests/studies/shape/test_remedies.py takes it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from helix.errors import ValidationIssue
from helix.findings import Finding
from helix.geometry.joint.eye import EyeCannotClose, closed_eye
from helix.geometry.twist.worked_wires import barrel_touching_pitch, core_round
from helix.mechanics import limits
from helix.model.joint.joint_curves import sizes_of
from helix.model.joint.section_names import part_name
from helix.model.recipe.recipe_parts import Entry, Recipe
from helix.studies.shape.bend_findings import too_tight
from helix.studies.shape.joint_sizes import sound_lay, usual_lay
from helix.studies.shape.outline import Outline
from helix.studies.shape.shape import ShapeResult

Value = str | float | None
Changes = dict[str, Value]

ROUND_EDGE: Final = "1.5 d"  # the radius that is advised for a first bend
LARGER_PIN: Final = "1.5 d"  # bent to a strain of 0.40
NO_REMEDY: Final[dict[str, str]] = {
    "rated-above-breaking": "only its owner can say which of size, material and rated load is wrong",
    "rated-above-least": "only its owner can say which of size, material and rated load is wrong",
    "diameter-off-size": "it is a remark, and nothing to cure",
    "read-as": "it is a remark, and nothing to cure",
    "lays-agree": "it is a remark, and nothing to cure",
    "turns-from-length": "it is a remark, and nothing to cure",
}
"""Codes of the findings for which no change is offered, and why."""
DROPS: Final[dict[str, tuple[str, ...]]] = {
    "wire.size": ("wire.diameter",),
    "wire.diameter": ("wire.size",),
    "wire.material": ("wire.own",),
    "wire.own": ("wire.material",),
    "twist.turns": ("twist.crossings",),
    "twist.crossings": ("twist.turns",),
    "twist.lay_length": ("twist.lay_angle", "twist.length"),
    "twist.lay_angle": ("twist.lay_length", "twist.length"),
    "twist.length": ("twist.lay_length", "twist.lay_angle"),
    "exit.style": ("exit.leg", "exit.swing"),
    "exit.leg": ("exit.style",),
    "exit.swing": ("exit.style",),
}
"""For each key of a recipe file, those that say the same thing in another way and cannot stand beside it."""
_BESIDES: Final = (
    ("twist.evenness", "alike", "both legs alike"),
    ("eye.throat", "angle", "the legs at the twist's own angle"),
    ("entry.radius", "leg", "the legs at the twist's own angle"),
    ("eye.pin", "pin", f"a pin of {LARGER_PIN}"),
    ("exit.style", "exit", "the gradual exit"),
    ("exit.peak_angle", "overbend", "no overbend"),
    ("barrel.pitch", "touch", "touching wraps"),
    ("barrel.hand", "same", "a barrel of the twist's hand"),
)
"""What is told of a change that goes with another: its key, a word by which it is told already, the words."""
_NEEDED = ("wire", "eye")  # tables that stay even when they are empty


@dataclass(frozen=True)
class Remedy:
    """One way to cure a finding, or what a recipe is refused for.

    say: what is done, in a few words. changes: dotted keys of a recipe file with their new values; None takes a key out.
    """

    cures: Finding | ValidationIssue
    say: str
    changes: Mapping[str, Value]


def remedies(result: Outline, turns: float = limits.FEW) -> tuple[Remedy, ...]:
    """What cures each finding of a joint's shape, and of its hold what more turns cure, in the order of the findings; the best of
    several first. turns: as many as are enough.

    Nothing is offered for those of :data:`NO_REMEDY`.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> from helix.studies.shape.shape import shape
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> wide = shape(recipe_from_text(text + '[barrel]\\npitch = "1.5 d"\\n'))
    >>> [(one.say, dict(one.changes)) for one in remedies(wide)]
    [('Wind each wrap so that it touches the last', {'barrel.pitch': 'touching'})]
    """
    return tuple(
        Remedy(finding, _all_of(*way), way[1])
        for finding in result.judgement.findings
        for way in _ways(finding, result, turns)
    )


def apply(tables: Mapping[str, Any], changes: Mapping[str, Value]) -> dict[str, Any]:
    """A recipe file's tables, as tomllib gives them, with changes made; the tables given stay as they are.

    A key that cannot stand beside a changed one goes (:data:`DROPS`), and so does a table that is left empty.

    >>> apply({"exit": {"leg": "1 d"}, "eye": {"pin": "6 mm"}}, {"exit.style": "gradual", "eye.throat": None})
    {'exit': {'style': 'gradual'}, 'eye': {'pin': '6 mm'}}
    """
    changed = {name: dict(table) if isinstance(table, Mapping) else table for name, table in tables.items()}

    def write(key: str, value: Value) -> None:
        name, _, inner = key.rpartition(".")
        table = changed.setdefault(name, {}) if name else changed
        if value is None:
            table.pop(inner, None)
        else:
            table[inner] = value

    for key, value in changes.items():
        for other in DROPS.get(key, ()) if value is not None else ():
            if other not in changes:
                write(other, None)
        write(key, value)
    return {name: table for name, table in changed.items() if table != {} or name in _NEEDED}


Way = tuple[str, Changes]


def _all_of(say: str, changes: Changes) -> str:
    """What is done, with what else has to change for it."""
    besides: list[str] = []
    for key, word, words in _BESIDES:
        if key in changes and word not in " ".join([say, *besides]):
            besides.append(words)
    return f"{say}, with {' and '.join(besides)}" if besides else say


def _entry(finding: Finding, result: Outline) -> Iterator[Way]:
    """The first bend: a longer lay where the twist itself is too tight, else the twist's own angle."""
    recipe = result.recipe
    own = own_angle(recipe)
    if too_tight(result.joint):
        say = f"Twist to a lay of {sound_lay(recipe):g} d"
        yield (
            say + (" and let the legs run in at its own angle" if own else ""),
            twist_changes(recipe, sound_lay(recipe)) | own,
        )
        return
    beside = _gradual(recipe) if recipe.twist.turns == 0.0 else {}  # the exit, where no twist lies between
    if finding.code == "tight-first-bend" and _below(recipe.entry.radius_mm, 1.5, recipe) and not beside:
        rounder = recipe.variant(entry=Entry(1.5 * recipe.wire.diameter_mm))
        if closes(rounder):
            yield f"Bend the legs round an edge of {ROUND_EDGE}", {"entry.radius": ROUND_EDGE}
    plain = recipe.variant(eye=replace(recipe.eye, throat_rad=None), entry=Entry(None))
    changes = Changes({"eye.throat": "tangent"}) | own | beside | _closing(plain)
    yield "Let the legs run into the twist at its own angle", changes


def _exit(result: Outline) -> Iterator[Way]:
    """Either exit bend: the gradual exit, and a longer lay where the twist itself is too tight."""
    recipe = result.recipe
    changes = _gradual(recipe)
    if not too_tight(result.joint) and changes:
        bent, gradual = recipe.exit.peak_angle_rad is not None, recipe.exit.style == "gradual"
        out = "Take the overbend out" if gradual else "Take the overbend out, by the gradual exit"
        yield out if bent else "Leave the twist by the gradual exit", changes
        return
    say = f"Twist to a lay of {sound_lay(recipe):g} d" + (" and leave it by the gradual exit" if changes else "")
    yield say, twist_changes(recipe, sound_lay(recipe)) | changes


def _ways(finding: Finding, result: Outline, turns: float) -> Iterator[Way]:
    """What cures a finding; nothing for those of NO_REMEDY."""
    recipe, sizes = result.recipe, result.joint.layout.sizes
    twist = recipe.twist
    match finding.code:
        case "steep-first-bend" | "spread-throat" | "tight-first-bend":
            yield from _entry(finding, result)
        case "steep-exit" | "tight-exit" | "tight-leg-exit" | "exit-overlaps" | "lift-off":
            yield from _exit(result)
        case "overlap" if isinstance(result, ShapeResult):  # a draft has not looked for any
            yield from _overlap(result)
        case "wraps-overlap":
            yield "Let the wraps just touch", _touching(recipe)
        case "legs-apart" | "over-twist" | "tight-lay":
            yield f"Twist to a lay of {sound_lay(recipe):g} d", twist_changes(recipe, sound_lay(recipe))
        case "loose-lay":
            yield f"Twist to a lay of {usual_lay(recipe):g} d", twist_changes(recipe, usual_lay(recipe))
        case "uneven-twist":
            tight = sizes.lay < np.pi  # two legs bent alike do not fit into such a lay in touch
            say = "Bend both legs alike" + (f", at a lay of {sound_lay(recipe):g} d" if tight else "")
            yield say, twist_changes(recipe, sound_lay(recipe) if tight else None, even=True)
        case "wraps-only":
            lay = None if np.pi <= sizes.lay <= limits.LOOSE_LAY else usual_lay(recipe)
            changes = twist_changes(recipe, lay, even=twist.evenness < limits.EVEN, turns=turns)
            say = f"Make {turns:g} even turns before the barrel"
            yield say + (f", at a lay of {lay:g} d" if lay else ""), changes | _same_hand(recipe)
        case "no-barrel":
            changes = {"barrel.wraps": _number(limits.FEW)} | _touching(recipe) | _same_hand(recipe)
            yield f"Wind {limits.FEW:g} touching wraps", changes | (_gradual(recipe) if _own_exit(recipe) else {})
        case "open-barrel":
            yield "Wind each wrap so that it touches the last", _touching(recipe)
        case "opposite-hand":
            yield "Wind the barrel the same way round as the twist", {"barrel.hand": "same"}
        case "few":
            yield _enough(recipe, turns)
        case "many":
            yield from _many(recipe, turns)
        case "tight-eye":
            yield f"Use a pin or a thimble of {LARGER_PIN} or more", {"eye.pin": LARGER_PIN}
        case "over-twisted-count":
            yield _crossings(recipe)
        case _ if finding.remedy in ("turns-above", "turns-above-first") and 0.0 < twist.turns < turns:
            yield _enough(recipe, turns)


def _overlap(result: ShapeResult) -> Iterator[Way]:
    """Whatever of the parts that press is not as the twist would have it; else a longer lay."""
    recipe, between = result.recipe, result.clearance.between
    changes: Changes = {}
    words = []
    if _gradual(recipe) and any(part_name(name) in ("exit", "barrel", "stub") for name in between):
        changes |= _gradual(recipe)
        words.append(
            "take the overbend out" if recipe.exit.style == "gradual" else "leave the twist by the gradual exit"
        )
    if own_angle(recipe) and any(part_name(name) in ("entry", "eye") for name in between):
        changes |= own_angle(recipe)
        words.append("let the legs run in at the twist's own angle")
    sizes = result.joint.layout.sizes
    if "barrel" in between and sizes.pitch < sizes.touching_pitch:
        changes |= _touching(recipe)
        words.append("let the wraps just touch")
    if not changes or too_tight(result.joint):
        changes = twist_changes(recipe, sound_lay(recipe)) | changes
        words.insert(0, f"twist to a lay of {sound_lay(recipe):g} d")
    say = " and ".join(words)
    yield say[0].upper() + say[1:], changes


def _enough(recipe: Recipe, turns: float) -> Way:
    """As many turns and wraps as practice makes, where there are fewer."""
    changes: Changes = {}
    words = []
    if 0.0 < recipe.twist.turns < turns - recipe.tolerance.turns:
        usual = usual_lay(recipe)
        lay_d = usual if sizes_of(recipe).lay > usual + limits.LAY_OFF else None  # so few of a long lay need both
        changes |= twist_changes(recipe, lay_d, turns=turns)
        words.append(f"{turns:g} turns{'' if lay_d is None else f' at a lay of {lay_d:g} d'}")
    if 0.0 < recipe.barrel.wraps < limits.FEW - recipe.tolerance.wraps:
        changes["barrel.wraps"] = _number(limits.FEW)
        words.append(f"{limits.FEW:g} wraps")
    return f"Make {' and '.join(words)}", changes


def _many(recipe: Recipe, turns: float) -> Iterator[Way]:
    """The count taken for crossings, where that makes a usual twist; and as many turns as practice makes."""
    twist = recipe.twist
    longer = 2.0 * sizes_of(recipe).lay
    if twist.turns < 4.0 * limits.FEW and (twist.length_mm is None or longer <= limits.LOOSE_LAY):
        yield _crossings(recipe)
    yield f"Make {turns:g} turns", twist_changes(recipe, turns=turns)


def _crossings(recipe: Recipe) -> Way:
    """The count of turns taken for one of crossings; a stated length stays, so the lay is twice as long."""
    count = recipe.twist.turns
    changes: Changes = {"twist.crossings": _number(count)}
    if recipe.twist.length_mm is not None:
        changes |= {"twist.lay_length": None, "twist.lay_angle": None}
        changes |= _gradual(recipe) if _own_exit(recipe) else {}
        counted = replace(recipe.twist, turns=count / 2.0, lay_mm=2.0 * recipe.twist.lay_mm)
        changes |= _closing(recipe.variant(twist=counted))
    return f"Count {count:g} crossings", changes


def twist_changes(
    recipe: Recipe, lay_d: float | None = None, even: bool = False, turns: float | None = None
) -> Changes:
    """Changes that give a twist another lay [d], two legs alike, so many turns; what was made for the old one goes.

    A stated length goes too: the number of turns stays unless it is what changes, and so does the lay.
    """
    d, twist, changes = recipe.wire.diameter_mm, recipe.twist, Changes()
    if even:
        changes["twist.evenness"] = 1
    if turns is not None or twist.length_mm is not None:
        changes["twist.turns"] = _number(twist.turns if turns is None else turns)
    if lay_d is not None:
        changes["twist.lay_length"] = f"{lay_d:g} d"
        if recipe.tolerance.lay_mm >= 0.5 * lay_d * d:
            changes["tolerance.lay"] = None
    elif twist.length_mm is not None:
        changes["twist.lay_length"] = f"{sizes_of(recipe).lay:.9g} d"
    new = replace(
        twist,
        lay_mm=twist.lay_mm if lay_d is None else lay_d * d,
        evenness=1.0 if even else twist.evenness,
        turns=twist.turns if turns is None else turns,
    )
    if (lay_d is not None or even or twist.turns == 0.0) and _own_exit(recipe):
        changes |= _gradual(recipe)
    return changes | _closing(recipe.variant(twist=new))


def closes(recipe: Recipe) -> bool:
    """Whether the eye closes round its pin."""
    sizes = sizes_of(recipe)
    try:
        closed_eye(sizes.pin, sizes.tag_throat, sizes.standing_throat)
    except EyeCannotClose:
        return False
    return True


def _closing(recipe: Recipe) -> Changes:
    """What closes the eye of a changed recipe: nothing, the twist's own angle, or a pin of more than a diameter too."""
    if closes(recipe):
        return {}
    plain = recipe.variant(eye=replace(recipe.eye, throat_rad=None), entry=Entry(None))
    return own_angle(recipe) | ({} if closes(plain) else {"eye.pin": LARGER_PIN})


def own_angle(recipe: Recipe) -> Changes:
    """Whatever is stated of throat and first bend left to the twist."""
    changes: Changes = {}
    if recipe.eye.throat_rad is not None:
        changes["eye.throat"] = "tangent"
    if recipe.entry.radius_mm is not None:
        changes["entry.radius"] = "tangent"
    return changes


def _own_exit(recipe: Recipe) -> bool:
    """Whether the exit has numbers of its own, which were chosen for another twist or barrel."""
    return recipe.exit.style == "given" or recipe.exit.peak_angle_rad is not None


def _gradual(recipe: Recipe) -> Changes:
    """What makes the exit the gradual one; nothing where it is."""
    style: Changes = {} if recipe.exit.style == "gradual" else {"exit.style": "gradual"}
    return style | ({} if recipe.exit.peak_angle_rad is None else {"exit.peak_angle": None})


def _touching(recipe: Recipe) -> Changes:
    """Wraps that touch; an overbent exit that would no longer go past them goes too."""
    if recipe.barrel.pitch_mm is None:
        return {}
    touching_d, wires = barrel_touching_pitch(recipe.wire.count), recipe.wire.count
    pitch_mm = touching_d * recipe.wire.diameter_mm
    changes: Changes = {"barrel.pitch": "touching"}
    peak = recipe.exit.peak_angle_rad
    if peak is not None and peak < np.arctan2(core_round(wires), touching_d):
        changes["exit.peak_angle"] = None
    if recipe.tolerance.wrap_gap_mm >= 0.5 * pitch_mm:
        changes["tolerance.wrap_gap"] = None
    return changes


def _same_hand(recipe: Recipe) -> Changes:
    return {"barrel.hand": "same"} if recipe.barrel.hand == "opposite" else {}


def _below(length_mm: float | None, least_d: float, recipe: Recipe) -> bool:
    return length_mm is not None and length_mm < least_d * recipe.wire.diameter_mm


def _number(value: float) -> float:
    """A count as it is written: whole where it is."""
    return int(value) if value == int(value) else float(f"{value:.9g}")
