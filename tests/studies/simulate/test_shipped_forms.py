"""Simulated formings that come with the package. What is tested, strongest first:

* what is packed comes back; the wire neither grows nor shrinks but where the tag is cut; every frame is of these kernels;
* a film says what the hands do and how hard the wire is bent, from the recipe's turns to its wraps; wide hands wind a shorter lay;
* the page has their names, and refuses other keys.

No numba is needed for any of it.
"""

from __future__ import annotations

import json

import numpy as np
import pytest

from helix.mechanics.rod import KERNEL
from helix.output.simulate.forming_film import forming_film
from helix.output.simulate.shipped_words import FORM_PAIRS, form_end, form_name
from helix.page.answers.form_it import form_films, forms_record
from helix.studies.simulate.form_result import Stage
from helix.studies.simulate.shipped import form_list, form_rows, pack_form, shipped_form, unpack_form


def test_what_is_packed_comes_back() -> None:
    form = shipped_form("small")
    run = form.run
    told, arrays = pack_form("a", form_list()["small"]["recipe"], run, np.arange(len(run.stages)))
    again = unpack_form(arrays, json.loads(json.dumps(told)))
    assert again.recipe == form.recipe and again.run.held == run.held and again.run.sprung == run.sprung
    assert np.abs(again.run.frames - run.frames).max() <= 0.5001 * np.abs(run.frames).max() / 32767.0
    assert np.abs(again.run.strains - run.strains).max() <= 0.5001 / 255.0
    assert (again.run.stages, again.run.tag.tolist()) == (run.stages, run.tag.tolist())
    assert again.run.rounds == pytest.approx(run.rounds, rel=1e-6)


def test_each_is_a_whole_forming_of_these_kernels() -> None:
    assert len(form_list()) == 6 and {row["kernel"] for row in form_list().values()} == {KERNEL}
    for key in form_list():
        run = shipped_form(key).run
        assert list(dict.fromkeys(run.stages)) == list(Stage)
        assert run.unaccounted < 0.005 and run.overlap_d < 0.01
        assert run.frames.shape == (len(run.stages), len(run.s_d), 3) and len(run.stages) <= 42
        assert form_rows(run, 10)[-1] == len(run.stages) - 1
        # no part of the wire grows by more than what bending under tension leaves in it, a few per cent
        steps = np.linalg.norm(np.diff(run.frames, axis=1), axis=2)
        assert steps.max() < 1.08 * np.diff(run.s_d).max()
        standing = ~run.tag[1:]
        assert steps[:, standing][:, -40:] == pytest.approx(
            np.broadcast_to(np.diff(run.s_d)[standing][-40:], (len(steps), 40)), rel=0.06
        )


def test_a_film_goes_from_turns_to_wraps() -> None:
    form = shipped_form("small")
    film = forming_film(form.run, 3.0, form.recipe.wire.diameter_mm)
    assert [caption["title"] for caption in film["captions"]] == [
        "Twist",
        "Straighten the leg",
        "Swing the tag",
        "Wind the barrel",
        "Let go",
    ]
    assert all("Simulated, not tested" in caption["sentence"] for caption in film["captions"])
    assert film["starts"][0] == 0 and np.all(np.diff(film["starts"]) > 0)
    assert film["said"][0][0] == "0 turns" and film["said"][-1][0] == "3 turns, 3 wraps"
    assert len(film["said"]) == film["frames"] == len(form.run.stages)


def test_wide_hands_wind_a_shorter_lay_and_unlike_ones_an_uneven_twist() -> None:
    near, usual, wide, unlike = (
        shipped_form(key).run.free for key in ("hands-75", "hands-90", "hands-105", "unlike-40")
    )
    assert near.lay_d > 1.2 * usual.lay_d > 1.4 * wide.lay_d
    assert unlike.evenness < 0.75 and usual.evenness > 0.95


def test_the_page_has_their_names_and_the_pairs_worth_seeing() -> None:
    record = forms_record()
    keys = {one["key"] for one in record["forms"]}
    assert len({one["name"] for one in record["forms"]}) == len(keys) == 6
    assert all({one, two} <= keys for one, two, _ in FORM_PAIRS) and len(record["pairs"]) == len(FORM_PAIRS)
    both = form_films(["hands-75", "hands-105"])
    assert len(both["films"]) == 2 and both["names"][1] == "hands 105 deg apart, 5 turns, 5 wraps"
    assert "the lay is" in both["ends"][0] and "off the leg" in both["ends"][0]
    told = form_list()["hands-75"]
    assert form_name(told) == both["names"][0]
    assert form_end(told | {"run": told["run"] | {"free": None}}) == "The run did not converge."
    for wrong in ([], ["a"], "small", [["small"]], ["small"] * 3):
        with pytest.raises(Exception, match="keys: must be one or two of the formings that come with helix"):
            form_films(wrong)
