"""Readings that cannot be, and the count or size that would fit them."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from helix.geometry.twist.touching import least_strand_radius
from helix.geometry.twist.worked_wires import barrel_touching_pitch, strand_radius
from helix.mechanics import limits
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.least_squares import Estimate, derivatives
from helix.studies.inspect.made_joint import VALUES, Lengths, derived, fitted, predicted, read_made
from helix.studies.inspect.seen import barrel_angle_deg
from helix.values import Values, keyed, result


@result
class Inconsistency:
    """One reading that cannot be or that another fits better. code: what is amiss, for the table of words; values: the
    numbers behind it. fits: the count proposed, None where there is none."""

    name: str = keyed("reading")
    code: str
    values: Values = Values()
    impossible: bool = True
    fits: float | None = None


def doubts_of(
    recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate, lengths: Lengths
) -> tuple[Inconsistency, ...]:
    """Every doubt about the readings of a joint made to this recipe; contradictions only where each could be."""
    doubts = (
        *_without_part(recipe, readings),
        *_twist(recipe, readings, estimate),
        *_across(readings, estimate, recipe.wire.count),
        *_ring(recipe, readings, estimate),
        *_barrel(recipe, readings, estimate),
        *_exit(recipe, readings),
        *_pin(readings, estimate),
        *_whole(readings),
    )
    return (
        doubts
        if any(inconsistency.impossible for inconsistency in doubts)
        else (*doubts, *_together(recipe, readings, estimate, lengths))
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
            Inconsistency(name=name, code="no-such-part", values=Values(count=count))
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
    fits = _better_turns(recipe, readings, lay, sd, turns)
    shortest = limits.SHORTEST_LAY * recipe.wire.count
    short = lay <= shortest * d
    if not short and fits is None:
        return []
    values = Values(
        turns=turns,
        length_mm=turns * lay,
        lay_mm=lay,
        lay_d=lay / d,
        shortest_d=shortest,
        recipe_lay_mm=recipe.twist.lay_mm,
        fitting_lay_mm=None if fits is None else turns * lay / fits,
        crossings=fits is not None and math.isclose(2.0 * fits, turns),
    )
    return [
        Inconsistency(
            name=name, code="lay-cannot-be" if short else "lay-far-off", values=values, impossible=short, fits=fits
        )
    ]


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


def _across(readings: Mapping[str, Reading], estimate: Estimate, wires: int = 1) -> list[Inconsistency]:
    """Diameters that are too small or too large for what lies in them."""
    doubts = []
    d, d_sd = _value(estimate, "d")
    more = wires - 1.0  # of two wires: four strands in touch; a pair more to wind round
    bounds = {
        "twist_diameter": (_thinnest_twist(wires), limits.TWIST_MOST_D + more),
        "barrel_diameter": (limits.BARREL_LEAST_D + more, limits.BARREL_MOST_D + more),
    }
    for name, (least, most) in bounds.items():
        if name not in readings:
            continue
        reading = readings[name]
        low, high = (math.hypot(reading.sd, n * d_sd) * limits.SURE for n in (least, most))
        if reading.value < least * d - low:
            values = Values(read_mm=reading.value, bound_d=least, bound_mm=least * d, **_of_two(wires))
            doubts.append(Inconsistency(name=name, code="too-thin", values=values))
        elif reading.value > most * d + high:
            values = Values(read_mm=reading.value, bound_d=most, bound_mm=most * d, **_of_two(wires))
            doubts.append(Inconsistency(name=name, code="too-thick", values=values))
    wire = readings.get("wire")
    if wire is not None and abs(wire.value / float(d) - 1.0) > limits.OTHER_WIRE:
        doubts.append(Inconsistency(name="wire", code="other-wire", values=Values(read_mm=wire.value)))
    return doubts


def _of_two(wires: int) -> dict[str, bool]:
    """What marks a doubt as one about two wires worked as one."""
    return {"of_two": True} if wires > 1 else {}


def _thinnest_twist(wires: int) -> float:
    """Across a twist whose strands run straight, in touch [d]."""
    return limits.TWIST_LEAST_D if wires == 1 else 2.0 * least_strand_radius(2 * wires) + 1.0


def _ring(recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """Four strands that do not lie in a ring: thicker or thinner than touching ones of this lay."""
    if recipe.wire.count == 1 or "twist_diameter" not in readings:
        return []
    (outer, sd), (lay, _), (d, _) = (_value(estimate, name) for name in ("outer", "lay", "d"))
    if lay <= 2.0 * recipe.wire.count * d:
        return []
    ring = strand_radius(lay / d, recipe.wire.count)
    if abs(outer - ring) <= limits.SURE * sd:
        return []
    values = Values(read_mm=(2.0 * outer + 1.0) * d, ring_mm=(2.0 * ring + 1.0) * d, thicker=outer > ring)
    return [Inconsistency(name="twist_diameter", code="no-ring", values=values, impossible=False)]


def _barrel(recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """Wraps that would overlap, or that one more would close up."""
    if "barrel_length" not in readings or _value(estimate, "wraps")[0] == 0.0:
        return []
    (pitch, _), (wraps, _), (d, _) = _value(estimate, "pitch"), _value(estimate, "wraps"), _value(estimate, "d")
    gap = float(derived(estimate.values, None, recipe.wire.count)[1])
    spread = _gap_sd(estimate, recipe.wire.count)
    name = "wraps" if "wraps" in readings else "barrel_length"
    length, touching = wraps * pitch, barrel_touching_pitch(recipe.wire.count) * d
    wanted = recipe.barrel.pitch_mm or touching
    values = Values(
        wraps=wraps,
        length_mm=length + d,
        pitch_mm=pitch,
        pitch_d=pitch / d,
        touching_mm=touching,
        **_of_two(recipe.wire.count),
    )
    slack = max(recipe.tolerance.wrap_gap_mm, limits.SURE * spread)
    fits = None
    if "wraps" in readings:
        others = [n for n in (wraps - 1.0, wraps + 1.0, float(round(length / touching))) if n >= 1.0 and n != wraps]
        best = min(others, key=lambda n: abs(length / n - wanted), default=wraps)
        fits = best if abs(length / best - wanted) <= slack else None
    if gap < -limits.SURE * spread:
        return [Inconsistency(name=name, code="wraps-overlap", values=values, fits=fits)]
    if fits is not None and abs(fits - wraps) <= 1.0 and abs(pitch - wanted) > 2.0 * slack:
        return [Inconsistency(name=name, code="other-wraps", values=values, impossible=False, fits=fits)]
    return []


def _exit(recipe: Recipe, readings: Mapping[str, Reading]) -> list[Inconsistency]:
    """An exit that was seen flatter than the wraps that follow it."""
    out = readings.get("exit")
    own_deg = barrel_angle_deg(recipe)
    if out is None or out.value >= own_deg - limits.SURE * out.sd:
        return []
    values = Values(read_deg=out.value, wraps_deg=own_deg)
    return [Inconsistency(name="exit", code="flatter-than-wraps", values=values, impossible=False)]


def _pin(readings: Mapping[str, Reading], estimate: Estimate) -> list[Inconsistency]:
    """An eye that has no room for a pin beside the twist that was read."""
    pin = _value(estimate, "pin")[0]
    if pin > 0.0:
        return []
    name = "eye_length" if "eye_length" in readings else "eye"
    return [Inconsistency(name=name, code="no-room-for-pin")]


def _whole(readings: Mapping[str, Reading]) -> list[Inconsistency]:
    """A whole that is shorter than two of its parts, which lie one behind the other."""
    parts = [readings[name] for name in ("twist_length", "barrel_length") if name in readings]
    together = sum(part.value for part in parts)
    return [
        Inconsistency(name=name, code="shorter-than-parts", values=Values(read_mm=whole.value, parts_mm=together))
        for name in ("length", "outside_length")
        if len(parts) > 1 and (whole := readings.get(name)) is not None
        if whole.value + limits.AMISS * math.hypot(whole.sd, *(part.sd for part in parts)) < together
    ]


def _gap_sd(estimate: Estimate, wires: int) -> float:
    """Standard deviation of the gap between wraps [mm]."""
    slope = derivatives(lambda v: derived(v, None, wires)[1:2], estimate.values, estimate.deviations)[0]
    return math.sqrt(float(slope @ estimate.covariance @ slope))


def _together(
    recipe: Recipe, readings: Mapping[str, Reading], estimate: Estimate, lengths: Lengths
) -> list[Inconsistency]:
    """Readings that contradict each other, or fit only with something unread beyond the recipe's tolerance."""
    names = fitted(readings)
    if not names:
        return []
    worst = int(np.argmax(np.abs(estimate.misfit)))
    misfit = float(estimate.misfit[worst])
    if abs(misfit) > limits.AMISS:
        reading = readings[names[worst]]
        others = {name: other for name, other in readings.items() if name != reading.name}
        without = read_made(recipe, others, lengths)  # the fit itself leans towards what is far off
        values = Values(off=reading.value / predicted(reading.name, without.values, lengths, recipe.wire.count) - 1.0)
        impossible = abs(misfit) > limits.IMPOSSIBLE
        return [Inconsistency(name=reading.name, code="contradicts", values=values, impossible=impossible)]
    pulled = [VALUES[k] for k in np.argsort(-np.abs(estimate.pull)) if abs(float(estimate.pull[k])) > limits.AMISS]
    if not pulled:
        return []
    name = next(
        (reading for reading in ("length", "outside_length", "eye_length", "wire") if reading in readings), names[0]
    )
    return [Inconsistency(name=name, code="fits-only-with", values=Values(unread=" ".join(pulled)), impossible=False)]
