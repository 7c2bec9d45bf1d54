"""The files that the page hands out: each is what its name says, and holds the joint that was asked about."""

from __future__ import annotations

import io
import struct
import tomllib
from typing import Any

import pytest

from helix.errors import ValidationError
from helix.page.answers.downloads import DOWNLOADS, TYPES
from helix.page.answers.examples import lessons
from helix.page.answers.joint_answer import START
from helix.page.answers.recipe_tables import recipe_of_tables
from helix.page.server.worker import name_of, named
from helix.studies.shape.shape import shape
from tests.page.answers.test_panes import SMALL_PLAN
from tests.tools.pdf_text import page_texts

BODY: dict[str, Any] = {"recipe": START, "units": "metric"}
PLAN: dict[str, Any] = {"plan": SMALL_PLAN, "recipes": {"joint.toml": START}}


def made(name: str, **body: Any) -> bytes:
    """A file's bytes, its name and type looked at on the way."""
    title, kind, content = DOWNLOADS[name].run(body, lambda line: None)
    ending = name.rpartition(".")[2]
    assert title.endswith(f".{ending}")
    assert set(title) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
    assert kind == TYPES[ending]
    return content


def pdf_text(content: bytes) -> tuple[int, str]:
    """How many pages, and the words of the first."""
    assert content.startswith(b"%PDF-")
    pages = page_texts(content)
    return len(pages), " ".join(pages[0].split())


def test_a_recipe_reads_back_as_the_same_tables() -> None:
    assert tomllib.loads(made("recipe.toml", **BODY).decode()) == START


def test_numbers_are_those_of_the_shape() -> None:
    from helix.output.report.record import POINTS_HEADER, result_to_dict, to_json

    result = shape(recipe_of_tables(START))
    assert made("record.json", **BODY).decode() == to_json(result_to_dict(result))
    lines = made("points.csv", **BODY).decode().splitlines()
    assert lines[0] == POINTS_HEADER
    length_mm = sum(row.wire_mm for row in result.sections)
    assert float(lines[-1].split(",")[0]) == pytest.approx(length_mm, abs=1e-6)


def test_the_drawing_and_the_page_are_those_of_the_command() -> None:
    from helix.output.shape.drawing import drawing_svg
    from helix.output.viewer.shared_page import page_html

    result = shape(recipe_of_tables(START))
    assert made("drawing.svg", **BODY).decode() == drawing_svg(result, "metric")
    assert made("page.html", **BODY).decode() == page_html(result, "metric")


@pytest.mark.parametrize("name", ["model.stl", "model.glb", "model.ply"])
def test_a_model_is_closed_and_so_many_times_true_size(name: str) -> None:
    import trimesh

    kind = name.rpartition(".")[2]
    sizes = []
    for scale in ("1", "10"):
        content = made(name, **BODY, scale=scale, standing="40 mm", quality="draft")
        body = trimesh.load(io.BytesIO(content), file_type=kind, force="mesh")
        body.merge_vertices(merge_norm=True, merge_tex=True)
        assert body.is_watertight
        sizes.append(max(body.extents))
    assert sizes[1] == pytest.approx(10.0 * sizes[0], rel=1e-5)
    unit = 1000.0 if kind == "glb" else 1.0
    assert 60.0 < sizes[0] * unit < 120.0  # 40 mm of standing leg before a joint of some 30 mm


def test_the_sheet_fits_its_paper() -> None:
    from pypdf import PdfReader

    for paper, size_mm in (("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))):
        content = made("sheet.pdf", **BODY, paper=paper)
        box = PdfReader(io.BytesIO(content)).pages[0].mediabox
        across = sorted(float(side) * 25.4 / 72.0 for side in (box.width, box.height))
        assert across == pytest.approx(sorted(size_mm), abs=0.1)
    assert "My joint" in pdf_text(content)[1]


def test_reports_are_printed_and_shared() -> None:
    assert "LOCKS" in pdf_text(made("hold.pdf", **BODY))[1]
    why = made("why.html", **BODY).decode()
    assert why.startswith("<!DOCTYPE html>")
    assert "My joint" in why


def test_a_cutting_list_is_the_plans() -> None:
    assert "Untitled plan" in pdf_text(made("cut.pdf", **PLAN))[1]
    rows = made("cut.csv", **PLAN).decode().splitlines()
    assert sum("stay" in row for row in rows) >= 4


def test_a_series_has_its_order_and_its_labels() -> None:
    order = made("pulls-order.csv", **BODY, each="3").decode().splitlines()
    pages, text = pdf_text(made("pulls-labels.pdf", **BODY, each="3"))
    assert pages == 1
    assert all(row.split(",")[0] in text for row in order[1:])
    assert made("pulls-template.csv").decode().startswith("id,group,")
    assert set(tomllib.loads(made("pulls-mapping.toml").decode())) == {"load", "extension", "file"}


def test_no_report_is_made_of_rows_that_cannot_be_read() -> None:
    text = "id,group,load,unit,failure\n" + "".join(f"{k},A,{800 + k},N,broke\n" for k in range(6)) + "7,A,x,N,broke\n"
    files = [{"name": "mine.csv", "text": text}]
    with pytest.raises(ValidationError, match="row 8, column load"):
        made("pulls.html", files=files)
    assert "mine.csv" in made("pulls.html", files=files, leave_out=True).decode()
    assert "mine.csv" in pdf_text(made("pulls.pdf", files=files, leave_out=True, recipes={"joint.toml": START}))[1]


@pytest.mark.rendering
def test_pictures_are_pictures(rendering: None) -> None:
    lesson = lessons()[0]
    for content, size in (
        (made("picture.png", **BODY, theme="dark"), (1600, 900)),
        (made("compare.png", recipes=[lesson["good"], lesson["recipe"]]), None),
    ):
        assert content.startswith(b"\x89PNG\r\n\x1a\n")
        found = struct.unpack(">II", content[16:24])
        assert size is None or found == size


@pytest.mark.parametrize(
    ("name", "body", "said"),
    [
        ("model.stl", {**BODY, "scale": "0"}, "scale: must be"),
        ("model.stl", {**BODY, "standing": "long"}, "standing: must be"),
        ("sheet.pdf", {**BODY, "paper": "a0"}, "paper: must be a4 or a3 or letter"),
        ("picture.png", {**BODY, "view": "below"}, "view: must be"),
        ("recipe.toml", {"recipe": {"wire": {}}}, "[eye] pin"),
        ("link.html", {**BODY, "ring": "5 mm"}, "ring_inside: must be given"),
        ("pulls-order.csv", {"expect_load": "700 N"}, "recipes: must be given"),
        ("cut.csv", {"plan": "x"}, "plan"),
    ],
)
def test_bad_input_is_told_at_its_place(name: str, body: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError) as found:
        made(name, **body)
    assert any(said in str(fault) for fault in found.value.faults)


def test_every_file_can_be_made_by_another_process() -> None:
    assert all(named(name_of(each.run)) is each.run for each in DOWNLOADS.values())
