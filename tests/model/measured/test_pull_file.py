"""Files of pull tests: what reads, what is told about it, and every fault with its row and column."""

from __future__ import annotations

from pathlib import Path

import pytest

from helix.errors import ValidationError
from helix.findings import Severity, notice
from helix.model.measured.csv_text import decimal_commas, number
from helix.model.measured.pull_columns import COLUMNS, FAILURES, NEEDED, failure_word, template_text
from helix.model.measured.pull_file import PullFile, pull_file_from_text, read_pull_file

HEAD = "id,group,load,unit,failure\n"
GOOD = HEAD + "1,A,712.5,N,broke_exit\n2,A,700,N,unwound\n"


def written(tmp_path: Path, data: bytes) -> PullFile:
    path = tmp_path / "tests.csv"
    path.write_bytes(data)
    return read_pull_file(path)


def loads(file: PullFile) -> list[float]:
    return [piece.load_n for piece in file.pieces]


def faults(text: str) -> list[str]:
    """Faults of a file, of its rows or of the whole."""
    try:
        return [str(fault) for fault in pull_file_from_text(text).faults]
    except ValidationError as found:
        return [str(fault) for fault in found.faults]


def test_the_least_file_reads_as_it_is() -> None:
    file = pull_file_from_text(GOOD)
    assert loads(file) == [712.5, 700.0]
    assert [piece.ending for piece in file.pieces] == ["joint", "unwound"]
    assert [piece.joints for piece in file.pieces] == [2, 2]
    assert file.faults == ()
    assert file.notes == ()


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_every_coding_delimiter_and_line_end_reads_the_same(
    coding: str, delimiter: str, ending: str, tmp_path: Path
) -> None:
    text = GOOD.replace(",", delimiter).replace("\n", ending)
    file = written(tmp_path, text.encode(coding))
    assert loads(file) == [712.5, 700.0]
    told = {note.code for note in file.notes}
    assert ("byte-order-mark" in told) is (coding != "utf-8")
    assert ("columns-apart" in told) is (delimiter != ",")


def test_spreadsheets_semicolons_and_decimal_commas_read_and_are_told() -> None:
    file = pull_file_from_text("sep=;\nid;group;load;unit;failure\n1;A;712,5;N;broke\n2;A;1,234;kN;broke\n")
    assert loads(file) == pytest.approx([712.5, 1234.0])
    assert notice("decimal-commas", column="load", count=2, first_row=3, last_row=4) in file.notes


def test_a_comma_that_can_be_two_things_is_not_guessed() -> None:
    (fault,) = faults("id;group;load;unit;failure\n1;A;1,234;N;broke\n2;A;700;N;broke\n")
    assert (
        fault
        == 'tests row 2, column load: must be a number; got "1,234", which can be 1.234 or 1234: write one of them'
    )
    # a point elsewhere in the column says that the comma is no decimal mark of this file
    assert len(faults("id;group;load;unit;failure\n1;A;712,5;N;broke\n2;A;700.5;N;broke\n")) == 1
    assert not decimal_commas(["1,234", "2,345"])


def test_a_decimal_comma_between_commas_is_told_as_such() -> None:
    (fault,) = faults(HEAD + "1,A,712,5,N,broke\n2,A,700,N,broke\n")
    assert fault.startswith(
        "tests row 2: must have 5 cells, as the heading has; got 6; is a number written with a decimal"
    )


