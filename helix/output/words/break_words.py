"""What to look at when a joint broke somewhere, in words: one line a code of `helix.studies.hold.places.broke_at`."""

from __future__ import annotations

from typing import Final

BREAK_WORDS: Final[dict[str, str]] = {
    "break-here": "{usual:choose:a usual place|an unusual place: look for damage or a slip in making first}; by the estimate "
    "{odds:chance} of the joints that break do so here",
    "break-load": "its load: near the expected {expected_n:force} nothing is wrong; below {plan_n:force} something is (an estimate)",
    "exit-sharp": "the bend is sharper than in a good joint (strain {strain:.2f} against {usual:.2f}): let it come out "
    "over a longer way",
    "leg-bent-back": "the standing leg was bent and straightened again while the barrel was wound: hold the twist, not the leg",
    "tag-past-square": "the tag was bent past square: bent so hard it may crack as it is made, though it carries little in the pull; "
    "go straight from the twist to the first wrap",
    "tag-bent-back": "the tag was bent, opened and bent again: make the bend once",
    "legs-wide": "the legs stood {angle_deg:.0f} deg apart: keep under 90 (common practice, no source)",
    "hands-unlike": "one leg was bent harder than the other: hold both hands alike, to {alike_deg:.0f} deg (simulated, not tested)",
    "thin-pin": "the pin is thin, {pin_d:.1f} d: use {usual_d:g} d or more",
    "pin-edge": "an edge or a burr on the pin or ring where the wire lay",
    "twist-uneven": "the twist is uneven, so one leg carries more: open the legs to the same angle and turn both",
    "lay-tight": "the lay is tight, {lay_d:.1f} d: twist to {sound_d:g} d or more",
    "wraps-scratch": "a wrap or the cut end of the tag has scratched the standing leg",
    "tool-marks": "marks of pliers or a vice at the break: a nick in hard wire starts a crack",
    "near-grip": "how far from the grip: within some ten diameters it is the grip's break and says nothing of the joint",
    "straight-pulls": "straight wire of the same coil, pulled: if it breaks as low, the coil is weak and the joint is not",
    "wire-damage": "kinks, rust and nicks in the wire away from the joint",
}
