"""The recipe's keys, each told once. Reader, checks, template, writer, page and docs/recipe.md are made from them.

Defaults are common practice (no source) unless marked assumed. What people write for a key: common words, no source; a
word that means something else as well (a gap is no pitch) is left out.
"""

from __future__ import annotations

from typing import Final

from helix.data.materials import materials
from helix.model.files.file_keys import Key, above, between, either, least, slider

LONGEST_TWIST_D: Final = 20_000.0
LONGEST_LAY_D: Final = 100.0
MOST_WRAPS_OF_TWO: Final = 50.0  # each half circle and flat of an oval barrel is a piece of its own
DOUBLED_LAY_D: Final = (
    6.7  # usual lay of two wires worked as one: their strands as steep as those of one wire at 4 d (assumed)
)
_HANDS: Final = {"right": "right-hand", "left": "left-hand"}
_NOT_MORE: Final = "more is not computed"

TOP: Final = (
    Key(name="title", kind="text", help="one line of text, shown with the answer", example="My joint",
        default="Untitled joint", also=("name",), comment="", docs=(None, "1 to 200 characters")),
    Key(name="units", kind="choice", help="what people are shown; JSON and CSV are metric all the same",
        choices={"metric": "mm and N", "inch": "in and lbf"}, other_words={"in": "inch", "inches": "inch", "mm": "metric"}, default="metric", assumed=True,
        comment='what you are shown: "metric" or "inch"'),
)  # fmt: skip

WIRE: Final = (
    Key(name="size", kind="text", help="gauge family and number", example="MWG 12", longest=60, also=("gauge",), needed=True,
        more='`"MWG 12"` or `"AWG 20"`; `"no. 12"` is of the music wire gauge; never a bare number, as 12 is another wire in each family',
        docs=("", "MWG 2 to 20, AWG 0 to 40"), label="Size", open="by its diameter",
        comment='gauge family and number (MWG or AWG), or diameter = "0.737 mm", or both'),
    Key(name="diameter", kind="length", help="measured diameter, for wire of no size", limits=least(0.01, 50.0, "mm"),
        example="0.737 mm", in_d=False, also=("dia", "thickness", "wire_diameter"), comment="",
        more="beside a size it is the one used, and must lie within 2 % of the size (about the mill's tolerance; common "
        "practice, no source)",
        label="Diameter", open="by its size", page=slider(0.2, 2.0, 0.01, "mm", (0.008, 0.078, 0.0005))),
    Key(name="material", kind="text", help="what the wire is made of", more="a material of `helix sizes`", needed=True,
        example="302 stainless", longest=60, also=("alloy", "grade"), docs=("", "its table's diameters"),
        choices={material.name: material.name for material in materials()}, label="Material",
        comment='"helix sizes" lists them; or a [wire.own] table, see below'),
    Key(name="count", kind="count", help="2: two wires worked as one, bent, twisted and wrapped together",
        limits=either(1, 2, "two wires worked as one"), default=1, also=("wires", "strands"), docs=(None, "1 or 2"), label="Wires",
        comment="2 for two wires worked as one"),
    Key(name="rated_load", kind="force", help="what the maker rates the wire at, if you know it",
        limits=above(0.0, 1e7, "N"), example="700 N", off=True, also=("rating",), docs=("not known", None),
        label="Rated load", open="not known", page=slider(10, 5000, 10, "N", (2, 1000, 1))),
    Key(name="measured_load", kind="force", help="mean load at which your own straight pulls of this coil broke",
        limits=above(0.0, 1e7, "N"), example="850.0 N", off=True, also=("measured", "coil_load", "straight_load"),
        docs=("not known", "0.4 to 1.6 times its table's load"), label="Own straight pulls", open="none",
        page=slider(10, 5000, 10, "N", (2, 1000, 1))),
    Key(name="measured_pulls", kind="count", help="how many straight pulls that is", limits=least(1.0, 1000.0), example="3",
        docs=("one", None), off=True, comment="how many straight pulls that is"),
    Key(name="own", kind="table", help="the table `[wire.own]`, for a wire that is in no table", docs=("", "")),
)  # fmt: skip

