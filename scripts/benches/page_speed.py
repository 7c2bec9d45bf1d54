"""How soon `helix page` follows a hand: ms from a slider's move to the picture of the joint that it makes.

    .venv/bin/python scripts/benches/page_speed.py [moves]

Drags every slider of the joint in headless Chromium without a graphics card, in a window of 1440 x 900, and prints medians and
worst times. Each time runs from the input event to the frame that follows the drawing of its answer, with the
picture read back, so that the drawing is finished. Nothing is asserted: times are those of this machine now. What tests
look at beside (requests, the console) is left alone: each would be held up by it.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

if TYPE_CHECKING:
    from tests.tools.browser import Visit

MOVES = 30
NO_GRAPHICS_CARD = "--enable-unsafe-swiftshader"
KNOBS = """() => {
  for (const folded of document.querySelectorAll("details")) if (folded.querySelector("[data-key]")) folded.open = true;
  const seen = [...document.querySelectorAll("[data-key]")].filter((knob) => knob.querySelector("input[type=range]")?.checkVisibility());
  return seen.map((knob) => knob.dataset.key);
}"""
WAIT_FOR_DRAWING = """() => {
  const { renderer } = helixPage.viewer, gl = renderer.getContext(), one = new Uint8Array(4), draw = renderer.render.bind(renderer);
  renderer.render = (...what) => { draw(...what); gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, one); };
}"""
READY = "() => window.helixPage?.answer && !helixPage.asker.busy && !helixPage.answer.draft"


def dragged(visit: Visit, key: str, moves: int) -> list[float]:
    """Times of the pictures that came while one knob was dragged."""
    page = visit.page
    slider = page.locator(f'[data-key="{key}"] input[type=range]')
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    page.evaluate("() => (helixPage.pace.length = 0)")
    page.mouse.move(box["x"] + 0.30 * box["width"], middle)
    page.mouse.down()
    for move in range(moves):
        page.mouse.move(box["x"] + (0.30 + 0.30 * move / moves) * box["width"], middle)
        page.wait_for_timeout(50)
    page.wait_for_function("() => !helixPage.asker.busy")
    page.wait_for_timeout(50)
    times: list[float] = page.evaluate("() => helixPage.pace")
    page.mouse.up()
    page.wait_for_function(READY)
    page.get_by_role("button", name="Undo").first.click()
    page.wait_for_function(READY)
    return times


def line(name: str, times: list[float]) -> str:
    if not times:
        return f"{name:22} no picture"
    ordered = sorted(times)
    return (
        f"{name:22} {len(times):4} pictures   median {statistics.median(times):5.0f} ms"
        f"   9 of 10 within {ordered[int(0.9 * (len(ordered) - 1))]:5.0f} ms   worst {ordered[-1]:5.0f} ms"
    )


def measure(browser: Any, address: str, moves: int) -> None:
    from tests.tools.browser import Visit

    visit = Visit(browser, address, (1440, 900), watched=False)
    visit.page.wait_for_function(READY)
    visit.page.evaluate(WAIT_FOR_DRAWING)
    knobs = visit.page.evaluate(KNOBS)
    dragged(visit, knobs[0], 5)
    every: list[float] = []
    for key in knobs:
        found = dragged(visit, key, moves)
        every += found
        print(line(key, found), flush=True)
    print(line("together", every))


def main() -> int:
    from tests.page.served import served
    from tests.tools.browser import browser_problem, chromium

    problem = browser_problem()
    if problem or len(sys.argv) > 2 or not all(word.isdigit() for word in sys.argv[1:]):
        print(problem or __doc__)
        return 1 if problem else 2
    moves = int(sys.argv[1]) if len(sys.argv) > 1 else MOVES
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder) / "said.txt") as address,
        chromium(NO_GRAPHICS_CARD) as browser,
    ):
        measure(browser, address, moves)
    return 0


if __name__ == "__main__":
    sys.exit(main())
