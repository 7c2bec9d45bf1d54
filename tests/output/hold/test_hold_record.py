"""The JSON of hold, why, form and stretch: every key is explained, units are in the keys, nothing is lost or invented."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from helix.data.practice import practice
from helix.model.measured.slip_tests import SlipTest
from helix.model.recipe.recipe import recipe_to_dict
from helix.output.hold.hold_record import hold_to_dict, table_to_dict
from helix.output.report.record import record, to_json
from helix.output.words.hold_words import practice_line
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.friction_fit import calibrate
from helix.studies.hold.hold_table import hold_table
from helix.studies.hold.holding import hold, hold_with, setting_of
from helix.studies.hold.sensitivity import sensitivities
from helix.studies.hold.stretch import stretch
from helix.studies.hold.why import why
from helix.studies.shape.shape import shape
from helix.studies.teaching.hand_work import form
from tests.studies.hold.evidence.test_friction_fit import bench
from tests.studies.hold.hold_recipes import joint
from tests.studies.hold.test_bend_stories import throat

PAGE = Path(__file__).resolve().parents[3] / "docs" / "json-hold.md"
RECIPE = joint('size = "MWG 14"\nrated_load = "800 N"')
SETTING = setting_of(RECIPE, draws=500)


def pulled(loads):
    """Own pieces that broke."""
    alike = (True,) * len(loads)
    return OwnPulls(loads_n=loads, broke=alike, unwound=(False,) * len(loads), joints=(1,) * len(loads))


@cache
def records():
    tests = bench("L", 1)
    more = (SlipTest(90, 0.5, 2.0, 5.0, 4.0, True, 1), SlipTest(91, 0.37, 0.0, 5.0, 4.0, True, 1))
    fitted = calibrate(replace(tests, pieces=tests.pieces + more), SETTING.scatter)
    alone = joint(turns=0)
    return {
        "hold": {
            **hold_to_dict(hold_with(RECIPE, SETTING), fitted),
            **table_to_dict(hold_table(RECIPE, SETTING), *sensitivities(RECIPE, SETTING)),
        },
        "hold of wraps alone": hold_to_dict(hold(alone, draws=500)),
        "hold of two wires": hold_to_dict(hold(joint('size = "MWG 12"\ncount = 2'), draws=500)),
        "hold of two wires pulled": hold_to_dict(
            hold_with(joint('size = "MWG 12"\ncount = 2'), SETTING, pulled((1300.0, 1350.0)))
        ),
        "hold of an uneven twist": hold_to_dict(hold(joint(twist="evenness = 0.2"), draws=500)),
        "why": record(why(joint(turns=4), SETTING)),
        "why of a wide throat": record(why(throat(100.0), SETTING)),
        "form": record(form(RECIPE)),
        "stretch": record(stretch(shape(RECIPE), hold_with(RECIPE, SETTING), 500.0)),
    }


def keys_of(value, path=""):
    if isinstance(value, dict):
        for key, item in value.items():
            if key == "recipe" or (key == "caution" and not path):  # docs/json.md tells of the caution once for all
                continue
            if key == "judgement":  # explained in docs/json.md
                yield f"{path}.{key}" if path else key
                continue
            yield from keys_of(item, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for item in value:
            yield from keys_of(item, path + "[]")
    elif isinstance(value, list):
        yield path + "[]"
    else:
        yield path


def documented():
    """Key and unit of every row of the page, by the heading it stands under."""
    return dict(re.findall(r"^\| `([\w.\[\]]+)` \| ([^|]*)\|", PAGE.read_text(encoding="utf-8"), re.MULTILINE))


def seen():
    found = set()
    for made in records().values():
        for key in keys_of(made):
            key = re.sub(r"^(load_path\.(?:carried|tag_left)_proportion)\.[LEW]", r"\1.KEY", key)  # curves by model
            key = re.sub(r"^(stories\[\]\.values)\..*", r"\1", key)  # numbers that differ from story to story
            key = re.sub(r"^(of_making\[\])\..*", r"\1", key)  # findings are explained in docs/json.md
            key = re.sub(r"^(pair\.stiffness)\.same_(?:size|area)", r"\1.pair", key)
            key = (
                re.sub(r"^hold\.", "", key)
                .removeprefix("table.")
                .replace("models[].", "model.", not key.startswith("cal"))
            )
            found.add(
                key
            )  # a hold inside another record has the keys of a hold, every model those of the governing one
    return found


def test_every_key_is_explained_and_every_key_explained_exists():
    keys = seen()
    # what can be null or a table is a row of its own where it is null, rows of its parts where it is not
    tables = {key for key in keys if any(other.startswith((key + ".", key + "[]")) and other != key for other in keys)}
    assert keys - tables == set(documented())


def test_units_stand_in_the_keys():
    units = {"mm": "mm", "n": "N", "mpa": "MPa", "d": "d", "m3": "kg/m3", "deg": "deg"}
    for key, unit in documented().items():
        parts = [part.removesuffix("[]") for part in key.split(".")]
        named = next((part for part in reversed(parts) if part not in ("low", "nominal", "high")), "")
        ending = named.rpartition("_")[2]
        if named.endswith("_n_per_mm"):
            assert unit.strip() == "N per mm", key
        elif named.endswith("_n_mm2"):
            assert unit.strip() == "N mm2", key
        elif named.endswith("_n_mm"):
            assert unit.strip() == "N mm", key
        elif ending in units:
            assert unit.strip() == units[ending], key
        else:
            assert unit.strip() in ("", "share", "turns of 360 deg"), key


def test_what_practice_knows_of_the_counts_is_in_the_record():
    full = records()["hold"]["practice_of_counts"]
    assert (full["ends"], full["turns"], full["wraps"], full["mark"]) == ("holds", 5.0, 5.0, practice().mark)
    assert full["says"] == practice_line(hold_with(RECIPE, SETTING))
    short = hold_to_dict(hold(joint(turns=4, wraps=4), draws=200))["practice_of_counts"]
    assert (short["ends"], short["turns"]) == ("unwinds", 4.0)
    for name in ("hold of wraps alone", "hold of an uneven twist"):  # other counts, or practice warns
        assert records()[name]["practice_of_counts"] is None
    assert records()["why"]["hold"]["practice_of_counts"] is None


def test_two_wires_are_in_the_schema_of_a_hold():
    schema = json.loads((PAGE.parent / "schema" / "hold.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(records()["hold of two wires"])
    assert records()["hold of two wires"]["pair"]["load"]["plan_with_n"] > 0.0 and records()["hold"]["pair"] is None


NAMES = (
    "hold", "hold of wraps alone", "hold of two wires", "hold of two wires pulled", "hold of an uneven twist", "why",
    "why of a wide throat", "form", "stretch",
)  # fmt: skip


def test_every_record_has_its_name():
    assert tuple(records()) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_it_is_json_without_nan_and_carries_recipe_and_version(name):
    again = json.loads(to_json(records()[name]))
    assert again == records()[name]
    assert again["schema"] == 5 and again["version"] and again["recipe"]["wire"]["diameter_mm"] > 0.0


def test_the_keys_that_programs_rely_on():
    data = records()["hold"]
    assert set(data["wire"]["breaking_load_n"]) == set(data["hold_n"]) == {"low", "nominal", "high"}
    assert data["verdict"] in ("locks", "marginal", "unwinds")
    assert 0.0 <= data["probability"]["low"] <= data["probability"]["unwinds"] <= data["probability"]["high"] <= 1.0
    assert isinstance(data["governs"], str) and data["governs"]
    assert data["model"]["name"] and data["model"]["friction"]["value"] > 0.0
    assert data["assumptions"] and all(isinstance(line, str) for line in data["assumptions"])
    assert len(data["table"]["cells"]) == 121
    assert {"turns", "wraps", "verdict", "hold_n", "probability_unwinds"} <= set(data["table"]["cells"][0])
    assert data["recipe"] == json.loads(json.dumps(recipe_to_dict(RECIPE)))


def test_the_numbers_are_those_of_the_result():
    result, data = hold_with(RECIPE, SETTING), records()["hold"]
    assert data["hold_n"]["nominal"] == result.hold_n.nominal
    assert data["probability"]["unwinds"] == result.probability.unwinds
    assert data["probability"]["draws"] == 500 and data["probability"]["seed"] == 0
    for each, row in zip(result.outcome.models, data["models"], strict=True):
        assert row["key"] == each.model.key and row["probability_unwinds"] == each.unwinds
        slip = each.slip * result.strength_n
        assert row["unwinds_at_n"]["nominal"] == (slip if math.isfinite(slip) else None)


def test_what_is_not_known_is_null():
    data = records()["hold of an uneven twist"]
    assert data["verdict"] == "marginal" and data["model"] is None  # that of the least uneven twist a model knows
    assert data["hold_n"]["nominal"] is None and data["probability"]["unwinds"] is None
    assert data["hold_n"]["high"] is None and data["plan_with_n"] is None and data["made_right"]["plan_with_n"] > 0.0
    assert "no model" in records()["hold"]["table"]["smallest_safe"]["wraps_note"]
    alone = records()["hold of wraps alone"]["model"]
    assert alone["friction"] is None and alone["name"] == "wraps alone"
