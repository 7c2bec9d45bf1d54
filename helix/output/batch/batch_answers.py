"""What `cut` and `choose` answer in a few lines: what to cut and what it takes; the wire to take."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from helix.findings import Judgement, Severity, judgement_of
from helix.output.hold.pair_report import UNWINDING, slack_lines
from helix.output.report.document import Answer
from helix.output.words.answer_words import headline, remedy_line, short_title, tape_range
from helix.output.words.findings.finding_words import capital
from helix.output.words.words import HALF_MM, number_of, tape_number, telling_of
from helix.studies.batch.piece_cuts import MARKS
from helix.studies.judge import load_to_plan
from helix.units import UnitSystem, format_force, format_length, format_tape

if TYPE_CHECKING:
    from helix.model.joint.wire import Wire
    from helix.studies.batch.choosing import Choice, Choices
    from helix.studies.batch.choosing_pair import PairChoice
    from helix.studies.batch.cut_plan import CutPlan
    from helix.studies.batch.piece_cuts import PieceCut


def cut_answer(result: CutPlan, units: UnitSystem) -> Answer:
    """The verdict on the joints, a line a piece, then the stock that it takes."""
    named = letters(result)
    count = sum(piece.piece.count + piece.spare for piece in result.pieces)
    spare = sum(piece.spare for piece in result.pieces)
    currency = result.plan.cutting.currency
    cost = "" if result.opened_cost is None else f"; the stock opened costs {money(result.opened_cost, currency)}"
    lines = [
        worst_line(result, units),
        *(_piece_line(named[piece.piece.name], piece, units) for piece in result.pieces),
        (
            f"{count} pieces{f' ({spare} spare)' if spare else ''}, "
            f"{long_length(sum(wire.pieces_mm for wire in result.wires), units)} of wire{cost}."
        ),
        _stock_line(result, units),
        _handle_line(result, units),
    ]
    more = "Stock by stock, all marks: --all."
    return Answer(tuple(line for line in lines if line), short_title(result.plan.title), more)


def worst_of(result: CutPlan) -> Judgement:
    """The most severe verdict on a joint of the batch."""
    return max((piece.judgement for piece in result.pieces), key=lambda judged: judged.severity)


def worst_line(result: CutPlan, units: UnitSystem) -> str:
    """The most severe verdict on a joint of the batch, and where it is."""
    judged = [(end.judgement, piece, end) for piece in result.pieces for end in piece.ends if end.judgement is not None]
    if not judged:
        return "OK. No joints, only lengths."
    worst, piece, end = max(judged, key=lambda each: each[0].severity)
    telling = telling_of(worst, units)
    if not telling:
        return "OK. Every joint is good."
    return f"{telling[0].word}: {piece.piece.name}, end {end.name}: {telling[0].short}."


def _piece_line(letter: str, piece: PieceCut, units: UnitSystem) -> str:
    """How many to cut how long, from what to what, and where the middle of each eye is marked."""
    total, interval = format_tape(piece.saw_mm, units), tape_range(piece.low_mm, piece.high_mm, units)
    eye = tuple(MARKS)[1]
    eyes = [mark.from_first_mm if mark.end == 1 else mark.from_second_mm for mark in piece.marks if mark.what == eye]
    unit = "in" if units == "inch" else "mm"
    marks = " and ".join(dict.fromkeys(f"{tape_number(mm, units, mark_to(piece))} {unit}" for mm in eyes))
    text = f"{letter}  {piece.piece.count + piece.spare} x {total} ({interval}), {piece.piece.name}"
    return f"{text}; eye {marks} from the end" if marks else text


def _stock_line(result: CutPlan, units: UnitSystem) -> str:
    """How much stock is opened, what is left, and whether less would do."""
    opened = len(result.stock)
    left = sum(sawn.left_mm for sawn in result.stock if sawn.kept)
    text = f"{opened} length{'' if opened == 1 else 's'} of stock opened, {long_length(result.opened_mm, units)}"
    text += f"; {long_length(left, units)} left, {long_length(result.waste_mm, units)} waste"
    least = {"stock": "least stock possible", "waste": "least waste possible", "cost": "least cost possible"}
    proven = (
        f"{least[result.plan.cutting.minimise]} (proven)"
        if result.proven
        else f"at most {100.0 * result.gap:.2g} % over the least"
    )
    return f"{text}; {proven}."


def _handle_line(result: CutPlan, units: UnitSystem) -> str:
    """How much of the wire is handles, which are broken off and thrown away."""
    handles = sum(end.handle_mm * (piece.piece.count + piece.spare) for piece in result.pieces for end in piece.ends)
    wire = sum(use.pieces_mm for use in result.wires)
    if not handles:
        return ""
    return (
        f"Handles: {long_length(handles, units)} ({100.0 * handles / wire:.0f} %) of it is wire bought and thrown away."
    )


def choose_answer(result: Choices, units: UnitSystem) -> Answer:
    """The lightest wire that will do, what it holds, and the next ones; where none will do, two worked as one."""
    requirements = result.requirements
    load = f"{format_force(requirements.load_n, units)} with a margin of {requirements.margin:g}"
    title = f"Wires for {format_force(requirements.load_n, units)}"
    if not result.choices:
        return Answer((*_pieces_lines(result, units), *_two_lines(result, load, units)), title)
    first = result.choices[0]
    wire = wire_words(first.wire, units)
    against = tuple(_pieces_lines(result, units))
    own = {layer.name for layer in first.hold.layers} & {"coil", "bent_alike"}
    sound = not against and first.judgement.is_ok and not telling_of(first.judgement)
    lines = [
        *against,
        *(
            []
            if against and first.judgement.is_ok
            else [headline(first.judgement, units, f"{wire}: the lightest for {load}.")]
        ),
        *([] if sound else [f"Lightest for {load}{', by the models alone' if against else ''}: {wire}."]),
        f"{'By them it holds' if against else _may(first)} {format_force(first.holds_n, units)} (an estimate{'' if own else ' without pull tests of yours'}), {first.margin:.2f} times the load.",
        f"Joint {format_length(first.finished_mm, units)} long; {_pin(first, units)}.",
        *_next(result, units),
    ]
    return Answer(tuple(lines), title, _type_next(first.wire, requirements.pin_mm, units))


def _may(choice: Choice) -> str:
    """What may be done with the load of a joint in a wire, as the beginning of it."""
    return {
        "plan": "Plan with",
        "if-it-holds": "If it holds, plan with",
        "remake": "Change it first; made so 19 of 20 hold",
    }.get(load_to_plan(choice.hold).use, "Do not plan with it: 19 of 20 end above")


def _pieces_lines(result: Choices, units: UnitSystem) -> Iterator[str]:
    """What own pieces with these turns and wraps say against them, before any wire for them."""
    if result.of_pieces is None:
        return
    judgement, recipe = judgement_of(result.of_pieces.findings), result.of_pieces.recipe
    yield headline(judgement, units)
    counts = f"{number_of(recipe.twist.turns, 'turn')} and {number_of(recipe.barrel.wraps, 'wrap')}"
    yield f"That is of {counts} in {wire_words(recipe.wire, units)}: change these first."
    if remedy := remedy_line(judgement, units):
        yield remedy


def _pin(first: Choice, units: UnitSystem) -> str:
    """The smallest pin; the wire itself where a thinner one would do too."""
    if first.least_pin_mm <= first.wire.diameter_mm:
        return "any pin as thick as the wire or thicker"
    return f"smallest pin {format_length(first.least_pin_mm, units)}"


def _type_next(wire: Wire, pin_mm: float | None, units: UnitSystem) -> str:
    """What to type for the rest, and next with a wire of the tables."""
    words = [f'--size "{wire.size}" --material "{wire.material}"']
    words += [] if pin_mm is None else [f'--pin "{format_length(pin_mm, units)}"']
    words += ["--units inch"] if units == "inch" else []
    return f"--all shows the rest. Type next, then helix hold joint.toml:\nhelix new joint.toml {' '.join(words)}"


def mark_to(piece: PieceCut) -> float:
    """To how many mm the ink marks of a piece are told: of one of two wires that are to bear alike, to a tenth."""
    return 0.1 if piece.paired else HALF_MM


def wire_words(wire: Wire, units: UnitSystem) -> str:
    """Size, material and diameter."""
    return f"{wire.size or ''} {wire.material}, {format_length(wire.diameter_mm, units)}".strip()


def _two_lines(result: Choices, load: str, units: UnitSystem) -> Iterator[str]:
    """No one wire will do: the nearest, and two worked as one."""
    nearest, pair = result.nearest, result.pair
    if pair is not None and pair.of_one.severity is Severity.FAULT:
        yield headline(pair.of_one, units)
        yield f"No one wire holds {load}; two are not planned with while the joint has that fault."
        return
    yield f"CAUTION: no one wire holds {load}."
    if nearest is not None:
        holds = format_force(nearest.holds_n, units)
        yield f"Nearest: {wire_words(nearest.wire, units)}: plan with {holds}, {nearest.margin:.2f} times the load."
    if pair is not None:
        yield pair_line(pair, units)
        yield f"Its joint {format_length(pair.finished_mm, units)} long; half as stiff as one wire of its area."
        yield capital(UNWINDING)
        yield from slack_lines(pair.load, units)


def pair_line(pair: PairChoice, units: UnitSystem) -> str:
    """Two worked as one: what they hold, if they do."""
    holds = format_force(pair.holds_n, units)
    return f"Two of {wire_words(pair.wire, units)}, worked as one: plan with {holds} (an estimate), if it holds."


def _next(result: Choices, units: UnitSystem) -> Iterator[str]:
    others = result.choices[1:4]
    if others:
        words = "; ".join(
            f"{choice.wire.size or format_length(choice.wire.diameter_mm, units)} {choice.wire.material} "
            f"{format_force(choice.holds_n, units)}"
            for choice in others
        )
        yield f"Next: {words}."


def money(amount: float, currency: str) -> str:
    """An amount with its currency.

    >>> money(7.9105, "EUR"), money(3.0, "")
    ('7.91 EUR', '3.00')
    """
    return f"{amount:.2f} {currency}".rstrip()


def long_length(mm: float, units: UnitSystem) -> str:
    """A length that may be of a whole coil: m from 10 m up, or ft from 10 ft up.

    >>> long_length(29634.0, "metric"), long_length(370.4, "metric"), long_length(29634.0, "inch")
    ('29.63 m', '370 mm', '97.22 ft')
    """
    if units == "inch" and mm >= 3048.0:
        return f"{mm / 304.8:.2f} ft"
    if units == "metric" and mm >= 9999.5:
        return f"{mm / 1000.0:.2f} m"
    return format_length(mm, units)


def letters(result: CutPlan) -> dict[str, str]:
    """A letter for each kind of piece, in the plan's order: A, B, ... Z, AA, AB, ..."""
    names = [piece.piece.name for piece in result.pieces]
    return {name: (chr(64 + k // 26) if k >= 26 else "") + chr(65 + k % 26) for k, name in enumerate(names)}
