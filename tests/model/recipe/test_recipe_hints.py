"""A message that says what to write says what reads: doing what it says mends the recipe.

Map of what must hold:
  the line that a message shows in place of one that is not TOML makes the recipe the one that was meant
  the bare number that a message shows is the amount that was written, whatever it was written in
  every word that people write for a key is answered with a key of that table, and then reads
  a tolerance that swamps what it is one of is a fault, and the size that the message allows is none
  whatever a line holds, what is shown in its place is TOML
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from helix.errors import ValidationError
from helix.model.files.corrections import bare_number, suggest_correction
from helix.model.files.file_kinds import RECIPE
from helix.model.recipe.recipe import Recipe, recipe_from_text
from helix.model.recipe.recipe_keys import ALSO_CALLED, KEYS, TOP_KEYS

# a value that reads for each key that a word is proposed for
VALUES = {
    "": {"title": '"Joint"'},
    "eye": {"pin": '"6 mm"', "throat": '"90 deg"', "throat_made": '"spread"',
            "pair": '"one over the other"'},
    "wire": {"size": '"MWG 12"', "diameter": '"0.029 in"', "material": '"302 stainless"', "rated_load": '"700 N"',
             "measured_load": '"850 N"', "count": "2"},
    "twist": {"turns": "5", "crossings": "10", "lay_length": '"4 d"', "lay_angle": '"38 deg"', "hand": '"left"'},
    "entry": {"radius": '"1.5 d"'},
    "exit": {"style": '"bench"', "swing": "0.5", "peak_angle": '"100 deg"'},
    "barrel": {"wraps": "5", "pitch": '"1.2 d"', "hand": '"opposite"'},
    "finish": {"stub": '"1 d"', "handle": '"60 mm"', "standing": '"300 mm"'},
    "tolerance": {"lay": '"0.2 d"', "wrap_gap": '"0.02 d"'},
}  # fmt: skip


def recipe_with(table: str, line: str) -> str:
    """The least recipe with this line in place of the one of its key."""
    key = re.split(r"[\s:=]", line)[0]
    needed = {"wire": {"size": '"MWG 12"', "material": '"302 stainless"'}, "eye": {"pin": '"6 mm"'}}
    lines = []
    for name in ("", *KEYS):
        lines += [f"[{name}]"] if name else []
        lines += [f"{k} = {v}" for k, v in needed.get(name, {}).items() if (name, k) != (table, key)]
        lines += [line] if name == table else []
    return "\n".join(lines)


def read(table: str, line: str) -> Recipe:
    return recipe_from_text(recipe_with(table, line))


def fault(text: str) -> str:
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(text)
    (found,) = caught.value.faults
    return found.message


NOT_TOML = [
    ("eye", "pin = 6 mm", 'pin = "6 mm"'),
    ("eye", "pin = 1/4 in  # a bolt", 'pin = "1/4 in"'),
    ("eye", "pin = 1 1/4 in", 'pin = "1.25 in"'),
    ("eye", "pin = 1-1/4in", 'pin = "1.25 in"'),
    ("eye", "pin = \u201c6 mm\u201d", 'pin = "6 mm"'),
    ("eye", "pin = \u20186 mm\u2019  # the \u201cpin\u201d", 'pin = "6 mm"'),
    ("eye", "pin = \u00ab6 mm\u00bb", 'pin = "6 mm"'),
    ("eye", "pin = 6,25 mm", 'pin = "6.25 mm"'),
    ("eye", "pin = 0,125 in", 'pin = "0.125 in"'),
    ("eye", "pin: 6 mm", 'pin = "6 mm"'),
    ("eye", 'pin : "6 mm"', 'pin = "6 mm"'),
    ("eye", 'pin "6 mm"', 'pin = "6 mm"'),
    ("eye", "pin 6 mm", 'pin = "6 mm"'),
    ("eye", 'pin = "6 mm', 'pin = "6 mm"'),
    ("eye", 'pin = 6 mm"', 'pin = "6 mm"'),
    ("eye", "throat = tangent", 'throat = "tangent"'),
    ("twist", "turns = 5 turns", "turns = 5"),
    ("twist", "turns = 5 1/2", "turns = 5.5"),
    ("twist", "turns = 5-1/2", "turns = 5.5"),
    ("twist", "turns = 5\u00bd  # about", "turns = 5.5"),
    ("twist", "turns = 11/2 turns", "turns = 5.5"),
    ("twist", "turns = 5 crossings", "turns = 2.5"),
    ("twist", "turns = 1800 deg", "turns = 5"),
    ("twist", "turns = 5,5", "turns = 5.5"),
    ("twist", "turns = 5,5 turns", "turns = 5.5"),
    ("twist", "turns: 5", "turns = 5"),
    ("twist", "turns: 5 turns", "turns = 5"),
    ("twist", "turns 5", "turns = 5"),
    ("twist", "turns = 05", "turns = 5"),
    ("twist", "crossings = 10 crossings", "turns = 5"),
    ("twist", "crossings = 5 turns", "turns = 5"),
    ("twist", "evenness = 50 %", "evenness = 0.5"),
    ("twist", "evenness = .5", "evenness = 0.5"),
    ("twist", "hand = \u201cleft\u201d", 'hand = "left"'),
    ("exit", "swing = 180 deg", "swing = 0.5"),
    ("exit", "swing = 1/2 turn", "swing = 0.5"),
    ("barrel", "wraps = 4 wraps", "wraps = 4"),
    ("barrel", "wraps = 4x", "wraps = 4"),
    ("tolerance", "ramp_share = 3%", "ramp_share = 0.03"),
    ("", "title = \u201cBob\u2019s joint\u201d", 'title = "Bob\u2019s joint"'),
    ("", "title = My joint", 'title = "My joint"'),
]


@pytest.mark.parametrize(("table", "line", "meant"), NOT_TOML, ids=[line for _, line, _ in NOT_TOML])
def test_the_line_that_is_shown_makes_the_recipe_that_was_meant(table, line, meant):
    shown = fault(recipe_with(table, line)).split(": ", 1)[1]
    mended, wanted = read(table, shown), read(table, meant)
    if table:
        assert replace(mended, title=wanted.title) == wanted
    else:
        assert mended.title.replace("'", "\u2019") == wanted.title


def test_a_comma_that_may_be_one_of_thousands_is_not_taken_for_a_point():
    assert fault(recipe_with("finish", "standing = 1,500 mm")).startswith("is not TOML: ")


@pytest.mark.parametrize("line", ["turns = 5 to 6", "turns = 5 mm", "turns = five", "swing = 90 rad", "evenness = 5 turns",
                                  "turns = 5 1/0", "turns = (5)", "wraps = 5.5.5", "ramp_share = three"])  # fmt: skip
def test_where_the_number_cannot_be_told_one_that_would_do_is_shown(line):
    key = line.split(" =")[0]
    table = next(name for name, keys in KEYS.items() if key in keys)
    message = fault(recipe_with(table, line))
    advice, shown = message.split(", such as ")
    assert advice == "a count or a share is a bare number"
    read(table, shown)


COUNTS = [
    ("twist", "turns", "5 turns"), ("twist", "turns", "5 1/2"), ("twist", "turns", "5"), ("exit", "swing", "90 deg"),
    ("twist", "evenness", "50 %"), ("barrel", "wraps", "6 wraps"), ("twist", "crossings", "3 turns"),
]  # fmt: skip


@pytest.mark.parametrize(("table", "key", "written"), COUNTS)
def test_the_number_shown_for_a_count_in_quotes_reads(table, key, written):
    message = fault(recipe_with(table, f'{key} = "{written}"'))
    assert f'; got "{written}"; write {key} = ' in message
    shown = message.split("; write ")[1]
    assert read(table, shown) == read(table, f"{key} = {bare_number(key, written)}")


@pytest.mark.parametrize("written", ["50 deg", "1001 turns", "five", "5 d", "-5", ""])
def test_no_number_is_shown_that_would_not_read(written):
    shown = fault(recipe_with("exit", f'swing = "{written}"')).partition("; write ")[2]
    assert not shown or read("exit", shown)
    assert bool(shown) == (written == "50 deg")


UNITS = {"turns": 1.0, "turn": 1.0, "deg": 1 / 360, "degrees": 1 / 360, "x": 1.0, "crossings": 0.5}


@given(st.integers(0, 99), st.integers(0, 63), st.sampled_from([2, 4, 8, 16]), st.sampled_from(sorted(UNITS)))
def test_a_count_is_the_amount_that_was_written(whole, above, below, unit):
    for number, value in ((f"{whole} {above}/{below}", whole + above / below), (f"{whole}.25", whole + 0.25)):
        shown = float(bare_number("turns", f"{number} {unit}"))
        assert shown == pytest.approx(value * UNITS[unit], rel=1e-9)


@given(st.sampled_from(["turns", "pin", "evenness", "x"]), st.sampled_from([" = ", "=", ": ", " "]),
       st.text(st.characters(exclude_characters="\n"), max_size=30))  # fmt: skip
@example("pin", " = ", "\u201c6 mm\u201d # \u201c")
@example("turns", " = ", "5 1/2 turns # so")
@example("pin", " = ", '"')
def test_what_is_shown_in_place_of_any_line_is_toml(key, joined, rest):
    line = f"{key}{joined}{rest}"
    message = suggest_correction(line, RECIPE.bare)
    assert message.isprintable() or message == ""
    if message and "; got " not in message:
        shown = message.split(", such as " if ", such as " in message else ": ", 1)[1]
        assert key in tomllib.loads(shown)


WORDS = [(table, word, key) for table, words in ALSO_CALLED.items() for word, key in words.items()]


def test_every_table_has_its_words_and_none_is_a_key_of_it():
    assert set(ALSO_CALLED) == {"", *KEYS}
    for table, words in ALSO_CALLED.items():
        keys = KEYS[table] if table else TOP_KEYS
        assert set(words.values()) <= set(keys) and not set(words) & set(keys)


@pytest.mark.parametrize(("table", "word", "key"), WORDS, ids=[f"{t}-{w}" for t, w, _ in WORDS])
def test_a_word_for_a_key_is_answered_with_the_key_which_reads(table, word, key):
    if key in KEYS:  # a word for a table
        asked, text = f"[{word}]", recipe_with("", "").replace(f"[{key}]", f"[{word}]")
        mended = text.replace(asked, f"[{key}]")
    else:
        value = VALUES[table][key]
        text = recipe_with(table, f"{key} = {value}").replace(f"{key} = {value}", f"{word} = {value}")
        mended = text.replace(f"{word} = ", f"{key} = ")
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(text)
    messages = [found.message for found in caught.value.faults if found.place.endswith(word)]
    assert [message.partition("; ")[2] for message in messages] == [f"did you mean {key}?"]
    recipe_from_text(mended)


SWAMPED = [
    ("lay", '"2.1 d"', "at most half the lay, 2.00 d (1.47 mm), or it swamps the lay", '"2 d"'),
    ("pin", '"3.1 mm"', "at most half the pin, 4.07 d (3.00 mm)", '"3 mm"'),
    ("wrap_gap", '"0.6 d"', "at most half the pitch, 0.506 d (0.373 mm)", '"0.506 d"'),
    ("turns", "3", "at most half the turns, 2.5, or it swamps the turns; got 3", "2.5"),
    ("wraps", "5", "at most half the wraps, 2.5", "2.5"),
    ("stub", '"2 d"', "at most the stub, 1.00 d (0.737 mm)", '"1 d"'),
    ("handle", '"70 mm"', "at most the handle, 81.5 d (60.0 mm)", '"60 mm"'),
]


@pytest.mark.parametrize(("key", "value", "said", "allowed"), SWAMPED, ids=[case[0] for case in SWAMPED])
def test_a_tolerance_that_swamps_what_it_is_one_of_is_a_fault(key, value, said, allowed):
    message = fault(recipe_with("tolerance", f"{key} = {value}"))
    assert said in message and message.endswith(f"; got {value}")
    read("tolerance", f"{key} = {allowed}")


def test_a_swing_that_is_given_is_not_swamped_either():
    text = recipe_with("exit", "swing = 0.4")
    assert "at most the swing, 0.4" in fault(f"{text}\nswing = 0.5")
    recipe_from_text(f"{text}\nswing = 0.4")
    recipe_from_text(recipe_with("exit", 'style = "bench"') + "\nswing = 0.5")  # its own swing is not known here


@pytest.mark.parametrize(("table", "line", "tolerance"), [
    ("finish", 'stub = "0.1 d"', 'stub = "0.5 d"'), ("twist", "turns = 0.1", "turns = 0.1"),
    ("barrel", "wraps = 0.2", "wraps = 0.2"), ("eye", 'pin = "0.1 mm"', 'pin = "0.09 mm"'),
    ("finish", 'stub = "0 d"', 'stub = "1 d"'), ("twist", "turns = 0", "turns = 1"),
])  # fmt: skip
def test_the_default_tolerance_and_less_are_never_a_fault(table, line, tolerance):
    recipe_from_text(f"{recipe_with(table, line)}\n{tolerance}")


@pytest.mark.parametrize(("table", "line"), [("twist", 'lay_length = "4 N"'), ("wire", 'size = "MWG 99"'),
                                             ("barrel", "pich = 1"), ("finish", 'handle = "-1 mm"')])  # fmt: skip
def test_a_faulty_size_makes_no_fault_of_its_tolerance(table, line):
    swamping = 'lay = "3 d"\nwrap_gap = "1 d"\nhandle = "70 mm"\n'
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(f"{recipe_with(table, line)}\n{swamping}")
    spared = {"twist": {"lay"}, "barrel": {"wrap_gap"}, "finish": {"handle"}}.get(table, {"lay", "wrap_gap", "handle"})
    told = {found.place.split("[tolerance] ")[1] for found in caught.value.faults if "[tolerance]" in found.place}
    assert told == {"lay", "wrap_gap", "handle"} - spared


def test_a_swamping_tolerance_is_told_in_inches_where_the_recipe_is():
    message = fault('units = "inch"\n' + recipe_with("tolerance", 'lay = "0.2 in"'))
    assert "2.00 d (0.0580 in)" in message
