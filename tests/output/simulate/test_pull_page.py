"""A simulated pull as a page that plays it, and as tables.

* places and tensions come back from the small numbers of the film within their last digit; the moment from which there is no
  way back is a frame of it;
* the page fetches nothing and says "simulated, not tested"; the table has a row a moment.
"""

from __future__ import annotations

import base64
import csv
import dataclasses
import io
import json

import numpy as np
import pytest

from helix.output.simulate.pull_film import SHADES, end_words, pull_film
from helix.output.simulate.pull_frames import PART_FRAMES, frame_rows, pull_frames
from helix.output.simulate.pull_page import COLUMNS, pull_csv, pull_html, pull_json
from helix.studies.simulate.pull_result import PullOutcome, PullRun
from tests.output.simulate.test_simulate_report import BROKEN, run, simulation

NODES = 30


def moving(base: PullRun = BROKEN) -> PullRun:
    """The run made up, with a wire that is drawn out."""
    s = np.linspace(0.0, 12.0, NODES)
    frames = np.array([np.stack([np.sin(s), np.cos(s), s * (1.0 + 0.1 * k)], axis=1) for k in range(len(base.curve))])
    tensions = np.array([np.linspace(point.load, 0.0, NODES) for point in base.curve])
    section = ("standing",) * 10 + ("eye",) * 5 + ("twist_tag",) * 15
    return dataclasses.replace(
        base, s_d=s, section=section, pin_d=(0.0, 0.0, 3.0, 2.0), tensions=tensions, frames=frames
    )


def test_the_film_keeps_places_and_tensions_to_their_last_digit() -> None:
    own = moving()
    film, shown = pull_film(own, 0.8, 1000.0), pull_frames(own)
    assert film["frames"] == len(shown.points)
    places = np.frombuffer(base64.b64decode(film["points"]), "<i2").reshape(film["frames"], NODES, 3)
    assert np.abs(places * film["scale"] - 0.8 * shown.points).max() <= 0.5001 * film["scale"] + 5e-5
    shades = np.frombuffer(base64.b64decode(film["tension"]), "u1").reshape(film["frames"], NODES)
    assert np.abs((shades + 0.5) / SHADES - np.clip(shown.tensions, 0.0, 1.0)).max() <= 0.5 / SHADES + 1e-9
    assert film["pull"][film["last"]] == pytest.approx(0.8 * own.nominal.pull_d)
    assert film["captions"][1]["title"] == "It breaks at the standing leg's exit"
    assert len(film["said"]) == len(film["pull_words"]) == len(film["load"]) == film["frames"]


def test_no_way_back_is_the_break_or_the_largest_load() -> None:
    assert BROKEN.last == 2
    slips = run(0.05, PullOutcome.SLIPS)
    low = dataclasses.replace(slips.curve[3], load=0.1)
    slips = dataclasses.replace(slips, curve=(*slips.curve[:3], low))
    assert slips.last == 2 and "slips" in end_words(slips)
    assert slips.last in frame_rows(slips, 2)


def test_the_page_is_whole_and_marked() -> None:
    page = pull_html(simulation(moving()))
    assert "Simulated, not tested" in page and "http://" not in page.split("</header>")[0]
    scene = json.loads(page.split('id="helix-scene">')[1].split("</script>")[0])
    assert scene["by"] == "tension" and scene["pulled"]["frames"] == 3 + PART_FRAMES


def test_the_table_has_a_row_a_moment() -> None:
    rows = list(csv.DictReader(io.StringIO(pull_csv(simulation(moving(), moving())))))
    assert len(rows) == 8 and tuple(rows[0]) == COLUMNS
    assert [row["no_way_back"] for row in rows[:4]] == ["0", "0", "1", "1"]
    assert float(rows[1]["load_n"]) == pytest.approx(300.0)
    assert json.loads(pull_json(simulation(moving())))["runs"][0]["outcome"] == "breaks"
