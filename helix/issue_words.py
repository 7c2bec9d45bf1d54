"""What is said of an input that cannot be used: one sentence a code, its values put in. Nothing reads them back.

got, wanted, give and the like are fragments ready to stand in a sentence; numbers beside them are for programs.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

OF_TWO: Final[Mapping[str, str]] = {
    "why": "changes are tried by what they do to unwinding, which no model says of four strands; the pair's load stands in the "
    "estimate of its hold, what is wrong with its bends in its shape",
    "table": "turns and wraps decide whether a joint unwinds, which no model says of four strands; pull three of each pair of counts",
    "stretch": "how four strands share a load no model says; between the joints two wires stretch half as much as one does",
    "link": "how two wires share the bend over another is not modelled; link the same joint in one wire for the sharpest of it",
    "simulate": "one rod is simulated, not four strands in contact; pull three such joints",
    "sweep": "the closed forms are of one wire; shape each joint",
}
"""Why a study knows one wire only, not two worked as one, and what does instead."""
WORDS: Final[Mapping[str, str]] = {
    # a file
    "a-folder": "must be a {kind}; got a folder",
    "not-a-file": "must be a regular file; got a device or a pipe",
    "too-large": "must be at most {most} kB for a {kind}; got {got}",
    "other-kind": "this is a {got}; a {name} is needed: {start}",
    "no-such-file": "no such file in {folder}; {start}",
    "unreadable": "cannot be read: {why}",
    "no-file-name": "cannot be the name of a file",
    "not-utf-8": "must be saved as UTF-8 text; got {got}",
    "not-text": "must be a text file; got binary data",
    "empty": "is empty: {needs}",
    "no-key": "holds no key: {needs}",
    "too-many-points": "must hold at most {most} points",
    "too-deep": "holds a number or a nesting too long to read",
    "repeated": "a key or table must stand once in a file; this one repeats: {got}",
    "not-toml": "is not TOML: {reason}{got}",
    # one value
    "missing": "is missing: give {give}",
    "unknown-key": "is not a key {of}{hint}",
    "unknown-keys": "is not a key {of}, nor are {more} more keys after it",
    "wrong-type": "must be {wanted}; got {got}{hint}",
    "not-a-table": "must be a table, [{table}] on a line of its own; got {got}",
    "not-a-quantity": "must be {wanted}; got {got}{hint}",
    "no-unit": "must be {wanted}; got {got}, which has no unit ({offered})",
    "wrong-dimension": "must be {wanted}; got {got}, which is {dimension}",
    "out-of-range": "must be {wanted}; got {got}",
    "not-a-choice": "must be {wanted}; got {got}{hint}",
    "null": "must have a value or be left out; got null",
    # values beside each other
    "conflict": "must not stand beside {other}: {instead}",
    "incomplete": "must have {needed} beside it, to give a lay",
    "needless": "must be left out where {other} is 0",
    "disagree": "must agree with {first} within {within}: it gives a lay of {lay}{count}, {first} says {first_lay}",
    "not-its-size": "must be within {within} of {size}, or stand without it; got {got}, {off} off",
    "off-table": "must be {low:g} to {high:g} times its table's {table}, or it is another wire or another unit; got {got}, "
    "{times:.2g} times it",
    "crossings-as-turns": "{count:g} looks like a count of crossings (half turns): turns = {count:g} in this length "
    "gives a lay of {lay}, crossings = {count:g} gives {twice}; write crossings{agrees}",
    "turns-as-crossings": "{count:g} looks like a count of turns: turns = {count:g} agrees with {first}",
    "swamps": "must be at most {part} {measure}, {most}, or it swamps the {measure}; got {got}",
    "too-sharp": "must be above {least_deg:.2f} deg, the angle that the barrel itself has to the standing leg; "
    'got "{angle_deg:.6g} deg"',
    "too-steep": "must be at most 45 deg, the angle at a lay of pi d (3.14 d): in a shorter lay the legs move off d/2; "
    'give lay_length instead; got "{angle_deg:.6g} deg"',
    "too-long": "must be at most {wanted}; got {got}",
    # a plan
    "not-named": 'must be named: write [wire.thin] for [wire], and wire = "thin" in the pieces',
    "too-many": "must be at most {most} pieces in all",
    "same-name": "must differ from that of {other}; got {got}",
    "reserved-name": "must have another name than {name}, which is an end without a joint",
    "mass-of-length": "must give a length of {wanted}; it gives {length_mm:.3g} mm",
    # a table of rows: pull tests, curves
    "is-empty": "must {wanted}; it is empty",
    "not-that-coding": "starts as {coding} text but is not; save it as CSV UTF-8",
    "zero-bytes": "must be text (CSV); it holds zero bytes, as a workbook or a picture does",
    "file-too-large": "must be at most {most_mb} MB",
    "not-csv": "cannot be read as CSV: {why}",
    "column-missing": "column {column}{offered} is missing{hint}",
    "column-twice": "column {column} must be there once; got {times}",
    "column-not-mapped": "column {column} of the mapping {what}",
    "column-beyond": "must have a column {column}, as the mapping says; it has {columns}",
    "row-length": "must have {cells} cells, as the heading has; got {got}{hint}",
    "id-twice": "must be there once; {id} stands in row {row_before} already",
    "no-pieces": "has no pieces: fill in a row for each under the heading",
    "none-tested": "none of its {pieces} pieces has been tested yet",
    "none-with-joints": "must have pieces with joints; there are none",
    "none-alike": "must have straight wire of this size, or pieces of it with {turns:g} turns and {wraps:g} wraps; there are none",
    "off-the-table": "must break near the table's {usual_n:.0f} N; straight wire broke at {mean_n:.0f} N: check size and unit",
    "no-strength-known": "must have straight-wire controls in the file, as the recipe's {material} has no strength at this "
    "size; got {got}",
    "few-points": "must have at least {least} points; got {points}",
    "and-more": "and {more} more {what}",
    "not-opened": "must be opened too: it is not among the files, {files}",
    # readings of a joint
    "no-reading": "must be given, one at least, of {known}",
    # a shape that cannot exist
    "lay-too-short": "must give a lay above {least:g} d: {of} cannot be laid shorter than {least:g} d, however far its "
    "{parts} stand apart, and {usual:g} d is usual; got {lay}",
    "not-for-two": "must be {wanted} for two wires worked as one: anything else is not modelled",
    "no-joint": "must be above 0, or [barrel] wraps must; got 0 of both, which is no joint",
    # what is linked
    "throat-too-narrow": "must leave at least {least_deg:g} deg between the eye legs of what is linked; it leaves {between_deg:.2g} deg",
    "eye-too-small": "must be at least {other}, the wire that is to go through this eye; got {pin}",
    "ring-too-thick": "must be at most {pin}, the pin that the eye is made round, or it does not fit; got {other}",
    "ring-too-thin": "must be at least {least}, a tenth of the wire that hangs on it, which it would cut; got {other}",
    "ring-too-wide": "must be at most {most}, {times} times the ring's bar; got {inside}",
    "ring-too-small": "must be more than {wire}, the wire that is to hang in it; got {inside}",
    "no-room-to-link": "must leave room for the eye to bear: in an eye made round {pin} the wires would run through each other",
    # a shape that cannot exist
    "eye-cannot-close": "{pin} is too small for the eye to close with {between_deg:.0f} deg between the eye legs{why}: "
    "{hint}",
} | {f"{study}-of-two": "must be 1 here; got {got:g}: " + because for study, because in OF_TWO.items()}


def issue_message(code: str, values: Mapping[str, object]) -> str:
    """Return the sentence of a code with its values.

    Parameters
    ----------
    code : str
        A key of `WORDS`.
    values : mapping
        What its words name.

    Returns
    -------
    str
        One sentence or two.

    Raises
    ------
    KeyError
        For a code without words, or a value that is missing.

    Examples
    --------
    >>> issue_message("out-of-range", {"wanted": "0 or more", "got": "-1"})
    'must be 0 or more; got -1'
    """
    return WORDS[code].format(**values)
