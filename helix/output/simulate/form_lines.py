"""A joint formed by hands in a simulation: its lines in the answer, and a table of it."""

from __future__ import annotations

from helix.output.report.document import Table
from helix.studies.simulate.form_result import BarrelShape, FormOutcome, FormRun, TwistShape
from helix.units import UnitSystem, format_length, format_turns

FORM_ASSUMPTIONS = (
    "Hands: each pulls one leg in a fixed direction and grips anew 8 d from the work; wire is free to turn about itself in the fingers. They pull alike, at a tension that is assumed.",
    "The wire starts bent round the pin, with what that leaves in it; the pin turns with the eye and does not rub. Before the barrel is wound the twist is held, the standing leg straightened and held, the tag swung out.",
    "Hands do not wind to a recipe: the lay is what comes out. A pull starts from the recipe's lay, unless it is asked to start formed.",
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
    if run.wound is not None and run.sprung is not None:
        lines.append(
            f"The barrel lies {_percent(run.wound.off_d)} off the leg in the hand, {_percent(run.sprung.off_d)} let go; its wraps {run.sprung.pitch_d:.2f} d apart."
        )
    return lines


def _percent(off_d: float) -> str:
    return f"{max(100.0 * off_d, 0.0):.1f} % of the wire"


_BARREL = (
    "barrel round the leg",
    "barrel off the leg",
    "wraps apart",
    "strain where the tag leaves",
    "strain where the leg leaves",
)


def _barrel(shape: BarrelShape | None) -> tuple[str, ...]:
    if shape is None:
        return ("-",) * len(_BARREL)
    return (
        format_turns(shape.turns),
        f"{shape.off_d:.3f} d",
        f"{shape.pitch_d:.2f} d",
        f"{shape.tag_strain:.2f}",
        f"{shape.leg_strain:.2f}",
    )


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
    rows += tuple(zip(_BARREL, _barrel(run.wound), _barrel(run.sprung), strict=True)) if run.wound else ()
    turned = " and ".join(f"{360.0 * turns:.0f}" for turns in run.twisted) + " deg"
    return Table(
        f"Formed by hands {run.hands_deg:.0f} deg apart ({mark})",
        ("", "in the hands", "let go"),
        (*rows, ("wire about itself in a turn, standing leg and tag", turned, "")),
        left=(0, 1, 2),
        note=f"tension of either hand {run.tension:g} of the strength, friction {run.friction:g} (both assumed); unaccounted {100.0 * run.unaccounted:.2f} % of all work.",
    )
