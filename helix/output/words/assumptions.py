"""What each answer takes for granted, in sentences: made of the result that they go with, for reports and for JSON."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from helix.data.practice import practice
from helix.mechanics import limits
from helix.model.measured.readings import ANGLES, LENGTHS
from helix.output.words.findings.reading_words import doubt_line
from helix.output.words.link_words import link_assumptions
from helix.output.words.words import number_of

if TYPE_CHECKING:
    from helix.studies.batch.choosing import Choices
    from helix.studies.batch.cut_plan import CutPlan
    from helix.studies.hold.hold_result import HoldResult
    from helix.studies.hold.stretch import StretchResult
    from helix.studies.inspect.inspection_result import Inspection
    from helix.studies.inspect.spread import SpreadResult
    from helix.studies.teaching.hand_work import FormResult


def hold_assumptions(result: HoldResult) -> tuple[str, ...]:
    """What the estimate of a hold takes for granted."""
    scatter = result.setting.scatter
    low, nominal, high = result.setting.ductility
    area = f"{nominal:.3g}" if low == high else f"{low:.2f} to {high:.2f}, nominal {nominal:.3g}"
    slide = math.degrees(result.setting.sliding_rad)
    at_eye = "the pin turns with the wire" if slide == 0.0 else f"the wire slides over {slide:.0f} deg round the pin"
    governing = result.outcome.governing
    words = [] if governing is None else [f"Model {governing.model.key}: {governing.model.assumes}."]
    return (
        *words,
        f"At the eye {at_eye}.",
        "The barrel gives way either by bending or by torsion of its first wrap, half of the draws each; neither is proven.",
        f"Flow stress is {scatter.flow[0]:.2f} to {scatter.flow[2]:.2f} of the strength, evenly spread (assumed).",
        (
            f"Friction differs by {scatter.friction:.0%}, the strain of a bend by {scatter.strain:.0%} from piece to piece (one "
            f"sigma, assumed); lay by +/- {scatter.lay_tolerance_d:.2g} d and turns by +/- {scatter.turns_tolerance:.2g} "
            "(the recipe's tolerances, taken as two sigma)."
        ),
        (
            f"Ductility: a reduction of area of {area}{' (typical of the wire, from memory)' if low != high else ''}. "
            "What a bend leaves is not backed by tests of this joint."
        ),
        (
            "All of the load passes the standing leg's exit and pulls it straight (simulated, not tested), about half of it each eye "
            "leg, and what the twist leaves the tag's exit."
        ),
        (
            "What the mechanics says of a bend may be 8 % off (one sigma), hardening is 0.1 to 0.5 of the strength per unit strain, the "
            "table's limits are a 95 % range and straightened wire is up to 10 % weaker (assumed)."
        ),
        "The models know no size: every size behaves alike by construction, and no trend with size is claimed.",
        "No fatigue, shock, corrosion, heat, wet, nicked or kinked wire.",
    )


def stretch_assumptions(_: StretchResult) -> tuple[str, ...]:
    """What the stretch under load takes for granted."""
    return (
        "Elastic wire; bends keep their set shape, and no part yields further: up to the rated load, not beyond.",
        (
            "The legs of the twist are held from turning; low: they share the load evenly; nominal: the tag hands its "
            "share over evenly along the twist (model L)."
        ),
        (
            "High: the legs flatten each other as if this were the first load, and the standing leg's exit bends straight "
            "as a beam. A joint that has been loaded before stretches less."
        ),
        "The eye fills its pin; play, and an eye that closes on a smaller pin, come on top.",
    )


def stretch_note(result: StretchResult) -> str | None:
    """Where the load passes what the joint holds, or no model says what it holds."""
    if math.isnan(result.hold_n):
        return "No model says whether this joint holds; the stretch is that of a joint that does."
    if result.load_n > result.hold_n:
        return f"The load is above the nominal hold, {result.hold_n:.0f} N: the joint would not carry it."
    return None


def form_assumptions(_: FormResult) -> tuple[str, ...]:
    """What torques, cranks and grips take for granted."""
    low, usual, high = practice().scatter.flow
    return (
        f"Fully plastic wire of one flow stress, {low:g} to {high:g} of the strength, {usual:g} nominal (assumed).",
        "Springback by the nominal strength, as for the shape.",
        "Both legs are laid round each other without twisting the wire itself; a rigid grip takes a little more.",
        f"A wire that is wound wanders from a lean of {limits.WANDER_DEG:g} deg (a working limit, no source).",
    )


def cut_assumptions(result: CutPlan) -> tuple[str, ...]:
    """What a cutting list takes for granted."""
    plan = result.plan
    words = [
        "Finished length runs between what bears in the eyes, as wound; a plain end counts to its tip.",
        (
            "The interval of a cut is the root of the sum of squares of the recipes' tolerances; the choice of "
            "ramps, one model for both ends, is added up."
        ),
    ]
    if any(piece.piece.at_load_n is not None for piece in result.pieces):
        words.append(
            "Under a stated load the straight wire stretches elastically and the joints by the estimate of "
            "their stretch; play in the eyes comes on top."
        )
    if plan.cutting.spare > 0.0:
        words.append(
            f"{100.0 * plan.cutting.spare:g} % of the joints are spoiled, each on its own; a piece with a spoiled joint "
            "is cut anew."
        )
    if any(bar.mass_kg is not None for bar in plan.stock):
        words.append("A mass of stock is that of the wire alone, without its spool.")
    return tuple(words)


def choose_assumptions(result: Choices) -> tuple[str, ...]:
    """What the choice of a wire takes for granted."""
    requirements, recipe = result.requirements, result.first_recipe
    twist, barrel, d = recipe.twist, recipe.barrel, recipe.wire.diameter_mm
    pin_d = recipe.eye.pin_mm / d
    pin = f"a pin of {pin_d:.3g} wire diameters" if requirements.pin_mm is None else "the pin that is given"
    lay = twist.lay_mm / d
    return (
        f"The joint: {number_of(twist.turns, 'turn')} at a lay of {lay:.3g} d, {number_of(barrel.wraps, 'wrap')}, round {pin}.",
        (
            "Holds: what 19 of 20 such joints hold by the estimate of holding, in wire of the lowest strength that "
            "its table allows; an estimate that rests on thin evidence. Prove it with pull tests."
        ),
        "Least pin: the eye closes round it, and the wire is bent no sharper than in its wrapping test.",
        "A piece has such a joint at each end; its length runs between its pins, and its handles are counted.",
    )


def spread_notes(result: SpreadResult) -> tuple[str, ...]:
    """How errors are taken, and what was left out."""
    quantities = [effect.input for effect in result.effects]
    notes = [
        (
            "Every error lies anywhere within its plus or minus, all places alike, and on its own; a gap between "
            "touching wraps can only grow."
        ),
        (
            "Twist, barrel, stub and handle are closed forms; eye, exit and strains are a table of exact builds, one "
            "and two errors at a time, the exit's leg and swing kept."
        ),
        "Gaps and overlaps are not looked for in the random trials.",
    ]
    if result.overlaps:
        notes.append("The tag overlaps the leg as stated: its exit is sharp in every trial.")
    if any(quantity.name == "throat" for quantity in quantities) and result.recipe.eye.throat_rad is None:
        notes.append("The throat is tangent: it follows the lay, and its own error comes on top.")
    return tuple(notes)


def inspection_notes(result: Inspection) -> tuple[str, ...]:
    """How readings are taken; none where no joint can have them."""
    if result.made is None:
        return ()
    readings, counted_to = result.readings, result.counted_to
    notes = [
        "An uncertainty is taken as one standard deviation; low to high holds all sizes together in 95 of 100 joints.",
        "Sizes are taken as wound, with the pin in the eye; what springs open after that reads larger.",
    ]
    counts = [name for name in ("turns", "wraps") if name in readings and not readings[name].stated]
    if counts:
        notes.append(f"Counts are taken as exact: {', '.join(counts)}; write 5 +- 0.1 where they are not.")
    if counted_to == "tag":
        notes.append(
            "Counts are to where the tag leaves the twist, and from there; the recipe's leave the transition out."
        )
    seen = [f"{r.words} {r.sd:g} deg" for r in readings.values() if not r.stated and r.name in ANGLES]
    if seen:
        notes.append(f"Uncertainty assumed of what is seen by eye: {', '.join(seen)}.")
    if "evenness" in readings:
        notes.append(f"Evenness {readings['evenness'].value:g} is assumed from the word: no source.")
    usual = [r for r in readings.values() if not r.stated and r.name in LENGTHS]
    if usual:
        shown = ", ".join(f"{r.words} {100.0 * r.sd / r.value:.2g} %" for r in usual)
        notes.append(f"Uncertainty assumed, where none is stated: {shown} of the reading.")
    return tuple(notes)


def inspection_remarks(result: Inspection) -> tuple[str, ...]:
    """What is doubtful of the readings, and how they are taken."""
    return (*(doubt_line(doubt) for doubt in result.doubts), *inspection_notes(result))


WORDS: Final[Mapping[str, Mapping[str, Callable[[Any], Any]]]] = {
    "StretchResult": {"note": stretch_note, "assumptions": stretch_assumptions},
    "FormResult": {"assumptions": form_assumptions},
    "CutPlan": {"assumptions": cut_assumptions},
    "Choices": {"assumptions": choose_assumptions},
    "SpreadResult": {"notes": spread_notes},
    "LinkResult": {"assumptions": link_assumptions},
    "Inspection": {"notes": inspection_remarks},
}
"""By the name of the result's class, so that none is imported for another's words: what JSON carries beside its fields."""
