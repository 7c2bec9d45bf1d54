"""What the hands must apply, and how far a joint stretches, as documents."""

from __future__ import annotations

import math

from helix.data.practice import practice
from helix.mechanics import limits
from helix.mechanics.bends.first_bend import TAKEN
from helix.mechanics.bends.hand_twist import FIRM, LEAST_PULL, WIDEST_DEG, is_simulated
from helix.output.hold.form_answers import after_words, form_answer, stretch_answer
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.assumptions import form_assumptions, stretch_assumptions, stretch_note
from helix.output.words.findings.finding_words import explain
from helix.studies.hold.stretch import StretchResult
from helix.studies.teaching.hand_work import LEAN_N, PLIERS_ARM_MM, UNLIKE_DEG, FormResult
from helix.units import MM_PER_INCH, N_PER_LBF, UnitSystem, format_force, format_length

OF_TWO = (
    "How far apart two pairs are held, and how alike the hands must be, nobody has simulated: try one, measure its lay, open or close the hands.",
    "Torques and forces are of both wires at once, as they are worked; both tags are wound together, one on each side, so that each hand gives half.",
)
"""What is said of the hands for two wires worked as one."""


def form_document(result: FormResult, units: UnitSystem = "metric") -> Document:
    """Torques, cranks, grips and springback for one recipe."""
    title = f"Hands: {' '.join(result.recipe.title.split()) or 'Twisted wire joint'}"
    rows = []
    for motion in result.work:
        moment = motion.moment_n_mm
        at_handle = "-" if math.isnan(motion.force_at_handle_n) else format_force(motion.force_at_handle_n, units)
        rows.append(
            (
                motion.motion,
                f"{_moment(moment.low, units)} to {_moment(moment.high, units)}",
                _moment(moment.nominal, units),
                format_force(moment.high / result.grips.free_length_mm, units),
                at_handle,
            )
        )
    unit = "lbf in" if units == "inch" else "N mm"
    handle = format_length(result.recipe.finish.handle_mm, units)
    reach, of_two = format_length(result.grips.free_length_mm, units), result.recipe.wire.count > 1
    work = Table(
        f"Torque of each motion, {'both wires at once, ' if of_two else ''}{unit}",
        ("motion", "softest to hardest", "nominal", "at the grip", "at each handle" if of_two else "at the handle"),
        tuple(rows),
        note=(
            f"Force of the hand at the grip, {reach} from the work, in the hardest wire; at the handle, the recipe's tag of "
            f"{handle} bent as a crank, in nominal wire. A hand gives {format_force(result.hand_force_n, units)} (assumed)."
        ),
    )
    blocks: list[Block] = [
        Heading(title, 1),
        form_answer(result, units),
        Para(hold_line(result, units)),
        Para(tools_line(result, units)),
        *(Para(line) for line in hands_lines(result, units)),
        Para(grip_line(result, units)),
        work,
        Heading("Springback"),
        *(Para(line) for line in springback_lines(result, units)),
        Heading("Assumptions"),
        Bullets((*form_assumptions(result), f"A hand gives {format_force(result.hand_force_n, units)}.")),
    ]
    return Document(title, tuple(blocks))


def hold_line(result: FormResult, units: UnitSystem) -> str:
    """Where to hold, and why."""
    wraps = [work for work in result.work if work.motion == "wind a wrap"]
    if not wraps:
        return "Hold the eye on its pin; there is no barrel to wind."
    unit = "lbf in" if units == "inch" else "N mm"
    wind, bare = wraps[0].moment_n_mm.nominal, result.bare_wire_torque_n_mm.nominal
    part = "the twist" if result.recipe.twist.turns else "the eye"
    return (
        f"While winding the barrel hold {part}, not the standing leg: a wrap takes {_moment(wind, units)} {unit}, and the bare "
        f"{'pair' if result.recipe.wire.count > 1 else 'wire'} twists through at {_moment(bare, units)} {unit}."
    )


