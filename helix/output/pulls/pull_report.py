"""What a reading of pull tests says: answer first, tables, charts, assumptions, methods and their sources."""

from __future__ import annotations

from dataclasses import replace

from helix.output.pulls.pull_answers import confronted_lines, ends_words, next_phrase, pulled_words, pulls_answer
from helix.output.pulls.pull_charts import strip_chart
from helix.output.pulls.pull_methods import METHODS
from helix.output.pulls.pull_panels import curve_chart, probability_chart
from helix.output.pulls.pull_rely import first_words
from helix.output.pulls.pull_sentences import ASSUMPTIONS, coverage_words
from helix.output.pulls.pull_tables import (
    across_table,
    by_recipe_table,
    curves_table,
    efficiencies_table,
    endings_table,
    faults_table,
    joints_table,
    measured_table,
    predicted_blocks,
    standing_table,
    turns_and_wraps,
    unwinding_loads_table,
    weibull_table,
)
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.answer_words import INVENTED
from helix.output.words.pull_words import PullFormat, percent, percents, remark_line
from helix.studies.pulls.pull_groups import Group
from helix.studies.pulls.pulls import PullsResult
from helix.units import UnitSystem

CAUTION = (
    "Tests of these pieces, not a proof for others. Not for lifting, towing people, fall arrest, loads over people, "
    "medical or aviation use; follow local codes and ask a qualified person."
)


def pulls_document(result: PullsResult, units: UnitSystem = "metric") -> Document:
    """The report of a reading."""
    shown = PullFormat(units)
    title = f"Pull tests: {result.place}{INVENTED if result.invented else ''}"
    charts = [strip_chart(result, units), probability_chart(result, units), curve_chart(result.curves, units)]
    blocks: list[Block | None] = [
        Heading(title, 1),
        pulls_answer(result, shown),
        Para(f"Pulled: {pulled_words(result)}."),
        Para(f"helix {result.version}; limits at 95 % unless said otherwise. {CAUTION}"),
        faults_table(result),
        Heading("Group by group"),
        *_answers(result, shown),
        *first_words(result, shown),
        measured_table(result, shown),
        charts[0],
        Heading("One joint, corrected"),
        Para(
            "A piece with a joint at each end shows the weaker of the two, so its average is not the strength of a joint. "
            "Plain: what a list of loads averages to. One joint: what each joint must be like for the pieces to come out "
            "as they did, once for joints that are independent of each other and once for joints that are wholly alike. "
            "Nobody can tell from such pieces which of the two holds; the truth lies between."
        ),
        joints_table(result, shown),
        *_whys(result, shown),
        by_recipe_table(result, shown),
        efficiencies_table(result, shown),
        across_table(result, shown),
        Heading("How pieces ended"),
        endings_table(result),
        *_ends(result),
        unwinding_loads_table(result, shown),
        *turns_and_wraps(result),
        Heading("Do the loads follow the distribution?"),
        charts[1],
        weibull_table(result, shown),
        standing_table(result, shown),
        Heading("Curves") if result.curves else None,
        charts[2],
        curves_table(result, shown),
        *_confronted(result, shown),
        *predicted_blocks(result, shown),
        Heading("What to pull next") if result.next_pulls else None,
        Bullets(tuple(f"{next_phrase(pulls)[0].upper()}{next_phrase(pulls)[1:]}." for pulls in result.next_pulls)),
        Heading("What to keep in mind"),
        Bullets(tuple(remark_line(note, units) for note in result.notes)) if result.notes else None,
        Heading("What is taken for granted", 3),
        Bullets(ASSUMPTIONS),
        Heading("Methods and sources"),
        Para(
            "Keys in brackets behind a table or chart name the methods that its numbers come from. Marks: [pub] seen in the "
            "publication, [rep] in a reprint, [mem] from memory, not reopened."
        ),
        methods_table(),
        *_coverage(result),
    ]
    return Document(title, tuple(block for block in blocks if block is not None))


