"""Why a joint holds what it holds, on one page: the answer, the load path, the weakest place, what to change."""

from __future__ import annotations

import base64
import math
from html import escape
from typing import Final

from helix.findings import Severity
from helix.output.hold.hold_answers import DO_NOT, UNPULLED, cured_clause, why_answer
from helix.output.hold.hold_report import bends_table, detail_blocks, evidence_blocks, models_table, title_of
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.report.document_html import document_html
from helix.output.words.answer_words import unwinds_words
from helix.output.words.assumptions import hold_assumptions
from helix.output.words.hold_words import deciding_lines, governs_words, model_name, not_modelled_line, place_words
from helix.output.words.sentence_format import joints_words, odds_words
from helix.output.words.story_words import HEADINGS, story_lines
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.why import Change, WhyResult, warned
from helix.studies.judge import judge_held, load_to_plan, pieces_unwound
from helix.units import N_PER_LBF, UnitSystem, format_force, format_line_load


def why_document(why: WhyResult, units: UnitSystem = "metric", charts: bool = False) -> Document:
    """The page as a document; charts: with pictures (they are drawn when it is written as HTML)."""
    result = why.hold
    title = f"Why: {title_of(result, units)}"
    blocks: list[Block] = [Heading(title, 1), why_answer(why, units), *detail_blocks(result, units)]
    blocks += [
        Heading("The one change that helps most"),
        Para(best_line(why, units), strong=True),
        *([Para(then_line(why, units))] if why.then else []),
        Para(sure_line(why)),
        changes_table(why, units),
        *story_blocks(why, units),
        Heading("How the load runs"),
        *(Para(line) for line in path_lines(why, units)),
    ]
    if charts:
        from helix.output.hold.hold_charts import bends_chart, layers_charts, models_chart, path_chart

        blocks += [
            *layers_charts(result, units),
            path_chart(why.load_path, result, units),
            models_chart(result, units),
            bends_chart(result),
        ]
    blocks += [
        Heading("The weakest place"),
        Para(weakest_line(result, units)),
        bends_table(result, units),
        models_table(result, units),
        *evidence_blocks(result),
        Heading("Assumptions"),
        Bullets(hold_assumptions(result)),
        Heading("What would decide"),
        *(Para(line) for line in deciding_lines(result, units)),
    ]
    return Document(title, tuple(blocks))


def story_blocks(why: WhyResult, units: UnitSystem) -> list[Block]:
    """Why each bend at fault is one, under a heading of its own."""
    blocks: list[Block] = []
    for story in why.stories:
        blocks += [Heading(HEADINGS[story.code]), *(Para(line) for line in story_lines(story, units))]
    return blocks


def best_line(why: WhyResult, units: UnitSystem) -> str:
    """The best change with its gain, or that none is worth it."""
    best = why.best
    if best is None:
        sound = judge_held(why.hold).severity < Severity.CAUTION
        return (
            "No change that was tried is worth it: leave the joint as it is."
            if sound
            else "No change that was tried takes away what is found."
        )
    what = f"{best.what[0].upper()}{best.what[1:]}"
    unpulled = UNPULLED if best.result.other is not None else ""
    return f"{what}{unpulled}." if pieces_unwound(why.hold) else f"{what}: {_gain(best, units)}{unpulled}."


def then_line(why: WhyResult, units: UnitSystem) -> str:
    """What helps most after that."""
    if why.then is None or why.best is None:
        return ""
    return f"After that, {why.then.what}: {_gain(why.then, units)}."


def sure_line(why: WhyResult) -> str:
    """How sure that is, in plain words."""
    result = why.hold
    applicable = result.applicable
    if pieces_unwound(result):
        return (
            "How sure: your pieces unwound where the models did not expect it; pull such pieces before you rely on it."
        )
    if (
        why.best is not None
        and (why.best.mends or why.best.cures)
        and (why.best.gain_n == 0.0 or (math.isnan(why.best.gain_n) and load_to_plan(result).use != "do-not"))
    ):
        if why.best.mends:
            return "How sure: practice says so, without a source; no model can put a number to it."
        return "How sure: it is sure of what is found, not of any load: no model puts a number to it."
    if not applicable:
        return "How sure: no model applies to the joint as it is, so the gain cannot be put in numbers; practice points the same way."
    if result.governs_place in ("unwinding",):
        low, high = odds_words(result.probability.models_low), joints_words(result.probability.models_high)
        names = " and ".join(model_name(model.key) for model in applicable)
        agree = "one model applies" if len(applicable) == 1 else f"the models ({names}) say that {low} to {high} unwind"
        return f"How sure: {agree}; none is proven. Pull three of each before you rely on it."
    return (
        "How sure: strength lost at a bend is calculated, not tested; which bend is worst, "
        "and in which direction it gets better, is surer than the load."
    )


def changes_table(why: WhyResult, units: UnitSystem) -> Table:
    """Every change that was tried, the best first."""
    rows = []
    for change in why.changes:
        after = change.result
        held = _plan(after, units)
        gain = "-" if math.isnan(change.gain_n) else _signed(change.gain_n, units)
        mends = "yes" if change.mends or change.cures else ""
        ends = "locks?" if after.verdict == "locks" and after.other is not None else after.verdict
        rows.append((change.what, ends, held, gain, odds_words(after.probability.unwinds), mends))
    now, bound = why.by_models, any(change.before is not why.by_models for change in why.changes)
    as_it_is = f"{now.verdict}, plan with {_plan(now, units)}, {unwinds_words(now.probability.unwinds)}"
    if load_to_plan(why.hold).use == "do-not":
        as_it_is = f"{DO_NOT.lower()}, so no change has a gain over it"
    return Table(
        "Changes that were tried, each alone",
        ("change", "verdict", "plan with", "gain", "joints that unwind", "mends a warning"),
        tuple(rows),
        left=(0, 1),
        note=f"As it is: {as_it_is}. Loads after a change are by the models{', and no higher than pieces bent alike broke at' if bound else ' alone'}.",
    )