def tools_line(result: FormResult, units: UnitSystem) -> str:
    """What turns legs and tag, and what bites the finished twist."""
    most = max(work.moment_n_mm.high for work in result.work)
    unit = "lbf in" if units == "inch" else "N mm"
    arm, hand = format_length(PLIERS_ARM_MM, units), format_force(result.hand_force_n, units)
    held = "do" if result.tools.held_in == "pliers" else "do not do: a vice"
    return (
        f"The hardest wire takes {_moment(most, units)} {unit} (the larger of the motions below). Pliers gripped {arm} from their jaws (assumed) with {hand} {held}. "
        "Ridged jaws notch hard wire, and it breaks at the notch: smooth ones, or a strip of soft metal between (common practice, no source)."
    )


def hands_lines(result: FormResult, units: UnitSystem) -> tuple[str, ...]:
    """How far apart the legs are held for the lay wanted, how alike the hands must be, and how the first crossing comes out."""
    hands = result.hands
    if hands is None:
        return OF_TWO if result.recipe.wire.count > 1 else ()
    led = (
        f"Led round without a pull, hard wire takes about {TAKEN:g} of the angle at which it is held (an earlier trial with hands on fixed cones): "
        f"at 90 deg, which practice keeps below ({practice().mark}), the lay comes out at about {hands.square_lay_d:.1f} d"
    )
    if hands.pulled_deg is None:
        return (f"A lay of {hands.lay_d:.3g} d is too short to wind in hard wire (simulated only, not tested). {led}.",)
    pull, share = format_force(hands.pull_n, units), f"{hands.pull_share:.2g} of the wire's strength"
    gives = "what a hand gives" if hands.pull_n >= result.hand_force_n else "the most that was simulated"
    how = f"{gives}, {share}"
    if hands.pull_share < LEAST_PULL:
        how += f"; under {LEAST_PULL:g} nobody has simulated, so measure the lay of a trial piece"
    elif not is_simulated(hands.lay_d, hands.pull_share):
        how += "; such a lay nobody has simulated at that pull, so measure that of a trial piece"
    firm = ""
    if hands.firm_deg is not None and hands.firm_pull_n > hands.pull_n:
        lean = (
            "each leg's end wound on a bar to lean on"
            if hands.firm_pull_n <= LEAN_N
            else "more than a person gives (assumed), by weights or a winch"
        )
        firm = (
            f" With {format_force(hands.firm_pull_n, units)}, {FIRM:g} of the strength, {lean}, "
            f"{hands.firm_deg:.0f} deg do, and the twist comes out evener."
        )
    wide = "" if hands.held_deg is None else f"; this lay wants {hands.held_deg:.0f}"
    most = "at most " if hands.pull_share < LEAST_PULL or hands.pulled_deg > WIDEST_DEG else ""
    return (
        (
            f"For a lay of {hands.lay_d:.3g} d hold the legs about {hands.pulled_deg:.0f} deg apart and pull {pull} along each ({how}). Hard wire springs back, "
            f"so hands stand wider than the legs cross once let go.{firm} Simulated only, not tested."
        ),
        (
            f"Hands that differ by {UNLIKE_DEG:.0f} deg all along, at that pull, leave an evenness of {most}{hands.unlike_evenness:.2f} (1: both legs bent alike; under "
            f"{limits.EVEN:g} a caution, under {limits.UNEVEN:g} a fault; simulated only). Watch the twist, and bring the hands together again where one leg stays "
            f"straighter. Pull alone evens such hands out at {format_force(hands.even_pull_n, units)} on each leg only"
            f"{', more than a hand gives' if hands.even_pull_n > result.hand_force_n else ''}."
        ),
        f"{led}{wide}.",
        f"The recipe's own curve, by which shape and verdict are told, is even: a strain of {hands.twist_strain:.2f} all along the twist.",
        *(explain(finding, units).sentence() for finding in result.of_making),
    )


