"""A page of steps in a browser: it goes by key and button."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.teaching.animation import steps_html
from helix.output.teaching.step_pictures import step_canvas
from tests.output.teaching.lessons import small
from tests.tools.browser import Visit


def test_a_page_of_steps_goes_by_key_and_button(browser: Any, tmp_path: Path) -> None:
    bench, steps = small()
    pictures = [canvas_svg(step_canvas(bench, step, (300, 200))).encode() for step in steps[:4]]
    file = tmp_path / "steps.html"
    file.write_text(steps_html(bench, steps[:4], pictures, "svg+xml"), encoding="utf-8")
    visit = Visit(browser, file)

    def shown() -> list[int]:
        figures = visit.page.locator("figure").all()
        return [k + 1 for k, figure in enumerate(figures) if figure.is_visible()]

    assert shown() == [1]
    for press, wanted in (
        ("ArrowRight", 2),
        ("End", 4),
        ("ArrowRight", 4),
        ("ArrowLeft", 3),
        ("Home", 1),
        ("ArrowLeft", 1),
    ):
        visit.page.keyboard.press(press)
        assert shown() == [wanted], press
    visit.page.click("#on")
    assert shown() == [2]
    visit.page.locator("#which").fill("3")
    assert shown() == [3] and visit.page.locator("figure:visible img").evaluate("img => img.naturalWidth") == 300
    assert (visit.said, visit.elsewhere) == ([], [])
    plain = Visit(browser, file, (390, 800), scripts=False)
    assert plain.page.locator("figure:visible").count() == 4 and not plain.page.locator("nav").is_visible()