@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("1,A,x12,N,broke", "load", 'must be a number; got "x12"'),
        ("1,A,712N,N,broke", "load", 'must be a number; got "712N"'),
        ("1,A,,N,broke", "load", "must be a number; it is empty"),
        ("1,A,-5,N,broke", "load", "must be above 0"),
        ("1,A,0,N,broke", "load", "must be above 0"),
        ("1,A,nan,N,broke", "load", 'got "nan"'),
        ("1,A,inf,N,broke", "load", 'got "inf"'),
        ("1,A,1e400,N,broke", "load", "too large"),
        ("1,A,1e99,N,broke", "load", "at most"),
        ('1,A,"1.234,5",N,broke', "load", "without marks between thousands"),
        ("1,A,700,,broke", "unit", "must be N, kN, lbf or kgf; it is empty"),
        ("1,A,700,kg,broke", "unit", "a kilogram is a mass; write kgf"),
        ("1,A,700,n,broke", "unit", "write N for n"),
        ("1,A,700,mm,broke", "unit", "must be N, kN, lbf or kgf"),
        ("1,A,700,N,slipped", "failure", "did you mean grip"),
        ("1,A,700,N,pulled out", "failure", "did you mean unwound"),
        ("1,A,700,N,brok exit", "failure", "did you mean broke_exit"),
        ("1,A,700,N,", "failure", "got nothing"),
        ("1,,700,N,broke", "group", "it is empty"),
        (",A,700,N,broke", "id", "it is empty"),
        ("9,A,700,N,broke", "id", '"9" stands in row 3 already'),
        ("1,control,700,N,unwound", "failure", "for straight wire; got unwound"),
    ],
)
def test_every_fault_names_its_row_and_column_and_the_rest_is_not_lost(row: str, column: str, said: str) -> None:
    before, after = "8,A,690,N,broke\n9,A,691,N,broke\n", "10,A,692,N,broke\n"
    file = pull_file_from_text(HEAD + before + row + "\n" + after)
    (fault,) = file.faults
    assert fault.place == f"tests row 4, column {column}"
    assert said in fault.message and fault.code != "invalid"
    assert loads(file) == [690.0, 691.0, 692.0]
    assert file.notes[0] == notice("rows-left-out", "", Severity.CAUTION, count=1, of=4)


def test_all_faults_at_once() -> None:
    told = faults(
        "id,group,load,unit,failure,joints,turns,size,rated_load\n1,,x,lb,slip,3,-1,MWG 99,12 mm\n2,A,1,N,broke,,,,\n"
    )
    columns = [fault.partition("column ")[2].partition(":")[0] for fault in told]
    assert sorted(columns) == ["failure", "group", "joints", "load", "rated_load", "size", "turns"]


def test_thousands_of_faults_are_cut_short() -> None:
    file = pull_file_from_text(HEAD + "1,A,1,N,broke\n" + "".join(f"{k},A,x,N,broke\n" for k in range(2, 2000)))
    assert len(file.faults) == 201
    assert "and 1798 more faults" in file.faults[-1].message


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it is empty"),
        ("\n\n", "it is empty"),
        ("# only a remark\n", "it is empty"),
        (HEAD, "has no pieces"),
        ("a,b\n1,2\n", "must be a heading with the columns id, group, load, unit, failure"),
        ("id,group,load,failure\n1,A,7,broke\n", "column unit (N, kN, lbf or kgf, in each row) is missing"),
        ("id,grp,load,unit,failure\n1,A,7,N,broke\n", 'column group is missing; did you mean it by "grp"?'),
        ("id,group,load,load,unit,failure\n1,A,7,7,N,broke\n", "column load must be there once; got 2"),
        (HEAD + "1,A,,,\n2,A,,,\n", "none of its 2 pieces has been tested yet"),
        (HEAD + '1,A,7,N,"broke\n2,A,7,N,broke\n', "must be one of broke_clear"),
    ],
)
def test_files_that_cannot_be_used(text: str, said: str) -> None:
    assert any(said in fault for fault in faults(text))


def test_what_is_no_text_is_refused_in_a_line(tmp_path: Path) -> None:
    for data, said in (
        (b"PK\x03\x04\x00\x00", "zero bytes"),
        (b"\xff\xfe\x00\xd8", "starts as UTF-16-LE text but is not"),
    ):
        with pytest.raises(ValidationError, match=said):
            written(tmp_path, data)
    with pytest.raises(ValidationError, match="got a folder"):
        read_pull_file(tmp_path)
    with pytest.raises(ValidationError, match="no such file in "):
        read_pull_file(tmp_path / "none.csv")
    file = written(tmp_path, GOOD.replace("A,712.5", "\u00c4,712.5").encode("cp1252"))
    assert file.pieces[0].group == "\u00c4"
    assert file.notes[0].code == "read-as-windows"


