"""Reports of pull tests: one content as text, as a file that opens offline, as a PDF; charts that print in grey."""

from __future__ import annotations

import base64
import csv
import io
import re
from html.parser import HTMLParser
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from helix.model.measured.curve_file import read_mapping
from helix.model.measured.pull_file import pull_file_from_text, read_pull_file
from helix.model.recipe.recipe import read_recipe
from helix.output.pulls.pull_answers import answer_lines
from helix.output.pulls.pull_compare_report import compare_document
from helix.output.pulls.pull_methods import METHOD
from helix.output.pulls.pull_plan_report import labels_pdf, order_csv, plan_document
from helix.output.pulls.pull_rely import first_words
from helix.output.pulls.pull_report import pulls_document
from helix.output.pulls.pull_sentences import comparison_words
from helix.output.report.chart_sheet import chart_file
from helix.output.report.chart_style import BAND, INK, JOINT, MARKS, PLAIN
from helix.output.report.document import Bullets, Chart, Document, Heading, Para, Table, document_text
from helix.output.report.document_html import document_html
from helix.output.report.document_pdf import document_pdf
from helix.output.report.record import record as record_of
from helix.output.report.record import to_json
from helix.output.words.pull_words import PullFormat
from helix.studies.pulls.pull_compare import compare_pulls
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls.pull_predicted import recipes_of
from helix.studies.pulls.pulls import PullsResult, read_pulls
from helix.studies.pulls_plan.pull_plan import PlanResult, Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted
from tests.tools.pdf_text import page_texts
from tests.tools.sampled import sampled

DEMO = Path(__file__).resolve().parents[3] / "docs" / "examples" / "pulls"


@pytest.fixture(scope="module")
def result() -> PullsResult:
    file = read_pull_file(DEMO / "logger-tethers.csv")
    curves, _ = curves_of(file.pieces, DEMO, read_mapping(DEMO / "curves.toml"), file.place)
    return read_pulls(file, None, curves)


@pytest.fixture(scope="module")
def document(result: PullsResult) -> Document:
    file = read_pull_file(DEMO / "logger-tethers.csv")
    recipes, notes = recipes_of(file, DEMO)
    assert notes == ()
    return pulls_document(read_pulls(file, None, result.curves, (), recipes))


@pytest.fixture(scope="module")
def html(document: Document) -> str:
    return document_html(document)


@pytest.fixture(scope="module")
def pdf(document: Document) -> bytes:
    return document_pdf(document)


