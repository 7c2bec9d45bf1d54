"""The keys of a plan's tables, each told once; docs/planning.md lists them."""

from __future__ import annotations

from typing import Final

from helix.model.files.file_keys import Key, above, least
from helix.model.recipe.recipe_keys import KEYS as RECIPE_KEYS
from helix.model.recipe.recipe_keys import key_of

MOST_PIECES: Final = 5000
AS_NEEDED: Final = "as needed"

TITLE: Final = key_of("", "title").but(example="Reef station", default="Untitled plan")
UNITS: Final = key_of("", "units")
CUTTING: Final = (
    Key(name="saw_loss", kind="length", help="wire lost at each cut", limits=least(0.0, 50.0, "mm"), in_d=False,
        example="2 mm", default="0 mm"),
    Key(name="least_tail", kind="length", help="shortest offcut that is kept", limits=least(0.0, 1e6, "mm"), in_d=False,
        example="300 mm", docs=("the shortest piece of its wire", None)),
    Key(name="spare", kind="share", help="share of joints that are spoiled", limits=least(0.0, 0.5), default=0),
    Key(name="handle_give", kind="share", help="share of a handle that the cut's uncertainty may use up",
        limits=least(0.0, 1.0), default=0.25, assumed=True),
    Key(name="minimise", kind="choice", help='what the list is best in: "stock" (then waste), "waste", or "cost" where stock has prices',
        choices={"stock": "stock", "waste": "waste", "cost": "cost"}, default="stock"),
    Key(name="currency", kind="text", help="what prices are in, for people", example="EUR", longest=12, default="",
        docs=("none", "1 to 12 characters")),
)  # fmt: skip
END: Final = (
    Key(name="recipe", kind="text", help="the recipe's file, from the plan's own folder", example="logger-tether.toml",
        docs=("the joint that `helix new` writes, round the pin", "1 to 200 characters")),
    key_of("eye", "pin").but(help="what sits in the eye, in place of the recipe's", needed=False, docs=("the recipe's", None)),
)  # fmt: skip
_NAME: Final = Key(name="name", kind="text", help="what to call it", example="short tether", longest=60,
                   docs=("its number", "1 to 60 characters"))  # fmt: skip
_WIRE: Final = Key(
    name="wire", kind="text", help="one of the wires", example="thin", longest=60, docs=("the only one", "")
)
PIECE: Final = (
    _NAME,
    Key(name="count", kind="count", help="how many", limits=above(0.0, MOST_PIECES), example="12", needed=True),
    Key(name="length", kind="length", help="finished length between what bears in the eyes", in_d=False, needed=True,
        limits=above(0.0, 1e6, "mm"), example="600 mm"),
    Key(name="at_load", kind="force", help="the load under which that length is wanted", limits=above(0.0, 1e7, "N"),
        example="120 N", docs=("none: free", None)),
    _WIRE,
    Key(name="ends", kind="table", help='two names of ends; `"plain"` is an end without a joint', docs=("needed", "")),
)  # fmt: skip
STOCK: Final = (
    _NAME.but(example="coil A"),
    _WIRE,
    Key(name="length", kind="length", help="of one", limits=least(1.0, 1e8, "mm"), example="25 m", in_d=False,
        docs=("needed, or a mass", None)),
    Key(name="mass", kind="mass", help="of one, the wire alone, without its spool", limits=above(0.0, 1e5, "kg"),
        example="0.5 kg", docs=("needed, or a length", None)),
    Key(name="count", kind="count", help=f'how many of it; `"{AS_NEEDED}"` where more can be had', limits=least(0.0, 100_000.0),
        word=AS_NEEDED, default=1),
    Key(name="price", kind="count", help="of one; a bare number", limits=least(0.0, 1e9), docs=("none", None)),
)  # fmt: skip
TABLES: Final = {"cutting": CUTTING, "end": END, "piece": PIECE, "stock": STOCK}
KEYS: Final = {**{name: tuple(key.name for key in keys) for name, keys in TABLES.items()}, "wire": RECIPE_KEYS["wire"]}
TOP_KEYS: Final = ("title", "units", "cutting", "wire", "end", "piece", "stock")