def test_units_and_headings_with_units() -> None:
    text = HEAD + "1,A,1,kN,broke\n2,A,100,lbf,broke\n3,A,10,kgf,broke\n"
    assert loads(pull_file_from_text(text)) == pytest.approx([1000.0, 444.82216, 98.0665])
    assert loads(pull_file_from_text(GOOD.replace("load", "Load (N)").replace("failure", " Failure "))) == [
        712.5,
        700.0,
    ]


def test_controls_by_column_and_by_name() -> None:
    file = pull_file_from_text(HEAD + "1,control,700,N,broke_clear\n2,A,690,N,broke\n")
    assert [piece.control for piece in file.pieces] == [True, False]
    assert file.notes[0] == notice("control-by-name", group="control")
    told = pull_file_from_text("id,group,joints,load,unit,failure\n1,W,0,700,N,broke\n2,W,1,690,N,broke\n")
    assert [piece.joints for piece in told.pieces] == [0, 1]


@pytest.mark.parametrize(
    ("name", "control"),
    [
        ("Control", True),
        ("controls A", True),
        ("straight wire", True),
        ("5+5", False),
        ("uncontrolled", False),
        ("controlled", False),
    ],
)
def test_names_that_mean_straight_wire(name: str, control: bool) -> None:
    assert pull_file_from_text(HEAD + f"1,{name},700,N,broke\n").pieces[0].control is control


def test_rated_loads_as_text_and_bare() -> None:
    file = pull_file_from_text("id,group,load,unit,failure,rated\n1,A,170,lbf,broke,174\n2,A,700,N,broke,174 lbf\n")
    assert [piece.rated_n for piece in file.pieces] == pytest.approx([773.99, 773.99], abs=0.01)
    assert notice("column-read-as", heading="rated", column="rated_load") in file.notes


def test_the_template_has_every_column_first_and_reads_once_filled_in() -> None:
    text = template_text()
    heading = text.splitlines()[0].split(",")
    assert heading == list(COLUMNS)
    assert set(NEEDED) <= set(heading)
    assert all(f"# failure {word}:" in text for word in FAILURES)
    assert faults(text) == ["tests: has no pieces: fill in a row for each under the heading"]
    row = dict.fromkeys(heading, "") | {"id": "1", "group": "A", "load": "7", "unit": "N", "failure": "Broke exit"}
    assert loads(pull_file_from_text(text + ",".join(row.values()) + "\n")) == [7.0]


def test_failure_words_whatever_the_case_and_blanks() -> None:
    assert {failure_word(word.upper().replace("_", " ")) for word in FAILURES} == set(FAILURES)


@pytest.mark.parametrize(("text", "value"), [("7", 7.0), ("7.", 7.0), (".5", 0.5), ("1e3", 1000.0), (" 7.5 ", 7.5)])
def test_numbers(text: str, value: float) -> None:
    assert number(text) == value


def test_a_row_not_tested_yet_is_counted() -> None:
    file = pull_file_from_text(GOOD + "3,A,,N,\n")
    assert (len(file.pieces), file.untested) == (2, 1)
    assert file.notes[-1] == notice("rows-untested", count=1)


def test_a_count_next_to_none_is_refused() -> None:
    """Turns of 9.5e-276 in one row made the fit of friction overflow."""
    file = pull_file_from_text("id,group,load,unit,failure,turns\n1,A,690,N,unwound,9.5e-276\n2,A,690,N,unwound,0\n")
    (fault,) = file.faults
    assert fault.place == "tests row 2, column turns" and "must be 0, or at least 0.01" in fault.message
