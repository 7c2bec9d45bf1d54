"""The file of a recipe: whatever it holds, one clear line a fault, and quickly.

Map of what must hold:
  a text reads the same from a file, with or without a byte-order mark, with either end of line
  what is no recipe file is refused by what it is, before it is read where it is too large
  a syntax error names its line and what was likely meant
  no text, however built, takes over two seconds or raises anything but ValidationError
"""

from __future__ import annotations

import os
import re
import time
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.errors import ValidationError
from helix.model.files.toml_file import LARGEST_FILE_BYTES, key_lines
from helix.model.recipe.recipe import RECIPE_TEMPLATE, read_recipe, recipe_from_text
from tests.tools.strategies import recipe_texts

LONGEST_S = 2.0


def fault_of(path) -> str:
    started = time.process_time()
    with pytest.raises(ValidationError) as caught:
        read_recipe(path)
    assert time.process_time() - started < LONGEST_S
    (fault,) = caught.value.faults
    assert str(fault).isprintable() and str(fault).startswith(str(path))
    return str(fault)[len(str(path)) :]


@pytest.fixture
def written(tmp_path):
    def write(data: bytes):
        path = tmp_path / "joint.toml"
        path.write_bytes(data)
        return path

    return write


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "marked"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"], ids=["lf", "crlf"])
def test_a_file_reads_like_its_text(written, mark, ends):
    path = written(mark + RECIPE_TEMPLATE.replace("\n", ends).encode())
    assert read_recipe(path) == read_recipe(str(path)) == recipe_from_text(RECIPE_TEMPLATE)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", ": is empty: a recipe needs at least [wire] and [eye]"),
        (b" \n\t\r\n", ": is empty"),
        (b"\xef\xbb\xbf", ": is empty"),
        (b"# only a comment\n", ": holds no key: a recipe needs"),
        (b"\x7fELF\x00\x01", ": must be a text file; got binary data"),
        (RECIPE_TEMPLATE.encode("utf-16"), ": must be saved as UTF-8 text; got UTF-16"),
        (b'title = "a"\n# caf\xe9\n', " line 2: must be saved as UTF-8 text; got the byte 0xE9"),
        (b"x" * (LARGEST_FILE_BYTES + 1), ": must be at most 100 kB for a recipe; got 100 kB"),
        (bytes(range(1, 256)), " line 2: must be saved as UTF-8 text"),
        (b"\x1b[31m = 1", " line 1: is not TOML"),
    ],
    ids=lambda value: repr(value[:16]) if isinstance(value, bytes) else "",
)
def test_what_is_no_recipe_is_refused_by_what_it_is(written, data, said):
    assert fault_of(written(data)).startswith(said)


def test_a_huge_file_is_refused_without_being_read(tmp_path):
    path = tmp_path / "joint.toml"
    with path.open("wb") as stream:
        stream.truncate(100_000_000)
    assert fault_of(path) == ": must be at most 100 kB for a recipe; got 100 MB"


def test_a_folder(tmp_path):
    assert fault_of(tmp_path) == ": must be a recipe; got a folder"


def test_no_file(tmp_path):
    assert fault_of(tmp_path / "none.toml").startswith(": no such file in ")
    with pytest.raises(ValidationError, match="no such file|cannot be read"):
        read_recipe(tmp_path / "joint.toml" / "none.toml")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "joint.toml")
    assert fault_of(tmp_path / "joint.toml") == ": must be a regular file; got a device or a pipe"


def test_a_file_that_cannot_be_read(written, monkeypatch):
    path = written(b"x")

    def closed(*_arguments, **_named):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "open", closed)
    assert fault_of(path) == ": cannot be read: Permission denied"


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000])
def test_a_name_that_no_file_can_have(name):
    with pytest.raises(ValidationError, match="cannot be"):
        read_recipe(name)


def test_a_name_with_a_break_stays_one_line(tmp_path):
    with pytest.raises(ValidationError) as caught:
        read_recipe(tmp_path / "two\nlines\x1b[0m.toml")
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("lay_length = 4 d", 'a quantity must stand in quotes: lay_length = "4 d"'),
        ("lay_length = 4d  # four", 'a quantity must stand in quotes: lay_length = "4 d"'),
        ("lay_length = 14.7mm", 'a quantity must stand in quotes: lay_length = "14.7 mm"'),
        ("length = 1/4 in", 'a quantity must stand in quotes: length = "1/4 in"'),
        ("turns = 5,5", "a number must have a decimal point: turns = 5.5"),
        ("hand = left", 'a word must stand in quotes: hand = "left"'),
        ("turns = 5\nturns = 6", "a key or table must stand once in a file; this one repeats: turns = 6"),
        ("[twist]", "a key or table must stand once in a file; this one repeats: [twist]"),
        ("turns 5", 'a key and its value are joined by "=": turns = 5'),
        ("turns = ", "is not TOML: Invalid value"),
        ('hand = "left', 'a text must have quotes at both ends: hand = "left"'),
        ("hand = \u201cleft\u201d", 'use straight quotes ("): hand = "left"'),
        ("turns = 05", "a count or a share is a bare number: turns = 5"),
        ("[turns", "is not TOML: "),
        ("turns = (5)", "a count or a share is a bare number, such as turns = 5"),
        ("lay_length = \u201c4 d", 'quotes must be straight, ", one before and one after a text; got lay_length'),
    ],
)
def test_a_syntax_error_names_its_line_and_what_was_likely_meant(written, line, said):
    text = f'[eye]\npin = "6 mm"\n[twist]\n{line}\n[exit]\n'
    number = 4 + line.count("\n")
    assert fault_of(written(text.encode())).startswith(f" line {number}: {said}")