def _plan(held: HoldResult, units: UnitSystem) -> str:
    """The load to plan with; a dash where there is none, or none is to be planned with."""
    none = math.isnan(held.plan_with_n) or load_to_plan(held).use == "do-not"
    return "-" if none else format_force(held.plan_with_n, units)


def path_lines(why: WhyResult, units: UnitSystem) -> tuple[str, ...]:
    """The load path in words."""
    path, result = why.load_path, why.hold
    load = format_force(path.load_n, units)
    half = format_force(0.5 * path.load_n, units)
    leg = next((bend.load_proportion for bend in result.breaks if bend.place == "eye"), 0.5)
    lines = [
        (
            f"The standing leg brings {load}. Round the pin it is shared: each eye leg carries half along the axis, {half}, and "
            f"pulls at {leg:.2f} of the load along its own slant."
        )
    ]
    for key, left in path.tag_left_proportion.items():
        if key == "W":
            lines.append(
                "There is no twist that takes anything off the tag, or no model for it: the barrel has to hold half."
            )
            continue
        end = format_force(left * path.load_n, units)
        lines.append(
            f"By model {model_name(key)}, the twist takes it off the tag until it pulls with {end} where the twist ends ({left:.2f} of the load)."
        )
    if result.grip.hinged:
        bending, torsion = (format_force(value, units) for value in (result.barrel.bending_n, result.barrel.torsion_n))
        lines.append(
            f"That the barrel must hold; its first wrap gives way at {torsion} (torsion) or {bending} (bending)."
        )
    press = float(path.contact_n_per_mm.max())
    lines.append(
        f"The legs press on each other, and the wire on the pin, with up to {format_line_load(press, units)}; the barrel has sprung "
        "open a little and sits loose."
    )
    return tuple(lines)


def weakest_line(result: HoldResult, units: UnitSystem) -> str:
    """The weakest place and the runner-up."""
    words = governs_words(result)
    bends = sorted((bend for bend in result.breaks if bend.strain is not None), key=lambda bend: bend.load_n)
    if result.governs_place == "no model":
        worst = bends[0]
        return f"No model says whether it unwinds. Of the bends the {place_words(worst.place)} breaks first, at {format_force(worst.load_n, units)}."
    text = f"{words[0].upper()}{words[1:]}."
    rest = bends[1:] if result.governs_place == bends[0].place else bends[:1]
    if rest:
        text += f" Next: {place_words(rest[0].place)}, at {format_force(rest[0].load_n, units)}."
    warnings = [not_modelled_line(code, result) for code in warned(result)]
    return text + (" Practice warns: " + " ".join(warnings) if warnings else "")


def why_html(why: WhyResult, units: UnitSystem, drawing_svg: str) -> str:
    """The page as one HTML file with charts, and the drawing of the joint under its title."""
    html = document_html(why_document(why, units, charts=True))
    if not drawing_svg:
        return html
    picture = base64.b64encode(drawing_svg.encode("utf-8")).decode("ascii")
    caption = "The joint as the recipe says, seen along the pin."
    figure = (
        f'<figure>\n<img src="data:image/svg+xml;base64,{picture}" alt="{escape(caption, quote=True)}">\n'
        f"<figcaption>{escape(caption)}</figcaption>\n</figure>"
    )
    mark = "<h2>The one change that helps most</h2>"
    return html.replace(mark, f"{figure}\n{mark}", 1)


def _gain(change: Change, units: UnitSystem) -> str:
    before, parts = change.before, list[str]()
    if change.verdict != before.verdict:
        parts.append(f"from {before.verdict} to {change.verdict}")
    if (
        math.isnan(change.gain_n)
        and load_to_plan(before).use == "do-not"
        and (load := _plan(change.result, units)) != "-"
    ):
        parts.append(f"it can then be planned with {load} by the models")
    if not math.isnan(change.gain_n) and abs(change.gain_n) > 0.005 * before.strength_n:
        parts.append(f"plan with {format_force(change.result.plan_with_n, units)}, {_signed(change.gain_n, units)}")
    if (
        not math.isnan(before.probability.unwinds)
        and abs(before.probability.unwinds - change.result.probability.unwinds) > 0.01
    ):
        parts.append(
            f"{unwinds_words(before.probability.unwinds)} before, {odds_words(change.result.probability.unwinds)} after"
        )
    if change.mends:
        parts.append("it mends what practice warns of")
    elif change.cures:
        parts.append(cured_clause(change))
    return "; ".join(parts) or "it helps a little"


_FEW: Final = 10  # of the unit: below, one digit of an estimate says enough


def _signed(newton: float, units: UnitSystem) -> str:
    shown = abs(newton) / N_PER_LBF if units == "inch" else abs(newton)
    text = f"{shown:.1g} {'lbf' if units == 'inch' else 'N'}" if shown < _FEW else format_force(abs(newton), units)
    return "0" if abs(newton) < 0.5 else f"{'+' if newton > 0.0 else '-'}{text}"