OWN: Final = (
    Key(name="name", kind="text", help="what to call it", example="test coil 7", longest=60, default="own wire",
        docs=(None, "1 to 60 characters")),
    Key(name="strength_low", kind="stress", help="the lowest", limits=least(10.0, 10_000.0, "MPa"), example="1900 MPa",
        docs=("the nominal", None)),
    Key(name="strength", kind="stress", help="tensile strength, nominal", limits=least(10.0, 10_000.0, "MPa"),
        example="2000 MPa", needed=True),
    Key(name="strength_high", kind="stress", help="the highest", limits=least(10.0, 10_000.0, "MPa"), example="2100 MPa",
        docs=("the nominal", None)),
    Key(name="modulus", kind="stress", help="Young's modulus", limits=least(1000.0, 1_000_000.0, "MPa"),
        example="190 GPa", needed=True),
    Key(name="density", kind="density", help="density", limits=least(100.0, 30_000.0, "kg/m3"), example="7.9 g/cm3",
        needed=True),
)  # fmt: skip

EYE: Final = (
    Key(name="pin", kind="length", help="diameter of the pin or ring that passes through the eye",
        limits=above(0.0, 1000.0, "d"), example="6 mm", needed=True, label="Pin or ring",
        also=("pin_diameter", "pin_size", "diameter", "bolt", "thimble"),
        page=slider(1.0, 40.0, 0.1, "mm", (0.04, 1.6, 0.005))),
    Key(name="throat", kind="angle", help="angle between the two eye legs where they cross",
        more='`"tangent"` runs on from the twist at its own angle', limits=least(1.0, 175.0, "deg"), example="90 deg",
        default="tangent", word="tangent", also=("angle",), label="Throat", open="as the twist", page=slider(40, 150, 1, "deg"),
        comment='or the angle between the two eye legs where they cross, "70 deg"'),
    Key(name="throat_made", kind="choice", help="how the legs came to stand at the throat's angle",
        more='`"wound"`: the first turn was wound at that angle; `"spread"`: the twist was wound at its own lay and the legs '
        "were spread afterwards",
        choices={"wound": "wound at that angle", "spread": "spread afterwards"}, default="wound", assumed=True,
        also=("throat_formed", "throat_is"), label="How the throat was made",
        comment='first turn wound at the throat\'s angle; or "spread" afterwards, the twist wound at its lay'),
    Key(name="pair", kind="choice", help="how two wires worked as one lie on the pin", choices={
        "side by side": "side by side", "one over the other": "one over the other"}, default="side by side", assumed=True,
        more='`"side by side"`: both touch the pin and take the same length; `"one over the other"`: the outer is the longer; '
        "says nothing of one wire", also=("lie", "arrangement"), label="On the pin",
        comment='of two wires on the pin: "side by side" or "one over the other"'),
)  # fmt: skip

TWIST: Final = (
    Key(name="turns", kind="count", help="even turns of both legs; a turn is 360 deg, a crossing half of it",
        more="0 is wraps only", limits=least(0.0, 1000.0, why=_NOT_MORE), default=5, also=("twists",), label="Turns",
        page=slider(0, 12, 0.5), comment="even turns; or crossings = 10, never both"),
    Key(name="crossings", kind="count", help="the same in half turns", more="never beside `turns`", attr="",
        limits=least(0.0, 2000.0, why=_NOT_MORE), example="10", also=("half_turns",)),
    Key(name="lay_length", kind="length", help="length of one turn of the twist along its axis", attr="lay_mm",
        limits=above(0.0, LONGEST_LAY_D, "d"), example="4 d", default="4 d", label="Lay", page=slider(2.3, 12, 0.05, "d"),
        also=("lay", "pitch", "lead", "step", "pitch_length"), docs=(None, f"above 0 d and at most {LONGEST_LAY_D:g} d; 2 d or less is refused"),
        comment='length of one turn; or lay_angle = "38.1 deg", or length = "14.7 mm" of all turns'),
    Key(name="lay_angle", kind="angle", help="the same as the angle of an even leg to the axis", attr="",
        more="tan(angle) = pi d/lay", limits=between(0.0, 90.0, "deg"), example="38.1 deg", also=("angle", "helix_angle"),
        docs=("", "above 0 deg and below 90 deg; at least 1.8 deg (a lay of 100 d) and at most 45 deg")),
    Key(name="length", kind="length", help="the same as the length of all turns together", attr="",
        limits=above(0.0, LONGEST_TWIST_D, "d"), example="14.7 mm"),
    Key(name="evenness", kind="share", help="1: both legs twist alike; 0: the tag spirals round a straight leg",
        limits=least(0.0, 1.0), default=1, label="Evenness", page=slider(0, 1, 0.05)),
    Key(name="hand", kind="choice", help="which way round the legs are twisted", choices=_HANDS, default="right",
        also=("direction",), label="Hand", comment='or "left"'),
)  # fmt: skip

