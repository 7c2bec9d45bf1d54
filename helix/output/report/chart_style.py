"""How charts look: one family of letters, inks that keep apart in grey, marks that do not rely on colour."""

from __future__ import annotations

from typing import Any, Final

STYLE: Final[dict[str, Any]] = {
    "font.family": "DejaVu Sans",
    "font.size": 8.0,
    "axes.titlesize": 8.5,
    "axes.titleweight": "bold",
    "axes.labelsize": 8.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.7,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#d9d9d9",
    "grid.linewidth": 0.5,
    "xtick.labelsize": 7.5,
    "ytick.labelsize": 7.5,
    "legend.fontsize": 7.5,
    "legend.frameon": False,
    "legend.handlelength": 1.6,
    "lines.linewidth": 1.2,
    "figure.dpi": 100.0,
    "path.simplify": True,
    "text.parse_math": False,
}

INK: Final = "#111111"
PLAIN: Final = "#00507a"
JOINT: Final = "#c2571a"
BAND: Final = "#e4e4e4"
QUIET: Final = "#6f6f6f"

# how a piece ended: marker, filled, what the legend says
MARKS: Final[dict[str, tuple[str, bool, str]]] = {
    "joint": ("o", True, "broke at a joint"),
    "clear": ("^", False, "broke clear of the joints"),
    "unwound": ("x", True, "unwound"),
    "grip": ("s", False, "ended at a grip"),
    "stopped": ("D", False, "was stopped"),
}
