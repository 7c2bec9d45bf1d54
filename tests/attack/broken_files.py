"""Files that were good and are broken now: bytes lost, doubled, swapped, and values that no file should have."""

from __future__ import annotations

import re

from hypothesis import strategies as st

Drawn = st.DrawFn

ODD_VALUES = (
    "0", "-0", "-1", "-1e-9", "1e-320", "5e-324", "1e-12", "1e12", "1e308", "1e309", "nan", "-inf", "inf", "0x10", "1_000",
    "1,5", "9" * 400, "0." + "0" * 400 + "1", "+5", "5.", ".5", "1e", "true", "false", "[]", "{}", '""', '" "', '"5 mm"',
    '"1e-320 mm"', '"1e300 mm"', '"nan mm"', '"5 mm +- 5 mm"', '"-3 d"', '"0 d"', '"999 d"', '"1000 d"', '"1e-9 d"', '"90 deg"',
    '"179.999 deg"', '"0.001 deg"', '"5 lbf"', '"1e-320 N"', '"\\u0000"', '"\\ud800"', "'''", '"""', "1979-05-27", "[[1]]",
    "[" * 3000, "{a=" * 200, "\u00bd", "\u0661", "=SUM(A1)", "5 mm", "x" * 10_000,
)  # fmt: skip
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
_QUOTED = re.compile(r'"[^"\n]*"')
_BYTES = (
    b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\x1a", b"\x1b[31m", b"\xc2\xa0", b"\xe2\x80\xa8", b'"', b"'",
    b",", b";", b"\t", b"#", b"[", b"]", b"{", b"}", b"=", b"\\", b"\n", b"\n\n",
)  # fmt: skip


@st.composite
def broken_files(draw: Drawn, good: str) -> bytes:
    """A file with one to three things done to it."""
    content = good.encode()
    for _ in range(draw(st.sampled_from([1, 1, 1, 2, 3]))):
        content = draw(st.one_of(*[way(content) for way in _WAYS]))
    return content


@st.composite
def _value(draw: Drawn, content: bytes) -> bytes:
    """One of its values by an odd one."""
    text = content.decode("utf-8", "surrogateescape")
    places = [*NUMBER.finditer(text), *_QUOTED.finditer(text)]
    if not places:
        return content
    place = draw(st.sampled_from(places))
    odd = draw(st.one_of(st.sampled_from(ODD_VALUES), st.floats(width=64).map(repr), st.integers(-3, 2000).map(str)))
    return (text[: place.start()] + odd + text[place.end() :]).encode("utf-8", "surrogateescape")


@st.composite
def _number(draw: Drawn, content: bytes) -> bytes:
    """One of its numbers a few powers of ten larger or smaller: it still reads."""
    text = content.decode("utf-8", "surrogateescape")
    places = list(NUMBER.finditer(text))
    if not places:
        return content
    place = draw(st.sampled_from(places))
    changed = f"{float(place[0]) * 10.0 ** draw(st.floats(-4.0, 4.0)):.4g}"
    return (text[: place.start()] + changed + text[place.end() :]).encode("utf-8", "surrogateescape")


@st.composite
def _line(draw: Drawn, content: bytes) -> bytes:
    """A line lost, doubled or moved."""
    lines = content.split(b"\n")
    k, m = (draw(st.integers(0, len(lines) - 1)) for _ in range(2))
    way = draw(st.sampled_from(["lost", "doubled", "swapped", "joined"]))
    if way == "lost":
        del lines[k]
    elif way == "doubled":
        lines.insert(m, lines[k])
    elif way == "swapped":
        lines[k], lines[m] = lines[m], lines[k]
    else:
        lines[k : k + 2] = [b"".join(lines[k : k + 2])]
    return b"\n".join(lines)


@st.composite
def _byte(draw: Drawn, content: bytes) -> bytes:
    """Bytes put in, taken out, or the rest cut off."""
    at = draw(st.integers(0, len(content)))
    way = draw(st.sampled_from(["in", "in", "out", "cut"]))
    if way == "in":
        return content[:at] + draw(st.one_of(st.sampled_from(_BYTES), st.binary(min_size=1, max_size=3))) + content[at:]
    if way == "out":
        return content[:at] + content[at + draw(st.integers(1, 6)) :]
    return content[:at]


@st.composite
def _cells(draw: Drawn, content: bytes) -> bytes:
    """Every comma another separator, or every line another ending."""
    old, new = draw(
        st.sampled_from([(b",", b";"), (b",", b"\t"), (b".", b","), (b"\n", b"\r\n"), (b"\n", b"\r"), (b" ", b"")])
    )
    return content.replace(old, new)


_WAYS = (_value, _value, _number, _number, _number, _number, _line, _byte, _cells)