ENTRY: Final = (
    Key(name="radius", kind="length", help="bend radius of the wire's centre line at the throat",
        more='`"tangent"` leaves it to the throat', example="1.5 d", default="tangent", word="tangent",
        limits=above(0.5, 1000.0, "d", "at half a diameter the wire folds"), also=("bend", "bend_radius"),
        docs=(None, "above 0.5 d and at most 1000 d"), label="Bend radius", open="as the twist",
        page=slider(0.5, 8, 0.05, "d"), comment='or the bend radius of the wire\'s centre line at the throat, "1.5 d"'),
)  # fmt: skip

EXIT: Final = (
    Key(name="style", kind="choice", help="gradual is the best exit; bench is what hands usually make",
        more="the gradual exit is the one with the least wire that is nowhere sharper than twist and barrel",
        choices={"gradual": "gradual", "bench": "bench"}, default="gradual", assumed=True, also=("type",), label="Style",
        open="by leg and swing", comment='the best exit; or "bench", what hands make; or give leg and swing instead:'),
    Key(name="leg", kind="length", help="distance in which the standing leg comes onto the axis", off=True,
        limits=least(0.05, 100.0, "d"), example="3.7 d", label="Leg", open="by style", page=slider(0.5, 10, 0.05, "d")),
    Key(name="swing", kind="count", help="turns in which the tag swings from the twist's lay to the barrel's lead", off=True,
        limits=above(0.0, 10.0), example="0.5", attr="swing_turns", also=("rotation", "turns"), label="Swing on the leg",
        open="by style", page=slider(0.05, 1.5, 0.025)),
    Key(name="peak_angle", kind="angle", help="largest angle between the tag and the standing leg, where it was bent too far",
        more="goes with any style", limits=between(0.0, 180.0, "deg"), example="100 deg", off=True, also=("angle",),
        docs=("not overbent", "above 0 deg and below 180 deg; above the barrel's own angle, 80.84 deg when its wraps touch"),
        label="Overbend", open="none", page=slider(81, 150, 1, "deg")),
)  # fmt: skip

BARREL: Final = (
    Key(name="wraps", kind="count", help="touching wraps of the tag round the standing leg", default=5,
        more="0 is a twist without a barrel", limits=least(0.0, 1000.0, why=_NOT_MORE), also=("coils", "windings", "turns"),
        label="Wraps", page=slider(0, 12, 0.25), comment="touching wraps; 0 for a twist without a barrel"),
    Key(name="pitch", kind="length", help="length of one wrap; touching wraps lie against each other", default="touching",
        more='`"touching"` is exact, 1.012939 d, and not 1 d, which overlaps', word="touching", example="1.2 d",
        limits=least(0.5, 20.0, "d", "wraps touch at 1.013 d"), docs=(None, "at least 0.5 d and at most 20 d"),
        also=("lay", "lay_length", "lead", "spacing"), label="Pitch", open="touching", page=slider(1, 3, 0.01, "d"),
        comment='or the length of one wrap, "1.2 d"'),
    Key(name="hand", kind="choice", help="same way round as the twist, or the opposite", default="same",
        choices={"same": "same as the twist", "opposite": "opposite"}, also=("direction",), label="Hand",
        comment='as the twist, or "opposite"'),
)  # fmt: skip

