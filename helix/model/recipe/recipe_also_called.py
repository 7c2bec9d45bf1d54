"""What people write for a key of a recipe, by table ("" is the top): messages propose the key.

Common words, no source. A word that means something else as well (a gap is no pitch) is left out.
"""

from __future__ import annotations

from typing import Final

ALSO_CALLED: Final[dict[str, dict[str, str]]] = {
    "": {
        "name": "title", "loop": "eye", "bend": "entry", "coil": "barrel", "coils": "barrel", "wrap": "barrel",
        "ends": "finish",
    },
    "wire": {
        "gauge": "size", "dia": "diameter", "thickness": "diameter", "wire_diameter": "diameter",
        "alloy": "material", "grade": "material", "rating": "rated_load",
    },
    "eye": {
        "pin_diameter": "pin", "pin_size": "pin", "diameter": "pin", "bolt": "pin", "thimble": "pin",
        "angle": "throat",
    },
    "twist": {
        "lay": "lay_length", "pitch": "lay_length", "lead": "lay_length", "step": "lay_length",
        "pitch_length": "lay_length", "half_turns": "crossings", "twists": "turns", "angle": "lay_angle",
        "helix_angle": "lay_angle", "direction": "hand",
    },
    "entry": {"bend": "radius", "bend_radius": "radius"},
    "exit": {"angle": "peak_angle", "rotation": "swing", "turns": "swing", "type": "style"},
    "barrel": {
        "lay": "pitch", "lay_length": "pitch", "lead": "pitch", "spacing": "pitch", "coils": "wraps",
        "windings": "wraps", "turns": "wraps", "direction": "hand",
    },
    "finish": {"tail": "stub", "tag": "handle", "grip": "handle", "standing_leg": "standing"},
    "tolerance": {"lay_length": "lay", "pitch": "wrap_gap", "gap": "wrap_gap"},
}  # fmt: skip
