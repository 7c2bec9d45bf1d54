"""Readings that cannot be, and the count or size that would fit them."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.least_squares import Estimate, derivatives
from helix.studies.inspect.made_joint import VALUES, derived, fitted
from helix.studies.inspect.seen import barrel_angle_deg
from helix.values import keyed, result

_UNREAD = {
    "d": "the wire's diameter",
    "lay": "the lay",
    "outer": "the evenness",
    "turns": "the turns",
    "pitch": "the pitch of the barrel",
    "wraps": "the wraps",
    "barrel": "the barrel's diameter",
    "pin": "the pin",
    "exit": "the exit's length",
}


@result
class Inconsistency:
    """One reading that cannot be or that another fits better. fits: the count proposed, None where there is none."""

    name: str = keyed("reading")
    text: str = keyed("why")
    impossible: bool
    fits: float | None

    @property
    def words(self) -> str:
        """The reading as people call it."""
        return self.name.replace("_", " ")


def doubts_of(recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate) -> tuple[Inconsistency, ...]:
    """Every doubt about the readings of a joint made to this recipe; contradictions only where each could be."""
    doubts = (
        *_without_part(recipe, readings),
        *_twist(recipe, readings, estimate),
        *_across(readings, estimate),
        *_barrel(recipe, readings, estimate),
        *_exit(recipe, readings),
        *_pin(readings, estimate),
    )
    return (
        doubts
        if any(inconsistency.impossible for inconsistency in doubts)
        else (*doubts, *_together(readings, estimate))
    )


def _value(estimate: Estimate, name: str) -> tuple[float, float]:
    k = VALUES.index(name)
    return float(estimate.values[k]), float(estimate.deviations[k])


def _without_part(recipe: Recipe, readings: Mapping[str, Reading]) -> list[Inconsistency]:
    """Readings of a twist or barrel that has no turns or wraps."""
    counts = {"turns": recipe.twist.turns, "wraps": recipe.barrel.wraps}
    parts = {
        "turns": ("lay", "twist_length", "twist_diameter", "evenness"),
        "wraps": ("barrel_length", "barrel_diameter", "exit"),
    }
    doubts = []
    for count, names in parts.items():
        number = readings[count].value if count in readings else counts[count]
        doubts += [
            Inconsistency(
                name=name,
                text=f"cannot be measured where there are no {count}; give the {count}",
                impossible=True,
                fits=None,
            )
            for name in names
            if number == 0.0 and name in readings
        ]
    return doubts


def _twist(recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """The lay: too short to exist, or one that another count of turns brings to the recipe's."""
    if not {"lay", "twist_length"} & set(readings) or _value(estimate, "turns")[0] == 0.0:
        return []
    (lay, sd), (turns, _), (d, _) = _value(estimate, "lay"), _value(estimate, "turns"), _value(estimate, "d")
    name = "turns" if "turns" in readings else "twist_length" if "twist_length" in readings else "lay"
    shown = f"{turns:g} turns in {turns * lay:.4g} mm give a lay of {lay:.3g} mm ({lay / d:.2f} d)"
    fits = _better_turns(recipe, readings, lay, sd, turns)
    if lay <= limits.SHORTEST_LAY * d:
        text = f"{shown}, and no even twist is laid shorter than 2 d"
        if fits is not None:
            text += f"; {_proposal(fits, turns, turns * lay, d)}"
        return [Inconsistency(name=name, text=text, impossible=True, fits=fits)]
    if fits is not None:
        text = f"{shown}, far from the recipe's {recipe.twist.lay_mm:.3g} mm; {_proposal(fits, turns, turns * lay, d)}"
        return [Inconsistency(name=name, text=text, impossible=False, fits=fits)]
    return []


def _better_turns(recipe: Recipe, readings: Mapping[str, Reading], lay: float, sd: float, turns: float) -> float | None:
    """The count of turns that fits the recipe's lay far better than the one that was read, if there is one."""
    if "turns" not in readings or "twist_length" not in readings or "lay" in readings:
        return None
    wanted, length = recipe.twist.lay_mm, turns * lay
    slack = math.hypot(recipe.tolerance.lay_mm, sd)
    if abs(lay - wanted) <= limits.SURE * slack:
        return None
    others = [turns / 2.0, 2.0 * turns, turns - 1.0, turns + 1.0]
    miss, best = min((abs(length / n - wanted), n) for n in others if n > 0.0)
    return best if miss <= slack else None


def _proposal(fits: float, turns: float, length: float, d: float) -> str:
    lay = f"a lay of {length / fits:.3g} mm ({length / fits / d:.2f} d)"
    if math.isclose(2.0 * fits, turns):
        return f"{turns:g} fits as a count of crossings (half turns): {turns:g} crossings, {fits:g} turns, give {lay}"
    return f"{fits:g} turns would fit: {lay}; count again"