FINISH: Final = (
    Key(name="stub", kind="length", help="what is left of the tag after breaking off", limits=least(0.0, 1000.0, "d"),
        example="1 d", default="1 d", also=("tail",), label="Stub", page=slider(0, 6, 0.1, "d")),
    Key(name="handle", kind="length", help="what is held while winding, then broken off", example="60 mm", default="60 mm",
        more="cut, but no part of the joint", limits=least(0.0, 100_000.0, "mm"), also=("tag", "grip"), label="Handle",
        page=slider(0, 200, 5, "mm", (0, 8, 0.25))),
    Key(name="standing", kind="length", help="how much of the standing leg to cut with the joint", example="300 mm",
        default="300 mm", limits=above(0.0, 100_000.0, "mm"), also=("standing_leg",), label="Standing leg",
        page=slider(20, 2000, 10, "mm", (1, 80, 0.5))),
)  # fmt: skip

_LENGTH: Final = Key(name="", kind="length", limits=least(0.0, 100.0, "d"), example="0.2 d", assumed=True, comment="")
_COUNT: Final = Key(name="", kind="count", limits=least(0.0, 10.0), assumed=True, comment="")
TOLERANCE: Final = (
    _LENGTH.but(name="lay", help="plus or minus, of one turn", default="0.2 d", also=("lay_length",), label="Lay",
                page=slider(0, 1, 0.05, "d")),
    _LENGTH.but(name="pin", help="plus or minus, and how closely the eye follows the pin", default="0.1 mm", label="Pin",
                page=slider(0, 1, 0.05, "mm", (0, 0.04, 0.002))),
    _LENGTH.but(name="wrap_gap", help="plus or minus, between neighbouring wraps of a touching barrel", default="0.02 d",
                also=("pitch", "gap"), comment="between neighbouring wraps", label="Gap between wraps",
                page=slider(0, 0.2, 0.01, "d")),
    _COUNT.but(name="swing", help="plus or minus, in turns", default=0.25, attr="swing_turns", comment="turns", label="Swing",
               page=slider(0, 0.45, 0.05)),
    _COUNT.but(name="turns", help="plus or minus", default=0.1, label="Turns", page=slider(0, 1, 0.05)),
    _COUNT.but(name="wraps", help="plus or minus", default=0.25, label="Wraps", page=slider(0, 1, 0.05)),
    _LENGTH.but(name="stub", help="plus or minus", default="0.5 d", label="Stub", page=slider(0, 0.9, 0.1, "d")),
    _LENGTH.but(name="handle", help="plus or minus", default="1 mm", label="Handle",
                page=slider(0, 20, 1, "mm", (0, 0.8, 0.05))),
    Key(name="ramp_share", kind="share", help="share of the joint's own wire, for how hands blend one part into the next",
        limits=least(0.0, 0.5), default=0.03, assumed=True, label="Choice of ramps", page=slider(0, 0.2, 0.01)),
)  # fmt: skip

TABLES: Final = {
    "wire": WIRE, "eye": EYE, "twist": TWIST, "entry": ENTRY, "exit": EXIT, "barrel": BARREL, "finish": FINISH,
    "tolerance": TOLERANCE,
}  # fmt: skip
TABLES_ALSO_CALLED: Final = {
    "loop": "eye", "bend": "entry", "coil": "barrel", "coils": "barrel", "wrap": "barrel", "ends": "finish"
}  # fmt: skip
KEYS: Final = {name: tuple(key.name for key in keys) for name, keys in TABLES.items()}
TOP_KEYS: Final = (*(key.name for key in TOP), *KEYS)
OWN_KEYS: Final = tuple(key.name for key in OWN)
ALSO_CALLED: Final = {
    name: {word: key.name for key in keys for word in key.also} for name, keys in {"": TOP, **TABLES}.items()
}
ALSO_CALLED[""].update(TABLES_ALSO_CALLED)


def bare_numbers() -> dict[str, str]:
    """Each key that is a bare number, with one that would do.

    >>> bare_numbers()["crossings"], bare_numbers()["swing"]
    ('10', '0.5')
    """
    units: dict[str, str] = {}
    for key in (key for keys in TABLES.values() for key in keys if key.kind in ("count", "share")):
        units.setdefault(key.name, key.example or f"{key.default:g}")
    return units


_ROWS: Final = {(table, key.name): key for table, keys in {"": TOP, "wire.own": OWN, **TABLES}.items() for key in keys}


def key_of(table: str, name: str) -> Key:
    """The row of a key; "" is the top."""
    return _ROWS[table, name]
