"""Tables of a reading of pull tests, each with the keys of its methods."""

from __future__ import annotations

from dataclasses import replace

from helix.errors import by_rows
from helix.output.pulls.pull_panels import unwinding_chart
from helix.output.pulls.pull_sentences import unwinding_words
from helix.output.report.document import Block, Heading, Para, Table
from helix.output.words.findings.finding_words import explain
from helix.output.words.findings.pull_findings import ENDED
from helix.output.words.pull_words import NONE, PullFormat, numbers, percent, percents, plain_number
from helix.studies.pulls.pulls import PullsResult
from helix.units import MM_PER_INCH, N_PER_LBF


def measured_table(result: PullsResult, shown: PullFormat) -> Table:
    """Plain statistics of what broke and what unwound."""
    rows = []
    for group in result.groups:
        for k, p in enumerate(group.populations):
            limits = NONE if p.mean_low_n is None else f"{shown.load(p.mean_low_n)} to {shown.load(p.mean_high_n)}"
            rows.append((
                group.name if k == 0 else "", p.mode, str(p.n), shown.load(p.mean_n), limits, shown.load(p.median_n),
                shown.load(p.sd_n), percent(p.cv), shown.load(p.least_n), shown.load(p.most_n),
                shown.load(p.tolerance_90_95_n), shown.load(p.tolerance_95_95_n),
            ))  # fmt: skip
    heading = (
        "group", "ended", "n", "mean", "its limits", "median", "SD", "CV %", "least", "most", "90/95", "95/95",
    )  # fmt: skip
    note = (
        "90/95 and 95/95: the load that 90 or 95 % of all such pieces exceed, with 95 % confidence. Pieces that ended at a "
        "grip or were stopped are not in these means."
    )
    return Table(f"What was measured, {shown.force}", heading, tuple(rows), (0, 1), note, ("M1", "M2", "M3"))


def joints_table(result: PullsResult, shown: PullFormat) -> Table:
    """Plain and corrected beside each other."""
    rows = []
    for group in result.groups:
        if group.control or group.by_recipe:
            continue
        plain = shown.load(group.broke.mean_n) if group.broke else NONE
        sd = shown.load(group.broke.sd_n) if group.broke else NONE
        for joint, name in ((group.joint, "independent"), (group.joint_alike, "alike")):
            first = joint is group.joint
            rows.append((
                group.name if first else "", plain if first else "", sd if first else "", name,
                str(joint.failures), str(joint.at_least), shown.loads(joint.mean_n), shown.loads(joint.sd_n),
                shown.load(joint.tolerance_90_95_n), shown.load(joint.tolerance_95_95_n),
            ))  # fmt: skip
        either = group.single_joint_either
        if either.mean_n.low is not None:
            means, sds = (f"{shown.load(e.low)} to {shown.load(e.high)}" for e in (either.mean_n, either.sd_n))
            rows.append(("", "", "", "not known", "", "", means, sds, "", ""))
    heading = (
        "group", "plain mean", "plain SD", "two joints", "failed", "at least", "one joint, mean", "one joint, SD", "90/95", "95/95",
    )  # fmt: skip
    note = "failed: joints that failed at the load read; at least: pieces that only say that both joints are stronger."
    return Table(
        f"Plain and corrected beside each other, {shown.force}",
        heading,
        tuple(rows),
        (0, 3),
        note,
        ("M1", "M4", "M5", "M6"),
    )


def by_recipe_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """Each recipe's joint where the two ends differ."""
    rows = [
        (
            group.name,
            joint.recipe,
            str(joint.failures),
            str(joint.at_least),
            shown.loads(joint.mean_n),
            shown.loads(joint.sd_n),
            explain(joint.says, shown.units).what if joint.says else "",
        )
        for group in result.groups
        for joint in group.by_recipe
    ]
    heading = ("group", "recipe", "failed", "at least", "one joint, mean", "one joint, SD", "")
    title = f"Pieces with two different joints, each recipe on its own, {shown.force}"
    return Table(title, heading, tuple(rows), (0, 1, 6), "", ("M4", "M5", "M6")) if rows else None


