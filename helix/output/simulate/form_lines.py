"""Legs twisted by hands in a simulation: its lines in the answer, and a table of it."""

from __future__ import annotations

from helix.output.report.document import Table
from helix.studies.simulate.form_result import FormOutcome, FormRun, TwistShape
from helix.units import UnitSystem, format_length

FORM_ASSUMPTIONS = (
    "Hands: each pulls one leg in a fixed direction and grips anew 8 d from the work; wire is free to turn about itself in the fingers. They pull alike, at a tension that is assumed.",
    "The wire starts bent round the pin, with what that leaves in it; the pin turns with the eye and does not rub. The barrel is not wound here, and the leg is not let come straight.",
    "A twist made like this is not what a pull starts from: it starts from the recipe's lay.",
)


def form_lines(run: FormRun, lay_d: float, d_mm: float, units: UnitSystem) -> list[str]:
    """What hands made of the recipe's lay, what letting go does, how hard the wire was bent."""
    hands = f"hands {run.hands_deg:.0f} deg apart"
    if run.unlike_deg:
        hands += f", the tag's {run.unlike_deg:.0f} deg further off,"
    if run.held is None:
        end = "have no more wire" if run.outcome is FormOutcome.NO_WIRE else "did not converge"
        return [f"Simulated, not tested: {hands} {end} before {run.turns:g} turns were made."]
    lines = [
        f"Simulated, not tested: {hands} twist to a lay of {format_length(run.held.lay_d * d_mm, units)} ({run.held.lay_d:.1f} d); the recipe has {lay_d:.1f} d.",
        f"Evenness {run.held.evenness:.2f} (1: both legs alike). A turn takes {run.torque:.2f} of strength times wire.",
    ]
    if run.free is not None:
        stand = f"stand {100.0 * run.free.gap_d:.0f} % of the wire apart" if run.free.gap_d > 0.005 else "still touch"
        lines.append(f"Let go, the lay is {run.free.lay_d / run.held.lay_d - 1.0:+.0%} and the legs {stand}.")
    lines.append(
        f"First crossing {run.first_deg:.0f} deg, strain {run.first_strain:.2f}; the turns after it {run.strain:.2f}; hardest fibre, with twist, {run.fibre_strain:.2f}."
    )
    return lines


def form_table(run: FormRun, d_mm: float, units: UnitSystem, mark: str) -> Table:
    """The twist in the hands and let go, side by side."""

    def column(shape: TwistShape | None) -> tuple[str, ...]:
        if shape is None:
            return ("-",) * 5
        return (
            f"{format_length(shape.lay_d * d_mm, units)} ({shape.lay_d:.2f} d)",
            f"{shape.evenness:.2f}",
            f"{shape.gap_d:.3f} d",
            f"{shape.press:.3f} of the strength on a d",
            f"{shape.throat_deg:.0f} deg",
        )

    names = ("lay", "evenness", "between the legs", "they press", "legs of the eye")
    rows = tuple(zip(names, column(run.held), column(run.free), strict=True))
    turned = " and ".join(f"{turns:.2f}" for turns in run.twisted)
    return Table(
        f"Twisted by hands {run.hands_deg:.0f} deg apart ({mark})",
        ("", "in the hands", "let go"),
        (*rows, ("turns about itself in a turn, standing leg and tag", turned, "")),
        left=(0, 1, 2),
        note=f"tension of either hand {run.tension:g} of the strength, friction {run.friction:g} (both assumed); unaccounted {100.0 * run.unaccounted:.2f} % of all work.",
    )