N = LARGEST_FILE_BYTES - 1000
BUILT = {
    "a key of many parts": ".".join("a" * (N // 2)) + " = 1",
    "a table of many parts": "[" + ".".join("a" * (N // 2)) + "]",
    "an inner key of many parts": "x = {" + ".".join("a" * (N // 2)) + " = 1}",
    "many keys of many parts": "\n".join("a." * 190 + f"b{i} = 1" for i in range(N // 390)),
    "deep lists": "a = " + "[" * (N // 2) + "]" * (N // 2),
    "deep tables": "a = " + "{a = " * (N // 5),
    "many keys": "\n".join(f"k{i} = 1" for i in range(N // 11)),
    "many tables": "\n".join(f"[t{i}]" for i in range(N // 9)),
    "many quoted keys": "\n".join(f'"k{i}\\n" = 1' for i in range(N // 15)),
    "a long key": "a" * N + " = 1",
    "a long text": 'title = "' + "a" * N + '"',
    "an endless text": 'title = "' + "a" * N,
    "a long text of lines": 'title = """' + "a\n" * (N // 2) + '"""',
    "many quotes": '"' * N,
    "many backslashes": 'title = "' + "\\" * (N // 2 * 2) + '"',
    "a long integer": "turns = " + "9" * N,
    "a long hexadecimal": "turns = 0x" + "f" * N,
    "a long number": "turns = 1." + "9" * N,
    "a long list": "title = [" + "1," * (N // 2) + "]",
    "a long list of lines": "title = [\n" + "1,\n" * (N // 3) + "]",
    "a long quantity": '[eye]\npin = "' + "9" * N + ' mm"',
    "many words": "x = " + "a " * (N // 2) + "!",
    "many dashes": "x = a" + " -" * (N // 2) + "!",
    "many spaces": " " * N + "= 1",
    "many comments": "#\n" * (N // 2),
    "many fractions": '[eye]\npin = "' + "1/" * (N // 2) + '"',
}


@pytest.mark.parametrize("name", BUILT)
def test_no_text_takes_long_or_says_much(name):
    started = time.process_time()
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(BUILT[name])
    assert time.process_time() - started < LONGEST_S
    assert len(str(caught.value)) < 10_000


@given(st.binary(max_size=200))
def test_any_bytes_are_a_recipe_or_faults(tmp_path_factory, data):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(data)
    with pytest.raises(ValidationError):
        read_recipe(path)


@given(recipe_texts(), st.integers(0, 10_000), st.text(max_size=4), st.integers(0, 8))
def test_a_damaged_recipe_is_a_recipe_or_faults(text, at, put_in, taken_out):
    at %= len(text)
    damaged = text[:at] + put_in + text[at + taken_out :]
    try:
        recipe_from_text(damaged)
    except ValidationError as error:
        assert len(error.faults) == len(str(error).split("\n"))


@given(recipe_texts())
def test_every_key_is_found_on_its_line(text):
    found, lines = key_lines(text), text.split("\n")
    for table, values in tomllib.loads(text).items():
        if not isinstance(values, dict):
            assert lines[found[(table,)] - 1].startswith(f"{table} = ")
            continue
        assert lines[found[(table,)] - 1] == f"[{table}]"
        for key, value in values.items():
            start = f"[{table}.{key}]" if isinstance(value, dict) else f"{key} = "
            assert lines[found[(table, key)] - 1].startswith(start)


def test_lines_are_counted_past_long_texts_and_lists():
    text = '''\
title = """
[wire]
turns = 7
"""
note = [
  "[eye]",  # ]
  'pin = 3',
  [1, 2],
]
[twist] # "
'turns' = 5
"hand" = "left"
exit.leg = "3 d"
'''
    assert key_lines(text) == {
        ("title",): 1,
        ("note",): 5,
        ("twist",): 10,
        ("twist", "turns"): 11,
        ("twist", "hand"): 12,
        ("twist", "exit"): 13,
        ("twist", "exit", "leg"): 13,
    }


def test_a_line_of_a_table_stands_for_a_key_that_is_not_there():
    with pytest.raises(ValidationError) as caught:
        recipe_from_text('title = "x"\n\n[wire]\nsize = "MWG 12"\n[eye]\npin = "6 mm"')
    (fault,) = caught.value.faults
    assert re.match(r"recipe line 3: \[wire\] material: is missing", str(fault))