def efficiencies_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """Efficiency over the control and over the rated load."""
    rows = []
    for group in result.groups:
        e, joint = group.efficiency, group.joint
        if e.over_control.value is None and e.over_rated.value is None:
            continue
        rows.append((
            group.name, group.plain.mode if group.plain else NONE, percents(e.over_control),
            percents(joint.efficiency_over_control), e.control or "no control",
            percents(e.over_rated), percents(joint.efficiency_over_rated), shown.load(e.rated_n),
        ))  # fmt: skip
    heading = (
        "group", "plain of", "over control: plain", "one joint", "control", "over rated: plain", "one joint",
        f"rated, {shown.force}",
    )  # fmt: skip
    note = (
        "Over the control: against straight wire of the same batch, both measured. Over the rated load: against the "
        "maker's number, which lies below the wire's own strength, so it can pass 100 %. The two are not to be mixed. "
        "Plain of: whether most pieces broke or unwound, which the plain mean is of. One joint: where it breaks."
    )
    return Table("Efficiency, %", heading, tuple(rows), (0, 1, 4), note, ("M8",)) if rows else None


def across_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """Sizes beside each other, and all of them together."""
    rows = tuple(
        (
            line.size or "all sizes together", line.group, str(line.broke), str(line.unwound), shown.load(line.mean_n),
            shown.load(line.label_n), percents(line.over_label, 0), percents(line.over_straight, 0),
            percents(line.unwound_share, 0),
        )
        for line in result.sizes
    )  # fmt: skip
    heading = (
        "size", "group", "broke", "unwound", f"mean, {shown.force}", f"label, {shown.force}", "% of label", "% of straight wire",
        "unwound, %",
    )  # fmt: skip
    note = (
        "Of those that broke, where most did. All sizes together: each piece over its own label and its own straight wire; in "
        "brackets the least and the most of the groups."
    )
    return Table("Sizes beside each other", heading, rows, (0, 1), note, ("M8", "M9")) if rows else None


def endings_table(result: PullsResult) -> Table:
    """How pieces ended, and the share that unwound."""
    used = [w for w in ENDED if any(w in g.counts for g in result.groups)]
    rows = tuple(
        (g.name, str(g.n), *(str(g.counts.get(w, 0)) for w in used), percents(g.unwound_share, 0))
        for g in result.groups
    )
    note = "Share that unwound: of the pieces that unwound or broke, exact limits."
    return Table("Endings", ("group", "n", *(ENDED[w] for w in used), "unwound, %"), rows, (0,), note, ("M9",))


def unwinding_loads_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """Load at which one joint unwinds."""
    rows = tuple(
        (
            g.name,
            str(g.unwinding.failures),
            str(g.unwinding.at_least),
            shown.loads(g.unwinding.mean_n),
            shown.loads(g.unwinding.sd_n),
        )
        for g in result.groups
        if g.unwinding is not None
    )
    heading = ("group", "unwound", "at least", "one joint unwinds at, mean", "SD")
    note = "Pieces that ended otherwise say that their joints would have unwound later. Joints taken as independent."
    return (
        Table(f"Load at which one joint unwinds, {shown.force}", heading, rows, (0,), note, ("M4", "M5", "M6"))
        if rows
        else None
    )


def turns_and_wraps(result: PullsResult) -> list[Block]:
    """What the pieces say of turns and wraps: sentence, table and chart for each wire."""
    out: list[Block] = []
    for unwinding in result.unwinding:
        out.append(Heading(f"Turns and wraps: {unwinding.what}", 3))
        out.append(Para(unwinding_words(unwinding)))
        rows = tuple(
            (
                plain_number(c.turns),
                plain_number(c.wraps),
                str(c.n),
                str(c.unwound),
                percents(c.share, 0),
                percents(c.fitted, 0),
            )
            for c in unwinding.cells
        )
        heading = ("turns", "wraps", "n", "unwound", "share, %", "fitted chance, %")
        out.append(Table("Pieces that unwound, by turns and wraps", heading, rows, (), "", ("M9", "M11")))
        out.append(unwinding_chart(unwinding))
    return out