def grip_line(result: FormResult, units: UnitSystem) -> str:
    """How far a free length may reach, and how often the grip moves."""
    d = result.recipe.wire.diameter_mm
    reach = f"{format_length(result.grips.free_length_mm, units)} ({result.grips.free_length_mm / d:.0f} d)"
    moves = f"so the grip moves on after {after_words(result.grips)}" if result.grips.grip_moves else "within one grip"
    text = (
        f"Thin wire wanders: beyond a free length of {reach} it leans more than {limits.WANDER_DEG:g} deg under the force that winds "
        f"it (its tip moves {format_length(result.grips.deflection_mm, units)}). Twist and barrel are {format_length(result.grips.worked_mm, units)} "
        f"long, from where the legs cross to the last wrap, {moves}."
    )
    if result.grips.tag_holds:
        wound = format_length(result.grips.tag_wire_mm, units)
        text += (
            f" Hold the tag no further out than that as well: {wound} of it are wound, {result.grips.tag_holds} holds."
        )
    return (
        text + f" Pushed along itself at that length it buckles at {format_force(result.grips.buckling_push_n, units)}."
    )


def springback_lines(result: FormResult, units: UnitSystem) -> tuple[str, ...]:
    """Pins for a wanted eye, and the looseness of the barrel."""
    pin = format_length(result.recipe.eye.pin_mm, units)
    lines = []
    if result.springback.eye_after_mm is not None:
        lines.append(
            f"Bent round a pin of {pin}, the eye springs open to {format_length(result.springback.eye_after_mm, units)}."
        )
    else:
        lines.append(f"Bent round a pin of {pin} the wire stays elastic and springs straight.")
    if result.springback.pin_for_wanted_eye_mm is not None:
        lines.append(
            f"For an eye of {pin} bend it round a pin of {format_length(result.springback.pin_for_wanted_eye_mm, units)}."
        )
    else:
        lines.append(f"No pin is small enough to leave an eye of {pin}: over-bend it by hand.")
    if result.springback.barrel_gap_mm is not None:
        share = result.springback.barrel_gap_mm / result.recipe.wire.diameter_mm
        legs = "legs, where it is round," if result.recipe.wire.count > 1 else "leg"
        lines.append(
            f"The barrel springs open and stands off the standing {legs} by {format_length(result.springback.barrel_gap_mm, units)} all round "
            f"({share:.3f} d): it sits loose, and no mandrel helps, as the leg is its mandrel."
        )
    return tuple(lines)


def stretch_document(result: StretchResult, units: UnitSystem = "metric") -> Document:
    """How much longer a joint is under load."""
    recipe = result.recipe
    title = f"Stretch: {' '.join(recipe.title.split()) or 'Twisted wire joint'}"
    band, length = result.joint_stretch_mm, result.length_under_load_mm
    load = format_force(result.load_n, units)
    answer = (
        f"Under {load} the joint is {_fine(band.nominal, units)} longer ({_fine(band.low, units)} to {_fine(band.high, units)}): "
        f"{format_length(length.nominal, units)} from inside the eye to the last wrap, "
        f"{format_length(result.length_unloaded_mm, units)} without load."
    )
    standing = (
        f"The standing leg of {format_length(recipe.finish.standing_mm, units)} stretches by {_fine(result.standing_stretch_mm, units)} "
        "beside that."
    )
    parts = Table(
        f"Where it stretches, elastic, under {load}",
        ("part", "stretch"),
        tuple((part.part, _fine(part.stretch_mm, units)) for part in result.parts),
    )
    curve = Table(
        "Stretch of the joint by load",
        ("load", "low", "nominal", "high"),
        tuple(
            (
                format_force(at.load_n, units),
                *(_fine(mm, units) for mm in (at.stretch_mm.low, at.stretch_mm.nominal, at.stretch_mm.high)),
            )
            for at in result.curve
        ),
    )
    blocks: list[Block] = [Heading(title, 1), stretch_answer(result, units), Para(answer), Para(standing)]
    if note := stretch_note(result):
        blocks.append(Para(note, strong=True))
    return Document(title, (*blocks, parts, curve, Heading("Assumptions"), Bullets(stretch_assumptions(result))))


def _fine(mm: float, units: UnitSystem) -> str:
    return f"{mm / MM_PER_INCH:.4f} in" if units == "inch" else f"{mm:.2f} mm"


def _moment(n_mm: float, units: UnitSystem) -> str:
    if units == "inch":
        n_mm /= N_PER_LBF * MM_PER_INCH
    return f"{float(f'{n_mm:.3g}'):g}"