def _across(readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """Diameters that are too small or too large for what lies in them."""
    doubts = []
    d, d_sd = _value(estimate, "d")
    bounds = {
        "twist_diameter": (
            limits.TWIST_LEAST_D,
            limits.TWIST_MOST_D,
            "two wires side by side",
            "a tag round a straight leg",
        ),
        "barrel_diameter": (limits.BARREL_LEAST_D, limits.BARREL_MOST_D, "a wire wound on itself", "a barrel so loose"),
    }
    for name, (least, most, small, large) in bounds.items():
        if name not in readings:
            continue
        reading = readings[name]
        low, high = (math.hypot(reading.sd, n * d_sd) * limits.SURE for n in (least, most))
        if reading.value < least * d - low:
            text = f"{reading.value:.4g} mm is less than {least:g} d, {least * d:.4g} mm, which is {small}"
            doubts.append(
                Inconsistency(name=name, text=f"{text}; measure again, or give the wire", impossible=True, fits=None)
            )
        elif reading.value > most * d + high:
            text = f"{reading.value:.4g} mm is more than {most:g} d, {most * d:.4g} mm: {large} cannot be"
            doubts.append(
                Inconsistency(name=name, text=f"{text}; measure again, or give the wire", impossible=True, fits=None)
            )
    wire = readings.get("wire")
    if wire is not None and abs(wire.value / float(d) - 1.0) > limits.OTHER_WIRE:
        doubts.append(
            Inconsistency(
                name="wire",
                text=f"{wire.value:.4g} mm is far from the recipe's wire; is it the right recipe?",
                impossible=True,
                fits=None,
            )
        )
    return doubts


def _barrel(recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """Wraps that would overlap, or that one more would close up."""
    if "barrel_length" not in readings or _value(estimate, "wraps")[0] == 0.0:
        return []
    (pitch, _), (wraps, _), (d, _) = _value(estimate, "pitch"), _value(estimate, "wraps"), _value(estimate, "d")
    gap = float(derived(estimate.values, None)[1])
    spread = _gap_sd(estimate)
    name = "wraps" if "wraps" in readings else "barrel_length"
    length, touching = wraps * pitch, touching_pitch() * d
    wanted = recipe.barrel.pitch_mm or touching
    shown = f"{wraps:g} wraps over {length + d:.4g} mm have a pitch of {pitch:.3g} mm ({pitch / d:.2f} d)"
    slack = max(recipe.tolerance.wrap_gap_mm, limits.SURE * spread)
    fits = None
    if "wraps" in readings:
        others = [n for n in (wraps - 1.0, wraps + 1.0, float(round(length / touching))) if n >= 1.0 and n != wraps]
        best = min(others, key=lambda n: abs(length / n - wanted), default=wraps)
        fits = best if abs(length / best - wanted) <= slack else None
    if gap < -limits.SURE * spread:
        text = f"{shown}, less than the {touching:.3g} mm of touching wraps"
        text += "" if fits is None else f"; {fits:g} wraps would fit; count again"
        return [Inconsistency(name=name, text=text, impossible=True, fits=fits)]
    if fits is not None and abs(fits - wraps) <= 1.0 and abs(pitch - wanted) > 2.0 * slack:
        return [
            Inconsistency(
                name=name,
                text=f"{shown}; {fits:g} wraps would fit the recipe: count again",
                impossible=False,
                fits=fits,
            )
        ]
    return []


def _exit(recipe: Recipe, readings: Mapping[str, Reading]) -> list[Inconsistency]:
    """An exit that was seen flatter than the wraps that follow it."""
    out = readings.get("exit")
    own_deg = barrel_angle_deg(recipe)
    if out is None or out.value >= own_deg - limits.SURE * out.sd:
        return []
    text = f"{out.value:g} deg is less than the {own_deg:.1f} deg of the wraps themselves; look again, or measure the barrel's length"
    return [Inconsistency(name="exit", text=text, impossible=False, fits=None)]


def _pin(readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """An eye that has no room for a pin beside the twist that was read."""
    pin = _value(estimate, "pin")[0]
    if pin > 0.0:
        return []
    name = "eye_length" if "eye_length" in readings else "eye"
    text = "leaves no room for a pin in the eye of this twist; measure the eye and the twist again"
    return [Inconsistency(name=name, text=text, impossible=True, fits=None)]


def _gap_sd(estimate: Estimate) -> float:
    """Standard deviation of the gap between wraps [mm]."""
    slope = derivatives(lambda v: derived(v, None)[1:2], estimate.values, estimate.deviations)[0]
    return math.sqrt(float(slope @ estimate.covariance @ slope))


def _together(readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """Readings that contradict each other, or fit only with something unread beyond the recipe's tolerance."""
    names = fitted(readings)
    if not names:
        return []
    worst = int(np.argmax(np.abs(estimate.misfit)))
    misfit = float(estimate.misfit[worst])
    if abs(misfit) > limits.AMISS:
        reading = readings[names[worst]]
        off = misfit * reading.sd
        text = (
            f"is {100.0 * abs(off) / reading.value:.2g} % {'more' if off > 0 else 'less'} than the other readings "
            "and the recipe allow; measure again, or check the counts"
        )
        return [Inconsistency(name=reading.name, text=text, impossible=abs(misfit) > limits.IMPOSSIBLE, fits=None)]
    pulled = [VALUES[k] for k in np.argsort(-np.abs(estimate.pull)) if abs(float(estimate.pull[k])) > limits.AMISS]
    if not pulled:
        return []
    name = next((reading for reading in ("length", "eye_length", "wire") if reading in readings), names[0])
    words = " and ".join(_UNREAD.get(reading, reading) for reading in pulled)
    text = f"fits only with {words} further off the recipe than its tolerance; read that too, or measure again"
    return [Inconsistency(name=name, text=text, impossible=False, fits=None)]
