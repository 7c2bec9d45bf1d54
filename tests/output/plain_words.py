"""Words that people at a bench do not use, and what is written in their place; language of files and options."""

from __future__ import annotations

import re
from typing import Final

PLAIN: Final[dict[str, str]] = {
    r"LOCKS, BUT|\bthe first locks\b": "estimate: breaks early, 392 N; the good joint 837 N",
    r"(?i)smallest safe pair": "fewest counts estimated to lock",
    r"\bIt holds about\b|(?i:over weakest to strongest wire)": "expected 837 N (407 to 926 N)",
    r"(?i)what gives way first": "weakest point",
    r"(?i)\bmodels? (?:[A-Z], )*[A-Z] (?:speaks?|spoke)\b|\bmost cautious of those\b": "from model R, the most conservative valid here",
    r"(?i)\b(?:speaks?|spoke|silent|silence)\b": "governs, applies; not applicable because",
    r"(?i)friction of published tests": "friction from common practice (no source)",
    r"(?i)it would take more than the wire": "locked: the wire breaks first",
    r"(?i)page to turn it on": "an interactive 3-D page",
    r"(?i)can be used with care": "off the recipe; pull test before use",
    r"(?i)proven to be the least": "least stock possible (proven)",
    r"(?i)\ba rest is kept\b|\brests are kept\b": "offcuts are kept",
    r"(?i)\bspares? will do\b|\bsuch batches\b": "one spare is enough in 80 of 100 batches",
    r"\bin in\b": "distances in inches",
    r"(?i)open what presses": "make room",
    r"(?i)what a bend takes off": "strength lost at a bend is calculated, not tested",
    r"(?i)\bgravest\b": "most severe",
    r"(?i)\bcame? to no rest\b": "did not converge",
    r"(?i)says about nothing": "model L: near zero",
    r"(?i)range that is sensible|values are left open": "green: usual range; grey: not set, worked out",
    r"(?i)rows (?:that|which) cannot be read": "unreadable rows",
    r"(?i)fault of helix itself": "internal error",
    r"\b\d+ of \d+ (?:pieces )?(?:then )?holds?\b(?! more)": "plan with",
    r"(?i)\bload cells? that speaks?|\bcrews?\b|\bthe door\b": "worker pool; request validation",
    r"(?i)\b(?:wished?|meant) by\b|\bdoubt\b": "suggestion, inconsistency",
}
"""What stands nowhere, as a pattern, and what is better."""
FILE_LANGUAGE: Final = re.compile(
    r"(?<![\w/.])[a-z]+_[a-z_]+\b(?!\.\w)|(?<![\w-])--[a-z][a-z-]+|\b[a-z_]+ = (?:\"|\d)|\bin the recipe\b|\brecipe file\b|\bTOML\b|\bhelix (?:hold|shape|pulls|cut|inspect|choose|why|form|stretch|draw|sizes)\b"
)
"""Keys, options and names of files, which stand in terminals and in help alone."""
HINTS: Final = re.compile(
    r"--(?:all|table|family|material|by)\b(?! \")|Then: helix pulls template pulls\.csv|Type next, then helix hold joint\.toml: helix new joint\.toml(?: --\w+ (?:\"[^\"]+\"|inch))+"
)
"""What the last line of an answer in a terminal says may be typed next."""
DECIMAL_TURNS: Final = re.compile(r"(?<![\d.])\d*\.\d+ (?:of a )?turns?\b(?! \d+/\d+ turn)")
"""No hand makes 0.49 turn: quarters of a turn. In a table the row of the turns may follow on a number."""


def unplain(text: str) -> list[tuple[str, str]]:
    """What stands in a text that should not, and what is better."""
    return [(match[0], better) for pattern, better in PLAIN.items() for match in re.finditer(pattern, text)]


def file_language(text: str) -> list[str]:
    """Keys and options in a text, each with what is round it; the tests that a method names may stand there."""
    text = re.sub(r"\b(?:tests|validation)/[\w/ ]*?\. ?py", "", text)
    return [text[max(match.start() - 40, 0) : match.end() + 40] for match in FILE_LANGUAGE.finditer(text)]
