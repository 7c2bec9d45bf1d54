"""The words of every finding about pull tests: one text a code, values put in as in finding_words."""

from __future__ import annotations

from typing import Final

from helix.findings import Finding

PULL_WORDS: Final[dict[str, str]] = {
    # the file
    "byte-order-mark": "the file starts with a byte-order mark ({coding}); it was taken off",
    "read-as-windows": "the file is not UTF-8; it was read as Windows-1252. Check names with accents",
    "columns-apart": "columns are set apart by {by}",
    "curve-decimal-commas": "columns are set apart by {by}; numbers with a decimal comma were read as such",
    "column-read-as": 'column "{heading}" is read as {column}',
    "read-as": "{text}",
    "column-not-known": 'column "{heading}" is not known and only kept; did you mean {near}?',
    "decimal-commas": (
        "column {column}: {count} numbers are written with a decimal comma, rows {first_row} to {last_row}; they were read "
        "as such"
    ),
    "rows-left-out": "{count} of {of} rows are unreadable and left out",
    "rows-untested": "{count} rows have neither load nor failure and count as not tested yet",
    "control-by-name": 'group "{group}" is taken as straight-wire controls by its name (no column joints says so)',
    "lay-from-recipe": "no lay is given for {count} pieces; that of the recipe, {lay_d:.3g} d, is taken",
    "joints-at-both-ends": "no column joints: each piece is taken to have a joint at both ends",
    "loads-divided": "loads are divided by {denominator}",
    "counts-alike": "all tests have the same turns and wraps: they cannot say what either of them does",
    "one-count-varied": "only the {varied} were varied: the tests cannot say what {other} do",
    "counts-varied-together": (
        "turns and wraps were varied together: the tests cannot tell which of them holds. Vary one at a time, such as 4 and "
        "5 turns with 5 wraps each, then 5 turns with 2 and 8 wraps"
    ),
    "counts-varied-apart": "turns and wraps were varied apart, so the tests can tell them from each other",
    "calibration": "{text}",
    "recipe-at-fault": "judged {verdict} ({fault:code}): such pieces say nothing of a good joint",
    # a reading
    "two-joints-taken": "where column joints says nothing, a piece is taken to have a joint at each end",
    "no-controls": "there are no straight-wire controls in the file, so nothing is set over the control wire",
    "no-rating": "no rated load is given (column rated_load, or one for all), so nothing is set over it",
    "ratings-differ": "its rows state different rated loads, so nothing is set over the rated load",
    "no-straight-of-coil": "no straight wire is of its size and coil ({coils}), so nothing is set over straight wire",
    "recipe-unusable": "the recipe cannot be used, so nothing is predicted from it: {issue}",
    "peak-and-load-differ": (
        "the curve's peak is {peak_n:load}, the load written down is {load_n:load}; one of the two, or its unit, is wrong"
    ),
    "strength-by-table": "strength of {material} by its table",
    "hold-of-one-joint": "the estimate of holding, of one joint",
    # a group
    "one-piece": "one piece (row {row}): no spread, no interval",
    "no-strength": "no piece broke or unwound: there is no strength to average",
    "two-populations": (
        "{broke} broke and {unwound} unwound: two different things, each with its own mean and never averaged together"
    ),
    "place-not-noted": (
        "{count} broke with the place not noted: counted as joint failures, the careful side. Had they broken clear of the "
        "joints, a single joint would come out stronger"
    ),
    "stands-out": (
        "{id} (row {row}) stands out: {load_n:load} is {off_sd:.1f} SD off, {limit}. It is kept in every number; look for a "
        "cause ({ended})"
    ),
    "speeds-mixed": "the pieces have different speeds: {kinds}",
    "sizes-mixed": "the pieces have different wire sizes: {kinds}",
    "ends-differ": "the joints at the two ends differ, so each recipe is given on its own: {recipes}",
    "joint-and-mean-differ": "one joint averages {total_n:change} against the plain mean: {parts}",
    # one joint
    "straight-wire": "straight wire: it has no joint",
    "end-not-noted": "column end must be a or b where the joints of a piece differ; it is not in rows {rows}",
    "few-failures": "only {failures} of {n} pieces {how}; {needed} are needed for an estimate; {bound}",
    "small-share-failed": (
        "only {failures} of {n} pieces {how}, under {share_needed:percent}: the mean lies beyond all that was seen; {bound}"
    ),
    "loads-alike": "all {failures} loads are alike, so there is no spread to go by; {bound}",
    # turns and wraps
    "few-ended": "{count} pieces that broke or unwound are too few; {needed} are needed",
    "ended-alike": "every piece {unwound:choose:unwound|held}, so nothing shows what the chance depends on",
    "varied-together": (
        "turns and wraps were varied together, so the effect of one cannot be told from that of the other; vary each on its "
        "own, as a plan of pull tests does"
    ),
    "clear-cut": (
        "the pieces are too clear-cut for a chance: {boundary}. Test between, where some unwind and some hold"
    ),
    # groups against each other
    "column-empty": "{count} pieces have nothing in column {column} and are left out",
    "groups-mixed": "holds pieces of {count} groups ({groups}), so their differences are in its spread",
    "pairs-corrected": (
        "{count} pairs are compared: p is corrected for that by Holm's method; each interval stands for its pair alone"
    ),
    "shares-no-column": "they share no {column}, so the difference may be that of the {column}",
    "one-on-a-side": "one piece on a side: no interval",
    # a plan
    "no-cell-named": (
        "no cell was named: the list has common capacities, class 1, resolution assumed 1/10,000 of capacity"
    ),
    "no-cell-will-do": "none of these cells will do",
    "cell-too-small": "too small: {high_n:load} are expected, it takes {capacity_n:load}",
    "cell-too-coarse": "too coarse: {low_n:load} are expected, its class starts at {lower_limit_n:load}",
    "cell-will-do": (
        "will do: {lower_limit_n:load} to {capacity_n:load} is verified, {used_share:percent} of it is used"
    ),
    "staircases": (
        "staircases: after a piece that held take one fewer, after one that unwound one more; write turns and wraps of each "
        "piece into the file. They sit near even odds, where each piece says most"
    ),
    "stair-start": "{count} {start:g}",
    "stair-step": "{count}: one fewer if the last of this stair held, else one more",
    "blocks-uneven": "{pieces} of each do not share out evenly over {blocks} blocks: some blocks have one more",
    "size-by-size": (
        "one size after another, thin wire first, so that grips and load cell are changed once a size; a difference between "
        "sizes may be that of the hour"
    ),
    "one-batch": "one batch of wire: what is found holds for that batch",
    "pieces-of-question": (
        "{pieces} of each are ordered, what the question '{question}' takes; another number can be ordered"
    ),
    "pieces-as-usual": "{pieces} of each are ordered; another number can be ordered",
    "wires-as-one": "{wires} wires are worked as one: cut {wires} lengths for each piece",
}
ENDED: Final = {
    "broke_exit": "broke at exit", "broke_barrel_end": "broke at barrel end", "broke_entry": "broke at entry",
    "broke": "broke", "broke_clear": "broke clear", "unwound": "unwound", "grip": "grip", "stopped": "stopped",
}  # fmt: skip
"""How a piece ended, by the word of a pull-test file."""
_ENDINGS: Final = {
    "clear": "broke clear", "grip": "ended at a grip", "unwound": "unwound", "stopped": "were stopped",
}  # fmt: skip
_HOW: Final = {"joint": "failed at a joint", "unwound": "unwound at a joint", "broke": "broke"}


