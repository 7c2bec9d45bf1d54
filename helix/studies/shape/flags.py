"""What is wrong with a joint besides its bends: what, where, why, what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from helix.geometry.twist.packing import zero_twist
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.mechanics.bending import strain_verdict
from helix.model.joint.joint import Joint
from helix.model.joint.section_names import section_name


@dataclass(frozen=True)
class Flag:
    """One finding: a code for programs, what, in which section, why it matters, what to do, how bad.

    severity: "fault" (cannot be made so, or breaks or unwinds), "caution", or "note".
    """

    code: str
    what: str
    where: str
    why: str
    do: str
    severity: str


def sentence(flag: Flag) -> str:
    """The flag as one sentence or two."""
    return f"{flag.what} ({flag.where}){': ' + flag.why if flag.why else ''}. {flag.do}."


def joint_flags(joint: Joint, nearest: tuple[float, tuple[str, str]] | None, eye_strain: float) -> tuple[Flag, ...]:
    """All flags of a joint, the bends' verdicts left out.

    nearest: least gap [d] and the two sections that it is between; None where it was not looked for.
    """
    return (
        *(_overlap(joint, *nearest) if nearest else ()),
        *_lift_off(joint),
        *_twist(joint),
        *_barrel(joint),
        *_counts(joint),
        *_eye(eye_strain),
        *_wire(joint),
        *(
            Flag("reading", note.rstrip("."), "recipe", "", "check the recipe", "note")
            for note in joint.recipe.notes
            if not note.startswith("The rated load")
        ),
    )


def _overlap(joint: Joint, gap: float, between: tuple[str, str]) -> Iterator[Flag]:
    if gap < -limits.OVERLAP_D:
        mm = -gap * joint.diameter_mm
        pitch = touching_pitch()
        if between == ("barrel", "barrel"):
            parts, why = "neighbouring wraps", f"wraps that just touch have a pitch of {pitch:.4f} d"
            do = 'write pitch = "touching"'
        else:
            first, second = (section_name(name).replace(", ", " of the ") for name in reversed(between))
            parts = f"the {first} and {'itself' if first == second else f'the {second}'}"
            why = "two parts cannot be in one place: the wire will lie differently from this shape"
            do = "open what presses: a longer lay, a longer exit, or a wider pitch"
        yield Flag("overlap", f"overlap of {mm:.2g} mm ({-gap:.4f} d) between {parts}", between[1], why, do, "fault")


def _lift_off(joint: Joint) -> Iterator[Flag]:
    plan = joint.layout.planned.plan
    if plan.lift > limits.LIFT_OFF_D:
        yield Flag(
            "lift-off",
            f"lift-off: the tag stands off the leg by up to {plan.lift:.3f} d",
            "exit_tag",
            "the leg straightens so fast that the tag cannot stay in touch with it",
            "let the leg come onto the axis over a longer way",
            "caution",
        )
    if plan.bulge > limits.LIFT_OFF_D:
        yield Flag(
            "lift-off",
            f"lift-off: the legs stand {2.0 * plan.bulge:.3f} d apart where the tight lay opens",
            "exit_tag",
            "a lay this tight cannot open with the legs in touch",
            "twist with a longer lay",
            "note",
        )


def _twist(joint: Joint) -> Iterator[Flag]:
    twist, lay = joint.recipe.twist, joint.layout.sizes.lay
    if twist.turns == 0.0:
        yield Flag(
            "wraps-only",
            "wraps without twists",
            "barrel",
            "nothing but the barrel's stiffness holds the tag; it is known to pull out far below the wire's strength "
            "(common practice, no source)",
            "make the even twist first, then the barrel",
            "fault",
        )
        return
    if lay < zero_twist(2).lay and twist.evenness == 1.0:
        yield Flag(
            "over-twist",
            f"over-twist: a lay of {lay:.2f} d",
            "twist_tag",
            "below 2.70 d more twisting takes in wire without adding turns, the legs stand apart and bend harder",
            f"twist to a lay of {limits.SOUND_LAY:g} d or more",
            "fault",
        )
    elif joint.layout.sizes.standing_radius + joint.layout.sizes.tag_radius > 1.0 + 1e-12:
        yield Flag(
            "tight-lay",
            f"tight lay of {lay:.2f} d",
            "twist_tag",
            "below 3.14 d (an even twist) the legs touch off the axis and cross at more than 90 deg",
            f"twist to a lay of {limits.SOUND_LAY:g} d or more",
            "caution",
        )
    if lay > limits.LOOSE_LAY:
        yield Flag(
            "loose-lay",
            f"loose twist: a lay of {lay:.1f} d",
            "twist_tag",
            "a long lay grips little and unwinds",
            f"twist to a lay of about {limits.USUAL_LAY:g} d",
            "fault",
        )
    if twist.evenness < limits.EVEN:
        tag, leg = joint.section_mm("twist_tag"), joint.section_mm("twist_standing")
        yield Flag(
            "uneven-twist",
            f"uneven twist: the tag takes {tag / leg:.2f} times the standing leg's wire",
            "twist_tag",
            "the tag winds round a leg that stays straighter, so the legs lock each other less or not at all",
            "open the legs to the same angle and turn both",
            "fault" if twist.evenness < limits.UNEVEN else "caution",
        )


def _barrel(joint: Joint) -> Iterator[Flag]:
    sizes = joint.layout.sizes
    if sizes.wraps == 0.0:
        yield Flag(
            "no-barrel",
            "a twist without a barrel",
            "twist_tag",
            "nothing keeps the tag from turning back out of the twist",
            "add touching wraps",
            "fault",
        )
        return
    gap = sizes.pitch - touching_pitch()
    allowed = joint.recipe.tolerance.wrap_gap_mm / joint.diameter_mm
    if gap > limits.OPEN_GAP_D:
        within = gap <= allowed
        yield Flag(
            "open-barrel",
            f"open barrel: gaps of {gap * joint.diameter_mm:.2g} mm ({gap:.2g} d) between the wraps",
            "barrel",
            "within the recipe's own tolerance of a touching barrel"
            if within
            else "the wraps do not bear on each other and can shift along the leg",
            "wind each wrap against the last",
            "note" if within else "fault",
        )
    if sizes.barrel_sign < 0.0:
        yield Flag(
            "opposite-hand",
            "the barrel is wound the opposite hand to the twist",
            "exit_tag",
            "the tag doubles back on itself between twist and barrel, which its visible angle hides",
            "wind the barrel the same way round as the twist",
            "fault",
        )


def _counts(joint: Joint) -> Iterator[Flag]:
    sizes, tolerance = joint.layout.sizes, joint.recipe.tolerance
    counts = (("turn", sizes.turns, tolerance.turns), ("wrap", sizes.wraps, tolerance.wraps))
    short = [
        f"{count:g} {name}{'' if count == 1.0 else 's'}"
        for name, count, slack in counts
        if 0.0 < count < limits.FEW - slack
    ]
    if short:
        fewer_turns = 0.0 < sizes.turns < limits.FEW - tolerance.turns
        yield Flag(
            "few",
            f"only {' and '.join(short)}",
            "twist_tag" if sizes.turns < limits.FEW - tolerance.turns else "barrel",
            "practice makes 5 full turns and 5 wraps in hard stainless wire (common practice, no source); "
            "with fewer a joint may unwind before the wire breaks",
            f"add {'turns' if fewer_turns else 'wraps'}{' first' if len(short) > 1 else ''}, or prove it with pull tests",
            "fault" if 0.0 < sizes.turns <= limits.VERY_FEW else "caution",
        )
    if sizes.turns >= limits.MANY:
        yield Flag(
            "many",
            f"{sizes.turns:g} turns are {2.0 * sizes.turns:g} crossings",
            "twist_tag",
            "practice makes about 5 turns; a turn is 360 deg, a crossing half of it",
            f"if you counted crossings, write crossings = {sizes.turns:g} instead of turns",
            "note",
        )


def _wire(joint: Joint) -> Iterator[Flag]:
    wire = joint.recipe.wire
    low, nominal, _ = wire.breaking_load_n
    if wire.rated_load_n is not None and wire.rated_load_n > nominal:
        yield Flag(
            "rated-above-breaking",
            f"the rated load is {wire.rated_load_n / nominal:.2f} times what the straight wire breaks at",
            "standing",
            "a rating lies below the breaking load",
            "check size, material and rated load",
            "fault",
        )
    elif wire.rated_load_n is not None and wire.rated_load_n > low:
        yield Flag(
            "rated-above-least",
            "the rated load is above the least breaking load of this size and material",
            "standing",
            "weak wire of this size may break below its rating",
            "check size, material and rated load, or test straight wire of the batch",
            "caution",
        )


def _eye(strain: float) -> Iterator[Flag]:
    verdict = strain_verdict(strain)
    if verdict != "ok":
        yield Flag(
            "tight-eye",
            f"the eye bends the wire to a strain of {strain:.2f}: {verdict}",
            "eye",
            "the pin is too small for this wire",
            "use a larger pin or a thimble",
            "fault" if verdict == "sharp" else "caution",
        )
