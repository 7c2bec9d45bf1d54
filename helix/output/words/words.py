"""The words for a result: the answer in a line, names of parts and bends, a sentence for each finding.

Tables, drawings and pictures say the same thing because they all take their words from here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from helix.errors import one_line
from helix.mechanics import limits
from helix.model.joint.section_names import section_name
from helix.units import MM_PER_INCH, UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.shape.outline import Outline
    from helix.studies.shape.shape import ShapeResult

GRAVE = ("sharp", "overlap", "fault")
_TOUCHING_D = 5e-7  # a gap that shows as 0
_PAIRS = {"entry": "first bend", "exit": "exit bend"}
_BENDS = {
    "entry_standing": "first bend, standing leg",
    "entry_tag": "first bend, tag",
    "exit_standing": "exit bend, standing leg",
    "exit_tag": "exit bend, tag",
}


def bend_name(name: str) -> str:
    """What people call a bend.

    >>> bend_name("exit_tag")
    'exit bend, tag'
    """
    return _BENDS.get(name, name.replace("_", " "))


def answer_line(result: ShapeResult, units: UnitSystem) -> str:
    """How much wire to cut, its interval and its parts, in one line: "Cut 712 mm (705 to 720): ..."."""
    cut, finish = result.cut, result.recipe.finish
    shown, unit = format_length(cut.total_mm, units).split()
    decimals = len(shown.partition(".")[2])
    low, high, standing, handle = (
        fixed_length(mm, units, decimals) for mm in (cut.low_mm, cut.high_mm, finish.standing_mm, finish.handle_mm)
    )
    joint = f"{float(shown) - float(standing) - float(handle):.{decimals}f}"  # so that the parts add up as shown
    return f"Cut {shown} {unit} ({low} to {high}): {standing} standing, {joint} joint, {handle} handle."


@dataclass(frozen=True)
class Finding:
    """Something that is not right: how grave, what and where, why, what to do, and where it can be seen.

    severity: "sharp" or "caution" for a bend; "fault", "caution" or "note" for the rest. points_mm: the
    places of the bends, none for a finding about a whole section.
    """

    severity: str
    name: str
    what: str
    why: str
    do: str
    points_mm: tuple[tuple[float, float, float], ...] = ()

    def sentence(self) -> str:
        """All of it in a sentence or two."""
        head = f"{self.what}:" if self.points_mm else f"{self.what}."
        return " ".join(part for part in (head, _sentence(self.why), _sentence(self.do)) if part)


def findings(result: Outline) -> list[Finding]:
    """Every bend that is not ok and every flag, the gravest first; two bends of one cause are one finding."""
    found: list[Finding] = []
    for bend in result.bends:
        if bend.verdict == "ok" or bend.spoke == "hand":  # the barrel's hand is told by its flag
            continue
        told = found[-1] if found else None
        if told and (told.severity, told.why, told.do) == (bend.verdict, bend.reason, bend.remedy):
            pair = _capital(_PAIRS[bend.name.partition("_")[0]]) + ", both legs"
            found[-1] = replace(told, what=pair, points_mm=(*told.points_mm, bend.point_mm))
            continue
        found.append(Finding(
            bend.verdict, bend.name, _capital(bend_name(bend.name)), bend.reason, bend.remedy, (bend.point_mm,)
        ))  # fmt: skip
    for flag in result.flags:
        what = _capital(flag.what.rstrip("."))
        where = section_name(flag.where)
        if flag.where and where.split(",")[0].lower() not in what.lower():
            what += f" ({where})"
        found.append(Finding(flag.severity, flag.where, what, flag.why, flag.do))
    return sorted(found, key=lambda finding: severity_rank(finding.severity))


def verdict_line(result: Outline) -> str:
    """The worst that was found and where, in one short line, or that nothing was."""
    found: dict[str, list[str]] = {}
    for finding in findings(result):
        if finding.severity != "note":
            what = finding.what[0].lower() + finding.what[1:]
            found.setdefault(finding.severity, []).append(what)
    if not found:
        return "No bend is sharp and nothing overlaps."
    return " ".join(f"{word.capitalize()}: {'; '.join(whats)}." for word, whats in found.items())


def sound_line(result: Outline) -> str:
    """What is said when nothing was found."""
    hardest = max(result.bends, key=lambda bend: bend.strain)
    just = "only just " if hardest.strain > limits.ONLY_JUST * limits.STRAIN_OK else ""
    return (
        f"Every bend is {just}within its limits and nothing overlaps. The hardest "
        f"({bend_name(hardest.name)}) has a strain of {hardest.strain:.2f}; the limit is {limits.STRAIN_OK:.2f}."
    )


def gap_line(result: ShapeResult, units: UnitSystem) -> str:
    """Whether parts overlap, touch or stand apart, by how much where it is not 0, and which."""
    clearance, d_mm = result.clearance, result.recipe.wire.diameter_mm
    size = f"{abs(clearance.least_d):.2g} d ({format_length(abs(clearance.least_d) * d_mm, units)})"
    first, second = (section_name(name) for name in clearance.between)
    place = f"within the {first}" if first == second else f"between ({first}) and ({second})"
    if clearance.least_d < -limits.OVERLAP_D:
        return f"Parts overlap by up to {size}, {place}."
    if clearance.least_d < _TOUCHING_D:
        return "Parts touch, none overlap."
    return f"No two parts touch: the least gap is {size}, {place}."


def title_of(result: Outline) -> str:
    """The recipe's title on one line, or a plain one."""
    return one_line(" ".join(result.recipe.title.split())) or "Twisted wire joint"


def is_grave(severity: str) -> bool:
    """Whether a word means that the joint breaks or cannot be made as it stands.

    >>> is_grave("sharp"), is_grave("caution")
    (True, False)
    """
    return severity in GRAVE


def severity_rank(word: str) -> int:
    """Order of the words: what breaks or cannot be made first.

    >>> sorted(["ok", "note", "caution", "sharp"], key=severity_rank)
    ['sharp', 'caution', 'note', 'ok']
    """
    order = (*GRAVE, "caution", "note", "ok")
    return order.index(word) if word in order else len(GRAVE)


def plain_count(value: float) -> str:
    """A count without needless decimals.

    >>> plain_count(5.0), plain_count(1.25)
    ('5', '1.25')
    """
    return f"{value:.2f}".rstrip("0").rstrip(".")


def fixed_length(mm: float, units: UnitSystem, decimals: int) -> str:
    """A length as a bare number with so many decimals, for columns and lists.

    >>> fixed_length(60.0, "metric", 0), fixed_length(60.0, "inch", 2)
    ('60', '2.36')
    """
    return f"{mm / MM_PER_INCH if units == 'inch' else mm:.{decimals}f}"


def _sentence(text: str) -> str:
    """A capital first and a full stop last; nothing of nothing."""
    text = text.strip()
    return text and _capital(text) + ("" if text[-1] in ".!?" else ".")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