def pull_parts(finding: Finding) -> dict[str, str]:
    """Parts of a text that are there or not by the values; they may hold values of their own."""
    values = finding.values
    match finding.code:
        case "stands-out":
            many = "the limit for this many pieces being {limit_sd:.1f}"
            limit = many if values["beyond"] else "beyond the limit together with the next one"
            return {"limit": limit, "ended": ENDED[str(values["failure"])]}
        case "few-failures" | "small-share-failed" | "loads-alike":
            bound = "a bound only: half of all are stronger than this, at 95 % confidence"
            none = "{n} pieces are too few even for a bound at 95 % (5 are needed)"
            return {
                "how": _HOW[str(values["ending"])], "bound": bound if values["bound_n"] is not None else none,
            }  # fmt: skip
        case "joint-and-mean-differ":
            others = " and ".join(f"{values[name]} {words}" for name, words in _ENDINGS.items() if name in values)
            parts = []
            if values["others_n"] is not None:
                parts.append(f"{{others_n:change}} because {others}: their joints were stronger than the load read")
            if values["weaker_n"] is not None:
                parts.append("{weaker_n:change} because each piece shows the weaker of its two joints")
            return {"parts": "; ".join(parts)}
        case "clear-cut":
            return {
                "boundary": "; ".join(_boundaries(finding)) or "a boundary in turns and wraps together parts the two"
            }
    return {}


def _boundaries(finding: Finding) -> list[str]:
    """What parts those that unwound from those that held, of each count that does."""
    texts = []
    for name in ("turns", "wraps"):
        most, least = finding[f"{name}_unwound"], finding[f"{name}_held"]
        if most is not None and least is not None and float(most) <= float(least):
            if most == least:
                texts.append(f"all below {most:g} {name} unwound, all above held, only at {most:g} both came to pass")
            else:
                texts.append(f"all with {most:g} {name} or fewer unwound, all with {least:g} or more held")
    return texts
