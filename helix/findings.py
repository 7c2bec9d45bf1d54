"""What is found of a joint, as data: a code, how severe, where, with which values; and the judgement made of all of it.

A sentence is made of a finding in helix.output.words, and nowhere is a sentence read to learn what it means.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum

from helix.values import Scalar, Values, result


class Severity(IntEnum):
    """How bad a finding is. The one order of severity; the worst of several is their max()."""

    OK = 0
    NOTE = 1
    CAUTION = 2
    SHARP = 3
    FAULT = 4

    @property
    def word(self) -> str:
        """The word for programs and people: "ok", "note", "caution", "sharp" or "fault"."""
        return self.name.lower()


@result
class Finding:
    """One finding.

    code: what it is, for programs and for the table of words, such as "steep-first-bend". place: a section or a bend
    of the joint, or "" for all of it. values: the numbers behind it, units in their names. remedy: code of the advice,
    "" where there is none.
    """

    code: str
    severity: Severity
    place: str = ""
    values: Values = Values()
    remedy: str = ""

    def __getitem__(self, name: str) -> Scalar:
        return self.values[name]


@result
class Judgement:
    """The one verdict on a joint: how severe, the code of the finding that says so ("ok" for none), and all findings.

    findings: the most severe first; those of one severity in the order of the wire.

    >>> steep = Finding(code="steep-first-bend", severity=Severity.SHARP, values=Values(angle_deg=105.0))
    >>> judgement_of([Finding(code="many-turns", severity=Severity.NOTE), steep]).code
    'steep-first-bend'
    >>> judgement_of([]).severity.word
    'ok'
    """

    severity: Severity
    code: str
    findings: tuple[Finding, ...]

    @property
    def is_ok(self) -> bool:
        """Whether nothing asks for more than a caution."""
        return self.severity <= Severity.CAUTION


def judgement_of(findings: Iterable[Finding]) -> Judgement:
    """Return the judgement of findings: the most severe governs, the first of several that are.

    Parameters
    ----------
    findings : iterable of Finding
        In the order of the wire.

    Returns
    -------
    Judgement
    """
    ordered = tuple(sorted(findings, key=lambda finding: -finding.severity))
    worst = max((finding.severity for finding in ordered), default=Severity.OK)
    return Judgement(severity=worst, code=ordered[0].code if worst else "ok", findings=ordered)


def notice(code: str, place: str = "", severity: Severity = Severity.NOTE, /, **values: Scalar) -> Finding:
    """Return a finding of something to keep in mind; its values by their names.

    Parameters
    ----------
    code : str
        What it is.
    place : str, optional
        A part of what was looked at, such as a group of pieces; "" for all of it.
    severity : Severity, optional
        How bad it is.
    **values : str, float, int, bool or None
        The numbers behind it, units in their names.

    Returns
    -------
    Finding

    Examples
    --------
    >>> notice("one-piece", "A", row=2)["row"]
    2
    """
    return Finding(code=code, severity=severity, place=place, values=Values(**values))


def remark(code: str, text: str) -> Finding:
    """Return a note of how something was read; its text is one of its values.

    Parameters
    ----------
    code : str
        What it is.
    text : str
        What it says.

    Returns
    -------
    Finding

    Examples
    --------
    >>> remark("turns-from-length", "turns = 5, from length and lay_length.").severity.word
    'note'
    """
    return Finding(code=code, severity=Severity.NOTE, values=Values(text=text), remedy="check-recipe")
