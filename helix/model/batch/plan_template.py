"""The plan that `helix cut --template` writes: every key explained, its numbers invented."""

from __future__ import annotations

from typing import Final

from helix.model.files.file_kinds import template_in
from helix.units import UnitSystem

PLAN_TEMPLATE: Final = """\
# Plan of a batch: what to make, the joints at the ends, and the stock to cut it from.
# Every number in here is invented. Change what you need; lines that start with # are not read.
# A quantity is text with its unit: "600 mm", "0.5 kg", "120 N". Counts and shares are bare numbers.

title = "My batch (invented numbers)"
units = "metric"           # what you are shown: "metric" or "inch"

[cutting]
saw_loss = "1 mm"          # wire lost at each cut
least_tail = "300 mm"      # shortest offcut that is kept
spare = 0.02               # share of joints that are spoiled
# minimise = "stock"       # what the list is best in: "stock" (then waste), "waste", or "cost"
# handle_give = 0.25       # share of a handle that the cut's uncertainty may use up (assumed)
# currency = "EUR"         # what prices are in, for people

[wire.thin]                # a wire, under a name of your own
size = "MWG 12"            # gauge family and number, or diameter = "0.737 mm"
material = "302 stainless"

[end.eye]                  # a joint at an end, under a name of your own
# recipe = "joint.toml"    # its recipe's file; without one, 5 turns of 4 d and 5 wraps
pin = "6 mm"               # what sits in the eye

[[piece]]
name = "short tether"
count = 12                 # how many
length = "600 mm"          # between what bears in the eyes; a plain end counts to its tip
# at_load = "120 N"        # the load under which that length is wanted
# wire = "thin"            # which wire, where there are several
ends = ["eye", "eye"]

[[piece]]
name = "long tether"
count = 5
length = "900 mm"
ends = ["eye", "plain"]    # "plain" is an end without a joint

[[stock]]
name = "coil"
# wire = "thin"            # which wire, where there are several
mass = "0.05 kg"           # of one, the wire alone, without its spool; or length = "15 m"
count = 1                  # how many of it are there
# price = 9.50             # of one

[[stock]]
name = "rod"
length = "2.5 m"
count = "as needed"        # more can be had
"""
_IN_INCHES: Final = {
    'units = "metric"': 'units = "inch"  ',
    '"600 mm", "0.5 kg", "120 N"': '"24 in", "1 lb", "27 lbf"',
    '"1 mm"   ': '"1/16 in"', '"300 mm"': '"12 in" ', '"0.737 mm"': '"0.029 in"', '"6 mm"  ': '"1/4 in"',
    '"600 mm"': '"24 in" ', '"900 mm"': '"36 in" ', '"120 N" ': '"27 lbf"', '"0.05 kg"': '"0.11 lb"',
    '"15 m"': '"49 ft"', '"2.5 m"': '"8 ft" ',
}  # fmt: skip


def plan_template(units: UnitSystem = "metric") -> str:
    """Return a plan to start from, which reads as it stands, with quantities of that unit system.

    >>> [line for line in plan_template("inch").splitlines() if line.startswith(("units", "saw"))][1]
    'saw_loss = "1/16 in"       # wire lost at each cut'
    """
    return template_in(PLAN_TEMPLATE, _IN_INCHES, units)