class Reader(HTMLParser):
    """Gathers the text that is seen, the tags, and whatever points elsewhere."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.seen, self.tags, self.links = "", [], []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag not in ("meta", "img"):
            self.open.append(tag)
        self.links += [value or "" for name, value in attrs if name in ("src", "href", "srcset", "data", "action")]
        if tag == "img":
            assert len(dict(attrs)["alt"] or "") > 40

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "script"):
            self.seen += data + " "


def pages_text(pdf: bytes) -> list[str]:
    """The words of each page of a PDF, as a reader selects them."""
    return [" ".join(text.split()) for text in page_texts(pdf)]


def test_the_file_opens_with_no_network(html: str, document: Document) -> None:
    page = Reader(html)
    assert page.open == []
    assert "script" not in page.tags
    assert "link" not in page.tags
    assert len(page.links) == len(document.charts) == 4
    assert all(link.startswith("data:image/svg+xml;base64,") for link in page.links)
    outside = re.sub(r'"data:image[^"]+"', "", html)
    assert "http" not in outside.replace("http-equiv", "")
    assert "url(" not in outside
    assert "default-src 'none'" in html
    for link in page.links:
        svg = base64.b64decode(link.partition(",")[2]).decode("utf-8")
        assert not re.search(r"(?:href|src)=\"(?!#)", svg)
        assert "<script" not in svg


def test_html_text_and_pdf_say_the_same(document: Document, html: str, pdf: bytes) -> None:
    text, seen = " ".join(document_text(document).split()), " ".join(Reader(html).seen.split())
    for block in document.blocks:
        if isinstance(block, Para):
            assert " ".join(block.text.split()) in text
            assert block.text in seen
        elif isinstance(block, Bullets):
            assert all(item in seen for item in block.items)
        elif isinstance(block, Table):
            assert all(cell in seen for row in block.rows for cell in row)


def test_the_pdf_holds_the_words_the_charts_and_its_fonts(document: Document, pdf: bytes) -> None:
    pages = pages_text(pdf)
    drawn = "".join("".join(pages).split())  # a line may break anywhere
    for block in document.blocks:
        if isinstance(block, (Heading, Para)):
            assert "".join(block.text.split()) in drawn
        elif isinstance(block, Table):
            assert all("".join(cell.split()) in drawn for row in block.rows for cell in row if len(cell) < 16)
        elif isinstance(block, Chart):
            assert "".join(block.title.split()) in drawn
    assert "loadatwhichithappened" in drawn or "load,N" in drawn  # words of a chart can be selected
    for number, page in enumerate(pages, 1):
        assert re.search(rf"\b{number} of {len(pages)}\b", page)
    described = re.findall(rb"/Type /FontDescriptor", pdf)
    assert len(described) == len(re.findall(rb"/FontFile2", pdf)) > 0  # fonts are inside
    assert b"/Type1" not in pdf and b"/Subtype /Image" not in pdf and b"/CreationDate" not in pdf


def test_a_long_table_goes_on_under_its_heading() -> None:
    rows = tuple((f"row {k}", "word " * (k % 40), str(k)) for k in range(200))
    table = Table("Long", ("first", "second", "third"), rows, left=(0, 1))
    pages = pages_text(document_pdf(Document("Long", (table,))))
    assert len(pages) > 4 and all("first second third" in page for page in pages)
    assert re.findall(r"row (\d+)", " ".join(pages)) == [str(k) for k in range(200)]


def test_every_number_leads_to_a_named_method_and_source(document: Document, html: str) -> None:
    used = {key for block in document.blocks if isinstance(block, (Table, Chart)) for key in block.methods}
    assert used <= set(METHOD)
    seen = " ".join(Reader(html).seen.split())
    assert all(METHOD[key].source in seen for key in METHOD)
    without = [
        block.title
        for block in document.blocks
        if isinstance(block, Table)
        and not block.methods
        and block.rows
        and any(c.isdigit() for row in block.rows for cell in row for c in cell)
    ]
    assert without == ["Methods"]


def test_the_report_prints_the_coverage_that_was_found(result: PullsResult, html: str) -> None:
    claimed = [row for row in result.coverage if row.case == "claim" and row.pieces in (10, 30)]
    least = min(min(row.mean, row.sd) for row in claimed)
    most = max(max(row.mean, row.sd) for row in claimed)
    assert f"in {100 * least:.1f} to {100 * most:.1f} % of 2,000 benches a case" in html


def test_plain_and_corrected_stand_beside_each_other_with_the_reason(document: Document, result: PullsResult) -> None:
    text = document_text(document)
    assert "Plain and corrected beside each other, N" in text
    group = result.groups[0]
    assert group.broke is not None
    assert group.joint.mean_n.value is not None
    row = next(
        line for line in text.splitlines() if line.strip().startswith(f"{group.name} ") and "independent" in line
    )
    assert f" {group.broke.mean_n:.0f} " in row
    assert f"{group.joint.mean_n.value:.0f} (" in row
    assert "weaker of its two joints" in " ".join(text.split())


def first_of(rows: str) -> list[str]:
    """The first words of a file of tests, each paragraph a text."""
    file = pull_file_from_text("id,group,load,unit,failure\n" + rows)
    return [para.text for para in first_words(read_pulls(file), PullFormat("metric"))]


def pieces(name: str, failures: list[str]) -> str:
    return "".join(f"{name}{k},{name},{700 + 7 * (k % 5)},N,{how}\n" for k, how in enumerate(failures))


def test_the_loads_that_95_percent_hold_with_95_percent_confidence(document: Document, result: PullsResult) -> None:
    paras = [block for block in document.blocks if isinstance(block, Para)]
    place = next(k for k, para in enumerate(paras) if "Rely on" in para.text)
    paras = paras[place:]
    first = paras[0]
    assert first.text.startswith("136 pulls: 120 pieces with 240 joints and 16 straight wires. Rely on ")
    for group in result.groups:
        if group.control:
            continue
        bounds = [population.tolerance_95_95_n for population in group.populations]
        if len(bounds) == 1 and bounds[0] is not None:
            assert f"{bounds[0]:.0f} N for {group.name}" in first.text
        else:
            assert f"{group.name} ({group.unwound} of {group.ended} unwound)" in paras[1].text
    for words in ("95 % confidence", "whole piece as pulled, not of one joint", "not a rating"):
        assert words in first.text
    without = result.groups[0].without
    assert without is not None and without.tolerance_95_95_n is not None
    assert f"L026 at 612 N, makes it so: {without.tolerance_95_95_n:.0f} N without" in first.text
    screen = " ".join(answer_lines(result, PullFormat("metric")))
    assert not re.search(r"Kaplan|Clopper|Weibull|Fisher|\bM[0-9]", screen)


def test_a_load_to_rely_on_only_where_the_pieces_give_one() -> None:
    (few,) = first_of(pieces("A", ["broke_exit"] * 6))
    assert "6 pieces with 12 joints. Rely on " in few and "N for A (from only 6 pieces)" in few
    (unwound,) = first_of(pieces("A", ["unwound"] * 12))
    assert "N for A (where they all unwound)" in unwound
    total, none = first_of(pieces("A", ["broke_exit"] * 11 + ["unwound"]))
    assert "Rely" not in total and "A (1 of 12 unwound)" in none
    total, none = first_of(pieces("A", ["grip"] * 11 + ["broke_exit"]))
    assert "Rely" not in total and "only 1 of 12 pieces broke or unwound; a bound only: half of all" in none
    total, none = first_of("A1,A,700,N,grip\n")
    assert total == "1 pull: 1 piece with 2 joints." and "none broke or unwound, too few" in none
    both, none = first_of(pieces("A", ["broke_exit"] * 12) + pieces("B", ["broke_exit"] * 6))
    assert "N for A:" in both and "B (only 6 of 6 pieces broke or unwound, too few)" in none
    assert first_of("c1,control,800,N,broke_clear\n") == ["1 pull: 1 straight wire."]


def test_of_many_groups_the_largest_are_said_first() -> None:
    rows = "".join(pieces(name, ["broke_exit"] * (10 + k)) for k, name in enumerate("ABCDEFGH"))
    first, rest = first_of(rows)
    assert " for H" in first and " for C:" in first and " for B" not in first
    assert rest == "Loads of 2 more groups stand under 95/95 in the table."


@pytest.mark.slow
def test_the_same_report_twice_is_the_same(document: Document, html: str, pdf: bytes) -> None:
    assert document_html(document) == html
    assert document_pdf(document) == pdf


@pytest.mark.parametrize("name", sampled(["pieces", "probability", "curves", "unwinding"], 2))
def test_charts_draw_something_and_keep_inside(document: Document, name: str) -> None:
    from PIL import Image

    chart = next(c for c in document.charts if c.name.startswith(name))
    image = Image.open(io.BytesIO(chart_file(chart, ".png"))).convert("L")
    pixels = np.asarray(image)
    assert image.width == pytest.approx(174.0 / 25.4 * 160, abs=2)
    assert image.height == pytest.approx(chart.height_mm / 25.4 * 160, abs=2)
    assert 0.01 < (pixels < 128).mean() < 0.3
    for edge in (pixels[:3], pixels[-3:], pixels[:, :3], pixels[:, -3:]):
        assert (edge > 250).all()  # nothing is cut off
    assert chart_file(chart, ".svg") == chart_file(chart, ".svg")


def luminance(colour: str) -> float:
    """How light a colour prints in grey, from 0 (black) to 1, by ITU-R BT.709 weights [mem]."""
    channels = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_inks_keep_apart_in_grey_and_marks_without_colour() -> None:
    steps = {
        name: luminance(colour) for name, colour in {"ink": INK, "plain": PLAIN, "joint": JOINT, "band": BAND}.items()
    }
    for one, two in combinations(steps, 2):
        light, dark = max(steps[one], steps[two]) + 0.05, min(steps[one], steps[two]) + 0.05
        assert light / dark > 1.2, (one, two)
    assert len({(shape, filled) for shape, filled, _ in MARKS.values()}) == len(MARKS)
    # what carries a number contrasts with paper, WCAG's 3:1 for marks
    assert all(1.05 / (steps[name] + 0.05) > 3.0 for name in ("ink", "plain", "joint"))


def test_units_in_inch_are_converted_everywhere(result: PullsResult) -> None:
    text = document_text(pulls_document(result, "inch"))
    assert not re.search(r"[0-9] N\b", text)
    assert "lbf" in text
    mean = result.groups[0].broke
    assert mean is not None
    assert PullFormat("inch").load(mean.mean_n) == f"{mean.mean_n / 4.4482216:.0f}"


KEYS = {
    "name", "n", "mean_n", "sd_n", "cv", "mean_low_n", "mean_high_n", "tolerance_95_95_n", "tolerance_90_95_n",
    "efficiency_over_control", "efficiency_over_rated", "single_joint", "unwound_share",
}  # fmt: skip


def test_the_record_has_its_keys_in_every_case(result: PullsResult) -> None:
    thin = pull_file_from_text(
        "id,group,load,unit,failure\n1,A,700,N,broke\n2,B,700,N,grip\n3,control,800,N,broke_clear\n"
    )
    for each in (result, read_pulls(thin)):
        record = record_of(each)
        to_json(record)
        assert {"groups", "notes", "schema", "version", "coverage", "methods"} <= set(record)
        for group in record["groups"]:
            assert set(group) >= KEYS
            for part in ("mean_n", "sd_n"):
                assert set(group["single_joint"][part]) == {"value", "low", "high"}
            assert {"value", "low", "high"} <= set(group["unwound_share"])


def test_the_record_is_the_result(result: PullsResult) -> None:
    record = record_of(result)
    group, data = result.groups[0], record["groups"][0]
    assert group.plain is not None
    assert data["mean_n"] == group.plain.mean_n
    assert data["single_joint"]["sd_n"]["high"] == group.joint.sd_n.high
    assert data["efficiency_over_rated"] == group.efficiency.over_rated.value
    assert data["cv"] == pytest.approx(data["sd_n"] / data["mean_n"])


def test_the_record_says_which_load_to_rely_on_as_the_report_does(result: PullsResult) -> None:
    record = record_of(result)
    assert record["answer"] == list(answer_lines(result, PullFormat("metric")))
    said = first_words(result, PullFormat("metric"))[0].text
    for group, data in zip(result.groups, record["groups"], strict=True):
        bounds = [population.tolerance_95_95_n for population in group.populations]
        if group.control:
            assert data["rely_on_n"] is None and data["rely_on_says"] is None
        elif len(bounds) == 1:
            assert data["rely_on_n"] == bounds[0]
            assert f"{bounds[0]:.0f} N for {group.name}" in said
            assert data["rely_on_says"] in said
            assert data["plan_with_n"] == group.populations[0].plan_with_n
            assert f"plan with {data['plan_with_n']:.0f} N" in " ".join(record["answer"])
        else:
            assert data["rely_on_n"] is None
            assert data["rely_on_says"] == f"{group.unwound} of {group.ended} unwound"


def test_the_record_has_a_load_to_rely_on_only_where_the_pieces_give_one() -> None:
    def of(rows: str) -> tuple[float | None, str | None]:
        text = f"id,group,load,unit,failure\n{rows}"
        (group,) = record_of(read_pulls(pull_file_from_text(text)))["groups"]
        return group["rely_on_n"], group["rely_on_says"]

    few, says = of(pieces("A (new)", ["broke_exit"] * 6))
    assert few is not None and few < 700.0 and says == "from only 6 pieces"
    assert of(pieces("A", ["broke_exit"] * 12))[1] == ""
    assert of(pieces("A", ["broke_exit"] * 11 + ["unwound"])) == (None, "1 of 12 unwound")
    assert of("A1,A,700,N,grip\n") == (None, "none broke or unwound, too few")
    assert of("c1,control,800,N,broke_clear\n") == (None, None)


def test_comparison_as_text_and_record() -> None:
    compared = compare_pulls(read_pull_file(DEMO / "logger-tethers.csv"), "group")
    document = compare_document(compared)
    text = document_text(document)
    flat = " ".join(text.split()).lower()  # a line begins with a capital
    assert all(" ".join(comparison_words(c).split()).lower() in flat for c in compared.comparisons)
    assert Reader(document_html(document)).open == []
    record = record_of(compared)
    to_json(record)
    assert len(record["comparisons"]) == 21
    assert "lbf" in document_text(compare_document(compared, "inch"))


@pytest.fixture(scope="module")
def plan() -> PlanResult:
    recipe = read_recipe(DEMO.parent / "logger-tether.toml")
    return plan_pulls(
        [("docs/examples/logger-tether.toml", recipe)],
        Wanted(apart=0.05),
        Setup(each=4, turns=(4.0, 5.0), wraps=(3.0, 5.0)),
    )


def test_the_order_file_reads_back_once_it_is_filled_in(plan: PlanResult, tmp_path: Path) -> None:
    text = order_csv(plan.order, tmp_path)
    lines = text.splitlines()
    names = lines[0].split(",")
    filled = [lines[0]]
    for k, line in enumerate(lines[1:]):
        cells = dict(zip(names, line.split(","), strict=True))
        assert (cells["load"], cells["failure"]) == ("", "")
        cells |= {"load": f"{800 + k}", "failure": "broke_clear" if cells["joints"] == "0" else "broke_exit"}
        filled.append(",".join(cells.values()))
    file = pull_file_from_text("\n".join(filled))
    assert file.faults == ()
    assert len(file.pieces) == len(plan.order) == 21
    assert {(p.turns, p.wraps) for p in file.pieces if not p.control} == {
        (4.0, 3.0),
        (4.0, 5.0),
        (5.0, 3.0),
        (5.0, 5.0),
    }
    assert sum(p.control for p in file.pieces) == 5
    assert (tmp_path / next(p for p in file.pieces if not p.control).recipes[0]).resolve().is_file()


def test_names_in_the_order_file_start_no_formula_and_read_back(tmp_path: Path) -> None:
    recipe = read_recipe(DEMO.parent / "logger-tether.toml")
    setup = Setup(each=3, batches=("=1+1", "-b"), makers=("@Ines", "+Tomo"))
    plan = plan_pulls([("@joint.toml", recipe)], Wanted(apart=0.05), setup)
    text = order_csv(plan.order, Path())
    rows = list(csv.reader(io.StringIO(text)))
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)
    at = {name: k for k, name in enumerate(rows[0])}
    for cells in rows[1:]:
        cells[at["load"]], cells[at["failure"]] = "800", "broke"
    read = pull_file_from_text("\n".join(",".join(cells) for cells in rows))
    assert read.faults == ()
    found = [(piece.cells["batch"], piece.cells["maker"]) for piece in read.pieces]
    assert found == [(row.batch, row.maker) for row in plan.order]
    assert {piece.cells["recipe"] for piece in read.pieces if not piece.control} == {"@joint.toml"}


def test_the_plan_as_text_record_and_labels(plan: PlanResult) -> None:
    text = document_text(plan_document(plan))
    for row in plan.order:
        assert row.id in text
    assert "eye protection" in text
    assert "J in the free length" in text
    to_json(record_of(plan))
    labels = labels_pdf(plan)
    (drawn,) = pages_text(labels)
    for row in plan.order:
        assert re.search(rf"\b{row.id}\b.*batch {row.batch}, maker {row.maker}, block {row.block}", drawn)


def test_names_from_a_file_cannot_break_the_page() -> None:
    name = '<script>alert("x")</script>&$\\frac$'
    rows = "".join(f'{k},"{name.replace(chr(34), chr(34) * 2)}",{700 + k},N,broke_exit\n' for k in range(6))
    result = read_pulls(pull_file_from_text("id,group,load,unit,failure\n" + rows))
    assert result.groups[0].name == name
    document = pulls_document(result)
    page = Reader(document_html(document))
    assert "script" not in page.tags
    assert name in page.seen
    assert document_pdf(document).startswith(b"%PDF")
