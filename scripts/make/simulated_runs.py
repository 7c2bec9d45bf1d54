"""Make the simulated pulls and formings that come with the package, helix/data/simulated.npz.

    .venv/bin/python scripts/make/simulated_runs.py             all of them
    .venv/bin/python scripts/make/simulated_runs.py mid-4 ...   these, beside what the file has already

Some 15 minutes on two cores; needs helix[simulate]. To be run again when KERNEL of helix/mechanics/rod rises.
"""

from __future__ import annotations

import json
import os
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

from helix.mechanics.rod import KERNEL
from helix.model.recipe.recipe import recipe_from_text
from helix.output.simulate.pull_frames import frame_rows
from helix.studies.simulate.forming import Hands, form_joint
from helix.studies.simulate.pull_result import PullRun, Start
from helix.studies.simulate.pulling import PullSetting, pull_once
from helix.studies.simulate.shipped import FILE, FRAMES, form_rows, open_shipped, pack_form, pack_pull

TARGET = Path(__file__).resolve().parents[2] / "helix" / "data" / FILE


def recipe(turns: float = 5, wraps: float = 5, lay: float = 4.0, pin: float = 6.0, throat: str = "") -> str:
    """The recipe of a case, in the demo's wire."""
    angle = f'throat = "{throat}"\nthroat_made = "spread"\n' if throat else ""
    return (
        f'title = "{turns:g} turns, {wraps:g} wraps"\n[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
        f'[eye]\npin = "{pin:g} d"\n{angle}[twist]\nturns = {turns:g}\nlay_length = "{lay:g} d"\n[barrel]\nwraps = {wraps:g}\n'
    )


CASES: dict[str, tuple[str, float, Start]] = {
    **{f"turns-{n}": (recipe(turns=n), 0.08, Start.SPRUNG) for n in (2, 3, 4, 5, 6)},
    **{f"bare-{n}": (recipe(turns=n, wraps=0), 0.08, Start.SPRUNG) for n in (2, 3, 4, 5)},
    **{f"wraps-{n}": (recipe(wraps=n), 0.08, Start.SPRUNG) for n in (1, 2, 8)},
    **{f"slick-{n}": (recipe(turns=n), 0.05, Start.SPRUNG) for n in (3, 4, 5)},
    **{f"mid-{n}": (recipe(turns=n), 0.065, Start.SPRUNG) for n in (4, 5)},
    **{f"rough-{n}": (recipe(turns=n), 0.12, Start.SPRUNG) for n in (2, 3, 5)},
    **{f"exact-{n}": (recipe(turns=n), 0.08, Start.EXACT) for n in (2, 3, 5)},
    **{f"formed-{n}": (recipe(turns=n), 0.08, Start.FORMED) for n in (3, 4)},
    **{f"throat-{n}": (recipe(throat=f"{n} deg"), 0.08, Start.SPRUNG) for n in (90, 100, 110)},
    **{f"lay-{n}": (recipe(lay=n), 0.08, Start.SPRUNG) for n in (3.5, 5.0, 6.0)},
    **{f"pin-{n}": (recipe(pin=n), 0.08, Start.SPRUNG) for n in (3, 10)},
}

FORMS: dict[str, tuple[str, Hands]] = {
    "hands-75": (recipe(), Hands(75.0)),
    "hands-90": (recipe(), Hands(90.0)),
    "hands-105": (recipe(), Hands(105.0)),
    "unlike-40": (recipe(), Hands(90.0, unlike_deg=40.0)),
    "slack": (recipe(), Hands(100.0, unlike_deg=20.0, tension=0.05)),
    "small": (recipe(turns=3, wraps=3, pin=3), Hands(90.0)),
}


def main(only: list[str]) -> None:
    """Run the cases, all or those named, and write the file."""
    unknown = set(only) - {*CASES, *FORMS}
    if unknown:
        sys.exit(f"no such case: {', '.join(sorted(unknown))}")

    def pull(case: tuple[str, float, Start]) -> PullRun:
        text, friction, start = case
        return pull_once(recipe_from_text(text), PullSetting(start=start, friction=friction, on_pin=friction))

    pulls = {key: case for key, case in CASES.items() if not only or key in only}
    forms = {key: case for key, case in FORMS.items() if not only or key in only}
    told, arrays = _kept(only) if only else ({"pulls": {}, "forms": {}}, {})
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for (key, case), run in zip(pulls.items(), pool.map(pull, pulls.values()), strict=True):
            told["pulls"][key], own = pack_pull(key, case[0], run, frame_rows(run, FRAMES))
            arrays |= own
            nominal = run.nominal
            print(key, run.outcome.value, f"{run.peak_load:.3f}", nominal and f"{nominal.load:.3f} {nominal.section}")
        made = pool.map(lambda case: form_joint(recipe_from_text(case[0]), case[1]).run, forms.values())
        for (key, form), formed in zip(forms.items(), made, strict=True):
            told["forms"][key], own = pack_form(key, form[0], formed, form_rows(formed))
            arrays |= own
            print(key, formed.outcome.value, formed.free and f"lay {formed.free.lay_d:.2f}")
    rows = {kind: [told[kind][key] for key in cases] for kind, cases in (("pulls", CASES), ("forms", FORMS))}
    text = json.dumps({"kernel": KERNEL, **rows}, separators=(",", ":")).encode()
    np.savez_compressed(TARGET, told=np.frombuffer(text, dtype=np.uint8), **arrays)
    print(f"{TARGET.stat().st_size / 1e6:.2f} MB, {len(CASES)} pulls, {len(FORMS)} formings")


def _kept(but: list[str]) -> tuple[dict[str, dict[str, Any]], dict[str, Any]]:
    """What the file has of the same kernel but for some cases: what is told, and the arrays."""
    data, told = open_shipped()
    if told["kernel"] != KERNEL:
        sys.exit("the file is of another kernel: make all of it")
    rows = {kind: {row["key"]: row for row in told[kind] if row["key"] not in but} for kind in ("pulls", "forms")}
    arrays = {name: data[name] for name in data.files if name != "told" and name.split("/")[0] not in but}
    return rows, arrays


if __name__ == "__main__":
    main(sys.argv[1:])