def _confronted(result: PullsResult, shown: PullFormat) -> list[Block]:
    """Prediction and pieces, group by group."""
    if not result.confronted:
        return []
    items = tuple(" ".join(confronted_lines(compared, shown)) for compared in result.confronted)
    note = (
        "By chance: how often pieces would come out as far off, were the prediction right. All pieces share the coil, the model "
        "and the friction number. Loads scatter by 4 % from joint to joint (common practice, no source)."
    )
    return [Heading("Prediction against pieces [M21]"), Bullets(items), Para(note)]


def _ends(result: PullsResult) -> list[Block]:
    """Which end failed."""
    items = tuple(text for group in result.groups if (text := ends_words(group)))
    return [Bullets(items)] if items else []


def _answers(result: PullsResult, shown: PullFormat) -> list[Block]:
    """One sentence a group."""
    return [Para(_answer(group, shown)) for group in result.groups]


def _answer(group: Group, shown: PullFormat) -> str:
    unit = shown.force
    count = f"{group.name} ({group.n} piece{'s' if group.n != 1 else ''})"
    if not group.plain:
        return f"{count}: no piece broke or unwound, so there is no strength to state."
    if group.control:
        return f"{count}, straight wire: {shown.loads(group.joint.mean_n)} {unit} on average."
    parts = []
    for population in group.populations:
        mean = shown.load(population.mean_n)
        if population.mean_low_n is not None:
            mean += f" ({shown.load(population.mean_low_n)} to {shown.load(population.mean_high_n)})"
        parts.append(f"{population.n} {population.mode} at {mean} {unit} on average")
    share = group.unwound_share
    if group.unwound:
        parts.append(f"{percents(share, 0)} % of pieces unwind")
    elif share.high is not None:
        parts.append(f"none of {group.ended} unwound, so up to {percent(share.high, 0)} % still may")
    joint, over = group.joint, group.joint.efficiency_over_control
    if joint.mean_n.value is not None:
        text = f"one joint breaks at {shown.loads(joint.mean_n)} {unit}"
        text += ", if it does not unwind first" if group.unwound else ""
        parts.append(text + (f", {percents(over)} % of the control wire" if over.value is not None else ""))
    elif joint.mean_n.low is not None:
        parts.append(
            f"breaking: half of all joints hold more than {shown.load(joint.mean_n.low)} {unit}, no more can be said"
        )
    return f"{count}: {'; '.join(parts)}."


def _whys(result: PullsResult, shown: PullFormat) -> list[Block]:
    items = tuple(remark_line(g.why, shown.units) for g in result.groups if g.why)
    says = [replace(g.joint.says, place=g.name) for g in result.groups if g.joint.says and not g.control]
    items += tuple(remark_line(finding, shown.units) for finding in says)
    return [Heading("Why the two differ", 3), Bullets(items)] if items else []


def methods_table(keys: tuple[str, ...] = ()) -> Table:
    """The methods of these keys (none: all), with their sources."""
    rows = tuple((m.key, m.name, m.says, m.source, m.checked) for m in METHODS if not keys or m.key in keys)
    heading = ("key", "method", "what it does", "source", "checked in")
    return Table("Methods", heading, rows, (0, 1, 2, 3, 4), printed_only=True)


def _coverage(result: PullsResult) -> list[Block]:
    """How often the limits for one joint hold: a sentence and the table."""
    words = Para(coverage_words(result))
    if not result.coverage:
        return [words]
    rows = tuple(
        (
            row.case, str(row.pieces), percent(row.censored, 0), f"{row.estimated:,} of {row.benches:,}",
            percent(row.mean), percent(row.sd), percent(row.tolerance),
        )
        for row in result.coverage
    )  # fmt: skip
    heading = (
        "simulated benches", "pieces", "not failed at a joint, %", "benches with an interval", "mean held, %",
        "SD held, %", "95/95 held, %",
    )  # fmt: skip
    note = (
        "Claim: 95 %. Two joints a piece, seeded (scripts/studies/pull_coverage.py). Cases named otherwise break an "
        "assumption on purpose, to show what that costs."
    )
    title = "How often the limits of M5 were found to hold"
    return [words, Table(title, heading, rows, (0,), note, ("M5",), printed_only=True)]
