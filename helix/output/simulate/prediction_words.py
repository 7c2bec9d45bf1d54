"""What the simulation says of real wire, in words and as a table: how each piece is made, what to look at, what shows it wrong."""

from __future__ import annotations

from typing import Final

from helix.output.report.document import Table
from helix.studies.simulate.predictions import PREDICTIONS, Refutable, Test
from helix.units import UnitSystem, format_force

_MAKE: Final = {
    Test.NO_BARREL: "five turns and no barrel, tag cut 3 d past the last turn; pull",
    Test.ONE_BEND: "one bend of 90 deg round the wire's own diameter; pull it straight to break",
    Test.HANDS: "the joint, made by hands 75 and by hands 105 deg apart; measure the lay before the pull, then pull",
    Test.PAINT: "a line of paint along the barrel and the leg above it, on joints that are pulled anyway; film it",
}


def _said(item: Refutable, strength_n: float, units: UnitSystem) -> tuple[str, str]:
    """What is expected, and what shows it wrong."""

    def force(load: float) -> str:
        return format_force(load * strength_n, units)

    if item.test is Test.HANDS:
        wrong = f"over {item.wrong_above:.2f}"
        return (
            f"lay at 105 deg {item.low:.2f} to {item.high:.2f} of that at 75 deg; hands that differ make it uneven",
            wrong,
        )
    if item.test is Test.PAINT:
        wrong = "the marks fan out: the wraps turn one by one, or do not turn"
        return (
            f"the line on the barrel stays a line and turns back by {360.0 * item.low:.0f} to {360.0 * item.high:.0f} deg",
            wrong,
        )
    under = f"under {force(item.wrong_below or 0.0)}"
    if item.test is Test.NO_BARREL:
        return f"holds {force(item.low)} to {force(item.high)}", f"{under}: the barrel is what holds"
    return (
        f"breaks at {force(item.low)} to {force(item.high)}",
        f"{under}: ductility is used up, and a wide throat breaks early",
    )


def predictions_table(strength_n: float, units: UnitSystem = "metric") -> Table:
    """The four predictions; loads of this wire at its nominal strength."""
    rows = tuple((str(item.pieces), _MAKE[item.test], *_said(item, strength_n, units)) for item in PREDICTIONS)
    return Table(
        "What would refute the simulation",
        ("pieces", "make and pull", "simulated, not tested", "wrong if"),
        rows,
        left=(1, 2, 3),
        note="Loads at the wire's nominal strength; pull straight pieces of the same coil beside them and compare with those.",
    )
