"""Meaning is data: nothing in helix reads a sentence to learn what it means.

Map of what must hold:
  no module searches, splits, strips or compares a message, a reason, a remedy or the text of an error
  every planted example of such a read is found, every harmless line (a user's own text taken apart) is let through
  every exception that is listed has its reason
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "helix"

# what sentences are called, as the attribute of anything and as a name of its own
ATTRIBUTES = {
    "message", "reason", "remedy", "sentence", "note", "headline", "advice", "text", "what", "why", "do", "say", "place",
    "cause", "verdict_text", "answer_line", "wraps_note", "says",
}  # fmt: skip
NAMES = ATTRIBUTES - {"text", "place", "do"} | {"answer_line", "note_text", "error_text", "words"}
ERRORS = {"error", "problem", "refused", "fault", "issue", "failed", "exc", "err", "caught"}
TAKING_APART = {
    "startswith", "endswith", "removeprefix", "removesuffix", "partition", "rpartition", "split", "rsplit", "splitlines",
    "find", "rfind", "index", "count", "replace",
}  # fmt: skip
PATTERNS = {"search", "match", "fullmatch", "findall", "finditer", "sub"}

EXCEPTIONS = {
    "model/files/toml_file.py": "the TOML reader of Python tells the place and kind of a mistake in its text alone"
}


def is_sentence(node: ast.AST) -> bool:
    """Whether an expression is a finished sentence, by what it is called; or the text of an error."""
    if isinstance(node, ast.Attribute):
        return node.attr in ATTRIBUTES
    if isinstance(node, ast.Name):
        return node.id in NAMES
    if isinstance(node, ast.Call):
        called = node.func
        if isinstance(called, ast.Name) and called.id == "str" and node.args:
            return isinstance(node.args[0], ast.Name) and node.args[0].id in ERRORS
        # a sentence is still one after .lower() and the like
        return (
            isinstance(called, ast.Attribute)
            and called.attr in TAKING_APART | {"lower", "strip"}
            and is_sentence(called.value)
        )
    # and so is a part of one; but what is looked up by name is a field
    return isinstance(node, ast.Subscript) and not _is_words(node.slice) and is_sentence(node.value)


def reads(source: str) -> Iterator[tuple[int, str]]:
    """Line and code of every read of meaning from a sentence."""
    for node in ast.walk(ast.parse(source)):
        read = False
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in TAKING_APART:
                read = is_sentence(node.func.value)
            elif node.func.attr in PATTERNS:
                read = any(is_sentence(argument) for argument in node.args)
        elif isinstance(node, ast.Compare):
            for operator, left, right in zip(node.ops, [node.left, *node.comparators], node.comparators, strict=False):
                if isinstance(operator, ast.In | ast.NotIn):
                    read = read or is_sentence(right) and not isinstance(left, ast.Tuple)
                elif isinstance(operator, ast.Eq | ast.NotEq):
                    sides = (left, right)
                    told = any(is_sentence(one) and not _is_name(one) for one in sides)
                    read = read or told and any(_is_words(one) for one in sides)
        elif isinstance(node, ast.Match):
            read = is_sentence(node.subject)
        if read:
            yield getattr(node, "lineno", 0), ast.unparse(node)[:110]


def _is_name(node: ast.AST) -> bool:
    """Whether it is the place or the remedy of a finding: as a whole a name."""
    return isinstance(node, ast.Attribute) and node.attr in ("place", "remedy")


def _is_words(node: ast.AST) -> bool:
    """Whether it is text written out; the empty text only says whether there is a sentence at all."""
    return (
        isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and node.value != ""
        or isinstance(node, ast.JoinedStr)
    )


def found() -> dict[str, list[str]]:
    every: dict[str, list[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        for _, code in reads(path.read_text(encoding="utf-8")):
            every.setdefault(name, []).append(code)
    return every


PLANTED = [
    'if "looks like a count of" in fault.message: pass',
    'if fault.message.startswith("must give a lay"): pass',
    'x = bend.reason.partition(": ")[2]',
    'x = remedy.removeprefix("Cut ")',
    "m = LEAST.search(fault.message)",
    'm = re.search("least pin", message)',
    'ok = str(error).endswith("mm")',
    'x = str(problem).replace("must be ", "")',
    'sharp = flag.what == "sharp bend"',
    'worst = "sharp" not in verdict.sentence',
    'x = why.split("; ")',
    'told = [note for note in notes if "Group" not in note]',
    'short = words.split(",")[0]',
    'if pair.says.startswith("no difference"): pass',
    'x = message.lower().find("cut")',
    'key = KEY.search(fault.place)',
    "match line.message:\n    case 'x': pass",
]  # fmt: skip
HARMLESS = [
    'if line.startswith("#"): pass',
    'key, _, value = text.partition("=")',
    'found = re.match("[0-9]+", text)',
    'if "turns" in table: pass',
    'if fault.code == "missing": pass',
    'if bend.place == "eye" and finding.remedy == "gradual-exit": pass',
    'x = f"{flag.what}: {flag.why}"',
    'if name in ("message", "reason"): pass',
    "shown = message[:1].upper() + message[1:]",
    'if message == "": pass',
    "x = ', '.join(note for note in notes)",
    'parts = path.name.split(".")',
    'if message["type"] == "http.disconnect": pass',
]  # fmt: skip


@pytest.mark.parametrize("line", PLANTED)
def test_a_read_of_meaning_is_found(line):
    assert len(list(reads(line))) >= 1


@pytest.mark.parametrize("line", HARMLESS)
def test_what_takes_a_users_text_apart_is_let_through(line):
    assert list(reads(line)) == []


def test_nothing_reads_meaning_from_a_sentence():
    every = found()
    left = {name: codes for name, codes in every.items() if name not in EXCEPTIONS}
    assert left == {}
    assert set(EXCEPTIONS) <= set(every)  # one that is needed no longer is taken off the list