def weibull_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """Weibull fits."""
    rows = tuple(
        (g.name, "wire" if g.control else "one joint", numbers(g.weibull.shape), shown.loads(g.weibull.scale_n))
        for g in result.groups
        if g.weibull.shape.value is not None
    )
    return (
        Table("Weibull fit", ("group", "of", "shape", f"scale, {shown.force}"), rows, (0, 1), "", ("M7",))
        if rows
        else None
    )


def standing_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """Pieces that stand out, with and without them."""
    rows = []
    for g in result.groups:
        for s in g.standing:
            w, p = g.without, g.plain
            both = w is not None and p is not None and s.mode == p.mode
            rows.append((
                g.name, s.id, str(s.row), shown.load(s.load_n), f"{s.off_sd:.2f}", f"{s.limit_sd:.2f}", ENDED[s.failure],
                f"{shown.load(p.mean_n)} / {shown.load(p.sd_n)}" if both and p else NONE,
                f"{shown.load(w.mean_n)} / {shown.load(w.sd_n)}" if both and w else NONE,
            ))  # fmt: skip
    heading = ("group", "id", "row", "load", "SD off", "limit", "ended", "mean / SD with it", "without it")
    note = "Shown, not dropped: every other number of this report keeps them. Leave a reading out only for a cause that you can name."
    return (
        Table(f"Pieces that stand out, {shown.force}", heading, tuple(rows), (0, 1, 6), note, ("M10",))
        if rows
        else None
    )


def curves_table(result: PullsResult, shown: PullFormat) -> Table | None:
    """What was read from the curves."""
    rows = []
    for c in result.curves:
        e = c.events
        stiff = e.stiffness / (N_PER_LBF / MM_PER_INCH if shown.units == "inch" else 1.0)
        slips = ", ".join(shown.load(d.before - d.after) for d in e.drops[:5]) or "none"
        onset = (
            f"{shown.load(c.onset[1])} at {shown.mm(c.onset[0]) if shown.units == 'inch' else format(c.onset[0], '.2f')}"
            if c.onset
            else NONE
        )
        rows.append(
            (c.id, c.group, ENDED[c.failure], shown.load(e.peak), plain_number(stiff), str(len(e.drops)), slips, onset)
        )
    heading = (
        "id", "group", "ended", f"peak, {shown.force}", f"stiffness, {shown.force}/{shown.length}", "slips",
        f"falls by, {shown.force}", f"unwinding starts, {shown.force} at {shown.length}",
    )  # fmt: skip
    return Table("Read from the curves", heading, tuple(rows), (0, 1, 2), "", ("M17",)) if rows else None


def predicted_blocks(result: PullsResult, shown: PullFormat) -> list[Block]:
    """Predicted bands beside the pieces."""
    rows = []
    groups = {group.name: group for group in result.groups}
    for band in result.predicted:
        if band.group not in groups:
            continue
        pieces = groups[band.group].pieces
        loads = [p.load_n for p in pieces if p.ending in ("joint", "clear", "unwound")]
        inside = sum(band.low_n <= load <= band.high_n for load in loads)
        span = f"{shown.load(band.low_n)} / {shown.load(band.nominal_n)} / {shown.load(band.high_n)}"
        rows.append((band.group, span, f"{inside} of {len(loads)}", explain(band.by, shown.units).what))
    if not rows:
        return []
    heading = ("group", f"predicted low / nominal / high, {shown.force}", "pieces inside", "by")
    note = (
        "Pieces show the weaker of two joints, so they lie in the lower part of a band for one. A band that misses its "
        "pieces is news about the model or the wire, not about the pieces."
    )
    return [
        Heading("Predicted and measured"),
        Table("Predicted band against the pieces", heading, tuple(rows), (0, 3), note, ("M18",)),
    ]


def faults_table(result: PullsResult) -> Table | None:
    """Rows that could not be read."""
    if not result.faults:
        return None
    rows = tuple(
        (
            str(replace(fault.path, file="")) if fault.path.file == result.place and fault.path.row else fault.place,
            fault.message,
        )
        for fault in by_rows(result.faults)
    )
    return Table("Unreadable rows, left out", ("where", "what is wrong"), rows, (0, 1), printed_only=True)
