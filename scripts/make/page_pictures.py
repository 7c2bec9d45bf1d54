"""Draw the pictures of `helix page` anew: those of the docs into docs/images/, or every pane in every look.

    .venv/bin/python scripts/make/page_pictures.py              docs/images/page-*.png
    .venv/bin/python scripts/make/page_pictures.py --all FOLDER each pane in light, dark and on a phone, to look at

Run it when the page has changed, look at the pictures, and commit those of the docs.
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

if TYPE_CHECKING:
    from tests.tools.browser import Visit

FOLDER = ROOT / "docs" / "images"
PICTURES = ("page-light.png", "page-dark.png", "page-phone.png", "page-finding.png", "page-beside.png")
"""Those of the docs."""
GOOD: dict[str, Any] = {"title": "Logger tether, lower eye (invented)", "wire.size": "MWG 12", "wire.material": "302 stainless",
                        "eye.pin": "6 mm", "twist.turns": 5, "twist.lay_length": "4 d", "exit.style": "gradual", "barrel.wraps": 5}  # fmt: skip
SHARP = GOOD | {"exit.style": "bench", "exit.peak_angle": "120 deg"}
LOOKS: dict[str, dict[str, Any]] = {
    "light": {"size": (1440, 900), "color_scheme": "light"},
    "dark": {"size": (1440, 900), "color_scheme": "dark"},
    "phone": {"size": (390, 844), "color_scheme": "light", "has_touch": True, "device_scale_factor": 2},
}
SETTLED = "() => window.helixPage?.answer && !helixPage.asker.busy && helixPage.hold.state !== 'waiting'"
PATIENCE_MS = 60_000


def opened(browser: Any, address: str, look: str, keys: dict[str, Any], pane: str = "") -> Visit:
    """A visit in one of the looks, once its answer and its hold have come."""
    from tests.tools.browser import Visit

    place = f"{address}#{urlencode(keys | ({'pane': pane} if pane else {}))}"
    visit = Visit(browser, place, **LOOKS[look])
    visit.page.wait_for_function(SETTLED, timeout=PATIENCE_MS)
    visit.page.wait_for_timeout(700)
    return visit


def keep(visit: Visit, path: Path) -> None:
    """Write what is seen as a small PNG."""
    from PIL import Image

    image = Image.open(io.BytesIO(visit.page.screenshot())).convert("RGB")
    image.quantize(256, kmeans=8, dither=Image.Dither.NONE).save(path, optimize=True)
    visit.context.close()
    print(path, flush=True)


def of_the_docs(browser: Any, address: str, folder: Path) -> None:
    for look in LOOKS:
        keep(opened(browser, address, look, GOOD), folder / f"page-{look}.png")
    visit = opened(browser, address, "light", SHARP)
    visit.page.locator(".finding").first.click()
    visit.page.wait_for_timeout(700)
    keep(visit, folder / "page-finding.png")
    visit = opened(browser, address, "light", GOOD, "learn")
    visit.page.locator(".lesson summary").first.click()
    visit.page.wait_for_function("() => helixPage.beside.opened && document.querySelector('.lesson li')")
    visit.page.wait_for_timeout(700)
    keep(visit, folder / "page-beside.png")


def of_every_pane(browser: Any, address: str, folder: Path) -> None:
    for look in LOOKS:
        first = opened(browser, address, look, GOOD)
        names = first.page.evaluate("() => [...helixPage.tabs.panes.keys()]")
        first.context.close()
        for name in names:
            if name != "knobs" or look == "phone":
                visit = opened(browser, address, look, GOOD, name)
                visit.page.wait_for_timeout(2500)
                keep(visit, folder / f"{name}-{look}.png")


def main() -> int:
    from tests.page.served import served
    from tests.tools.browser import SOFTWARE_3D, browser_problem, chromium

    words = sys.argv[1:]
    problem = browser_problem()
    if problem or (words and (len(words) != 2 or words[0] != "--all")):
        print(problem or __doc__)
        return 1 if problem else 2
    folder = Path(words[1]) if words else FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as log,
        served(Path(log) / "said.txt") as address,
        chromium(*SOFTWARE_3D) as browser,
    ):
        (of_every_pane if words else of_the_docs)(browser, address, folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
