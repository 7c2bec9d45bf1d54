"""What linking costs: the answer in a few lines, and all of it as a document."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from helix.findings import Severity
from helix.mechanics import limits
from helix.output.hold.hold_answers import load_head, own_clause
from helix.output.link.link_chart import bars_chart
from helix.output.report.document import Answer, Block, Bullets, Document, Heading, Picture, Table
from helix.output.words.answer_words import headline, remedy_line, short_title
from helix.output.words.findings.finding_words import capital, explain
from helix.output.words.link_words import link_assumptions, link_title, named_joints, other_words
from helix.output.words.sentence_format import TESTED
from helix.output.words.words import shown_severity
from helix.studies.hold.hold_result import Band
from helix.studies.link.link_result import Bend, LinkedJoint, LinkResult, Room, Swing
from helix.units import UnitSystem, format_force, format_length

_ALL_ROUND_DEG: Final = 179.9


def link_answer(result: LinkResult, units: UnitSystem) -> Answer:
    """The verdict, the load to plan with, the crossing, the room to move and the length."""
    judgement = result.judgement
    hardest = max(named_joints(result), key=lambda named: named[1].pulled.strain)
    lines = [headline(judgement, units), load_line(result, units), *crossing_lines(*hardest, result)]
    lines += [room_line(result, units), length_line(result, units)]
    if shown_severity(judgement) > Severity.OK:
        lines.append(remedy_line(judgement, units))
    return Answer(tuple(line for line in lines if line), link_heading(result, units))


def load_line(result: LinkResult, units: UnitSystem) -> str:
    """What to plan with, against the same joint without the link; what is not in that load."""
    weakest = result.weakest
    head = load_head(weakest.held, units)
    if not head.mark:
        return f"{head.short}. {capital(head.rest)}."
    left_out = [explain(finding, units).short for finding in result.findings if finding.code == "wire-on-wire"]
    mark = "; ".join((head.mark, *(f"{what}: not in this load" for what in left_out)))
    plain = format_force(weakest.alone.plan_with_n, units)
    cost = (
        f"{plain} without the link"
        if weakest.linked.plan_with_n < weakest.alone.plan_with_n
        else "the same without the link"
    )
    if head.to_plan.use == "do-not":
        return f"{head.short}: {head.rest} ({mark})."
    own = own_clause(weakest.held, units)
    return f"{head.short} ({mark}); {cost}{f'; {own}' if own else ''}."


def crossing_lines(name: str, joint: LinkedJoint, result: LinkResult) -> tuple[str, str]:
    """How hard an eye is bent when drawn tight and at rest, and what that leaves."""
    tight, rest = joint.pulled, joint.rest
    start = capital(name) if name else "Drawn"
    limit = f"limit {limits.STRAIN_OK:.2f}: {TESTED}"
    return (
        f"{start} tight over {other_words(result)}: radius {tight.radius_d:.2f} d, strain {tight.strain:.2f} ({limit}).",
        f"That leaves {percents(joint.leaves)}; at rest, round its pin: radius {rest.radius_d:.2f} d, strain {rest.strain:.2f}.",
    )


def percents(band: Band) -> str:
    """A proportion of the wire with its band, in percent.

    >>> percents(Band.of(0.58, 0.922, 1.0)), percents(Band.of(1.0, 1.0, 1.0))
    ('92 % of the wire (58 to 100)', 'all of the wire')
    """
    low, nominal, high = (f"{100.0 * value:.0f}" for value in (band.low, band.nominal, band.high))
    return "all of the wire" if low == "100" else f"{nominal} % of the wire ({low} to {high})"


def room_line(result: LinkResult, units: UnitSystem) -> str:
    """How the eyes can move."""
    round_first, round_second = (f"{_degrees(swing)} deg each way" for swing in result.room.swings)
    if result.ring is not None:
        swings = f"the eye slides all round the ring, the ring swings {round_first}"
    elif round_first == round_second:
        swings = f"both swing {round_first}, then meet the throat"
    else:
        swings = f"the second swings {round_first}, the first {round_second}"
    return f"Room: {_play_words(result.room, units)} along the pull; {swings}."


def _play_words(room: Room, units: UnitSystem) -> str:
    return format_length(room.play_mm, units) if room.play_mm > 0.0 else "none"


def _degrees(swing: Swing) -> int:
    return math.floor(swing.angle_deg + 1e-6)


def _swing_words(swing: Swing) -> str:
    """How far, and what ends it."""
    if swing.angle_deg > _ALL_ROUND_DEG:
        return "all the way round"
    end = "a wire meets another" if swing.meets else "it runs into the throat"
    return f"{_degrees(swing)} deg each way, then {end}"


def length_line(result: LinkResult, units: UnitSystem) -> str:
    """How long the pair is."""
    pulled, pushed = (format_length(mm, units) for mm in (result.room.ends_pulled_mm, result.room.ends_pushed_mm))
    to = "last wrap" if result.ring is None else "the ring's far inside"
    return f"Last wrap to {to}: {pulled} pulled, {pushed} pushed together."


def link_heading(result: LinkResult, units: UnitSystem) -> str:
    """What is linked, with the titles of the joints."""
    titles = dict.fromkeys(short_title(joint.recipe.title) for joint in result.joints)
    return f"{link_title(result, units)}: {' / '.join(titles)}"


def link_document(result: LinkResult, units: UnitSystem = "metric", picture: Picture | None = None) -> Document:
    """All that is known of the link, as tables with a chart."""
    title = link_heading(result, units)
    found = tuple(_sentences(result, units))
    blocks: list[Block] = [Heading(title, 1), link_answer(result, units)]
    if picture is not None:
        blocks.append(picture)
    if found:
        blocks += [Heading("What is found"), Bullets(found)]
    blocks += [
        *link_tables(result, units),
        bars_chart(result, units),
        Heading("Assumptions"),
        Bullets(link_assumptions(result)),
    ]
    return Document(title, tuple(blocks))


def link_tables(result: LinkResult, units: UnitSystem) -> tuple[Table, ...]:
    """Every number: the crossing of each kind of joint, then room and length."""
    crossings = [_crossing_table(name, joint, result, units) for name, joint in named_joints(result)]
    return (*crossings, _room_table(result, units))


def _sentences(result: LinkResult, units: UnitSystem) -> Iterator[str]:
    for finding in result.judgement.findings:
        told = explain(finding, units)
        yield f"{told.word}: {told.sentence()}"


def _crossing_table(name: str, joint: LinkedJoint, result: LinkResult, units: UnitSystem) -> Table:
    def bend(bend: Bend) -> str:
        return f"radius {bend.radius_d:.2f} d, strain {bend.strain:.2f}, {bend.severity.word}"

    def load(newton: float) -> str:
        return "-" if math.isnan(newton) else format_force(newton, units)

    d_mm = joint.recipe.wire.diameter_mm
    rows = (
        ("wire", format_length(d_mm, units)),
        (f"drawn over {other_words(result)}", format_length(joint.over_mm, units)),
        ("bend at rest, round its pin", bend(joint.rest)),
        ("bend pulled tight", bend(joint.pulled)),
        ("inside of that bend, radius", format_length(0.5 * joint.over_mm, units)),
        (
            f"thinnest bar within the limit of {limits.STRAIN_OK:.2f} ({TESTED})",
            format_length(joint.least_bar_mm, units),
        ),
        ("leaves of the wire, by ductility", percents(joint.leaves)),
        ("of the load that passes there", f"{100.0 * joint.load_proportion:.0f} %"),
        ("would break there at, nominal", load(joint.breaks_there_n)),
        ("plan with, without the link", load(joint.alone.plan_with_n)),
        ("plan with, linked", load(joint.linked.plan_with_n)),
        ("expected, without the link", load(joint.alone.expected_n)),
        ("expected, linked", load(joint.linked.expected_n)),
        ("bears on its wire, from the standing end", format_length(joint.s_mm, units)),
    )
    return Table(f"The crossing{f', {name}' if name else ''}", ("", ""), rows, left=(0, 1), note="Loads are estimates.")


def _room_table(result: LinkResult, units: UnitSystem) -> Table:
    room, contact = result.room, result.contact

    def size(mm: float) -> str:
        return format_length(mm, units)

    other = "eye" if result.ring is None else "ring"
    far = "last wrap" if result.ring is None else "the ring's far inside"
    names = (
        ("second round the first", "first round the second")
        if result.ring is None
        else ("eye round the ring", "ring round the eye")
    )
    swings = (room.swings[0], room.swings[1]) if result.ring is None else (room.swings[1], room.swings[0])
    rows = (
        ("play along the pull", _play_words(room, units)),
        *((f"swing, {name}", _swing_words(swing)) for name, swing in zip(names, swings, strict=True)),
        (f"middle of eye to middle of {other}, pulled", size(room.centres_pulled_mm)),
        ("the same, pushed together", _beyond(room.centres_pushed_mm, units)),
        (f"last wrap to {far}, pulled", size(room.ends_pulled_mm)),
        ("the same, pushed together", size(room.ends_pushed_mm)),
        ("centre lines where they touch", f"{size(contact.centres_apart_mm)} apart"),
    )
    return Table("Room and length, at rest", ("", ""), rows, left=(0, 1))


def _beyond(mm: float, units: UnitSystem) -> str:
    return format_length(mm, units) if mm >= 0.0 else f"{format_length(-mm, units)} past each other"
