"""The recipe that `helix new` writes: every key, with what it means and its default."""

from __future__ import annotations

import re
from typing import Final

from helix.units import UnitSystem

RECIPE_TEMPLATE: Final = """\
# Recipe of one twisted wire joint. Change what you need; whatever you leave out keeps the value shown.
# A quantity is text with its unit: "6 mm", "1/4 in", "90 deg", "700 N", "150 lbf"; "4 d" is 4 wire diameters.
# Counts and shares are bare numbers. A turn is 360 deg of either leg; a crossing is half a turn.

title = "My joint"
units = "metric"           # what you are shown: "metric" or "inch"

[wire]                     # needed
size = "MWG 12"            # gauge family and number (MWG or AWG), or diameter = "0.737 mm", or both
material = "302 stainless" # "helix sizes" lists them; or a [wire.own] table, see below
# rated_load = "700 N"     # the maker's rated load, if you know it

# For a wire that is not in the tables, take material out and give its own numbers:
# [wire.own]
# strength_low = "1900 MPa"
# strength = "2000 MPa"
# strength_high = "2100 MPa"
# modulus = "190 GPa"
# density = "7.9 g/cm3"

[eye]                      # needed
pin = "6 mm"               # diameter of what passes through the eye
throat = "tangent"         # or the angle between the two eye legs where they cross, "70 deg"

[twist]
turns = 5                  # even turns; or crossings = 10, never both
lay_length = "4 d"         # length of one turn; or lay_angle = "38.1 deg", or length = "14.7 mm" of all turns
evenness = 1               # 1: both legs twist alike; 0: the tag spirals round a straight leg
hand = "right"             # or "left"

[entry]
radius = "tangent"         # or the bend radius of the wire's centre line at the throat, "1.5 d"

[exit]
style = "gradual"          # the best exit; or "bench", what hands make; or give leg and swing instead:
# leg = "3.7 d"            # distance in which the standing leg comes onto the axis
# swing = 0.5              # turns in which the tag swings from the twist's lay to the barrel's
# peak_angle = "100 deg"   # overbent: the largest angle between tag and standing leg

[barrel]
wraps = 5                  # touching wraps; 0 for a twist without a barrel
pitch = "touching"         # or the length of one wrap, "1.2 d"
hand = "same"              # as the twist, or "opposite"

[finish]
stub = "1 d"               # what is left after breaking off
handle = "60 mm"           # what is held while winding, then broken off
standing = "300 mm"        # how much of the standing leg to cut with it

[tolerance]                # plus or minus, for the interval of the wire to cut
lay = "0.2 d"
pin = "0.1 mm"
wrap_gap = "0.02 d"        # between neighbouring wraps
swing = 0.25               # turns
turns = 0.1
wraps = 0.25
stub = "0.5 d"
handle = "1 mm"
ramp_share = 0.03          # share of the joint's own wire, for how hands blend one section into the next
"""

# what stands in the recipe in inches: round numbers, within 2 % of the metric ones
_IN_INCHES: Final = {
    "6 mm": "0.24 in", "60 mm": "2.4 in", "300 mm": "12 in", "0.1 mm": "0.004 in", "1 mm": "0.04 in",
    "0.737 mm": "0.029 in", "14.7 mm": "0.58 in", "700 N": "157 lbf",
    "1900 MPa": "276 ksi", "2000 MPa": "290 ksi", "2100 MPa": "305 ksi", "190 GPa": "27.6 Msi",
    "7.9 g/cm3": "0.285 lb/in3",
}  # fmt: skip
_QUANTITY = re.compile(r'"([0-9.]+ [A-Za-z0-9/]+)"( *(?=#))?')


def recipe_template(units: UnitSystem) -> str:
    """The recipe to start from; in inches its lengths are rounded, within 2 % of the defaults.

    >>> [line for line in recipe_template("inch").splitlines() if line.startswith(("units", "pin"))][0]
    'units = "inch"             # what you are shown: "metric" or "inch"'
    """
    if units == "metric":
        return RECIPE_TEMPLATE

    def moved(found: re.Match[str]) -> str:
        written = _IN_INCHES.get(found[1], found[1])
        shorter = len(found[1]) - len(written)
        return f'"{written}"' + " " * max(len(found[2]) + shorter, 1) if found[2] else f'"{written}"'

    head, title, body = RECIPE_TEMPLATE.partition("title =")
    head = head.replace(
        " whatever you leave out keeps the value shown.",
        "\n# whatever you leave out, but for units, keeps the value shown, to 2 %.",
    )
    body = body.replace('units = "metric"  ', 'units = "inch"    ', 1)
    return head + title + _QUANTITY.sub(moved, body)
