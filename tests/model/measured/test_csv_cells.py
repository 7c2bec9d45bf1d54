"""Cells of CSV files: no text starts a formula, every text reads back, numbers stay numbers."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from helix.model.measured.csv_cells import csv_of, escape_formula, read_back
from helix.model.measured.csv_text import parsed
from helix.model.measured.pull_file import pull_file_from_text

STARTS = "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"
TEXTS = st.text(alphabet=f"{STARTS}' ,;\"ax5", max_size=8) | st.text(max_size=12)


@given(TEXTS)
def test_every_text_reads_back_and_none_starts_a_formula(text: str) -> None:
    cell = escape_formula(text)
    assert not cell.startswith(tuple(STARTS))
    assert read_back(cell) == text
    assert cell == text or cell == f"'{text}"


@given(TEXTS, TEXTS)
def test_two_texts_are_two_cells(one: str, other: str) -> None:
    assert (escape_formula(one) == escape_formula(other)) == (one == other)


@given(st.lists(st.tuples(TEXTS.filter(lambda text: "\0" not in text), st.floats(-1e6, 1e6)), max_size=5))
def test_rows_come_back_from_a_reader_of_csv(rows: list[tuple[str, float]]) -> None:
    back = list(csv.reader(io.StringIO(csv_of(rows), newline="")))
    assert [(read_back(text), float(number)) for text, number in back] == rows


def test_the_pull_tests_of_such_names_read_back() -> None:
    names = ["=1+1", "+5", "-x", "@home", "'=q", "plain", "5+5"]
    rows = [(f"{name} {k}", name, 700.0 + k, "N", "broke") for k, name in enumerate(names)]
    text = csv_of([("id", "group", "load", "unit", "failure"), *rows])
    read = pull_file_from_text(text)
    assert read.faults == ()
    assert [(piece.id, piece.group, piece.load_n) for piece in read.pieces] == [row[:3] for row in rows]


def test_a_load_below_nothing_is_a_number_still() -> None:
    assert parsed("id,load\n'=a,-5\n", "x.csv", ["id", "load"]).rows == ((2, ("=a", "-5")),)
