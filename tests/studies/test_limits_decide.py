"""Every limit decides: moved by 1 % it changes an answer in a case that lies just beside it.

Map: a probe answers for a value in the limit's own unit. It is asked for a value between the limit and the limit moved,
with the one and with the other, upwards and downwards; the answers must differ. A count is asked for itself, and must
differ one way. No limit is without a probe. What lies exactly at a limit is on the side that its words give it to.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace as Stand
from typing import Any

import numpy as np
import pytest

from helix.data.materials import find_material
from helix.data.practice import practice
from helix.findings import Finding, Severity, judgement_of
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.mechanics.bends import bend_strain, retained
from helix.mechanics.limits import LIMITS
from helix.model.joint.wire import wire_of
from helix.model.measured.curve_file import curve_from_text, read_mapping
from helix.model.measured.pull_file import PullFile
from helix.model.measured.readings import Reading
from helix.model.measured.slip_tests import SlipTest
from helix.model.recipe.recipe import recipe_from_text
from helix.output.batch import cut_table
from helix.output.inspect import spread_table
from helix.output.pulls import pull_rely
from helix.output.surface.model_files import size_lines
from helix.output.surface.model_parts import JointParts, Part, Plate
from helix.output.words.findings.finding_words import explain
from helix.output.words.hold_words import governs_words
from helix.output.words.words import sound_line
from helix.statistics.fits.likelihood import sample
from helix.statistics.load_curves import curve_events
from helix.statistics.samples import outliers
from helix.studies.hold import grip_models, hold_findings, outcome, why
from helix.studies.hold.evidence import deciding_test, friction_fit, wound_alike
from helix.studies.hold.evidence.own_pulls import counts_against, own_pulls
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.pair import pair_load
from helix.studies.inspect import made_checks
from helix.studies.inspect.made_joint import VALUES, lengths_of
from helix.studies.judge import judge_held
from helix.studies.pulls import pull_compare, pull_confronted, pull_joints, pull_predicted, pull_unwinding
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls_plan import load_cells
from helix.studies.shape import bends, joint_findings
from helix.studies.teaching import compare_joints
from helix.studies.teaching.hand_work import form
from helix.tasks.batch import choose_task
from helix.tasks.task import given_of
from helix.values import Values


def joint(**sizes: float) -> Any:
    """A joint as far as its findings look at it."""
    own: dict[str, Any] = {"turns": 5.0, "wraps": 5.0, "lay": 4.0, "evenness": 1.0, "lift": 0.0, "gap": 0.0}
    own |= {"count": 1} | sizes
    return Stand(
        diameter_mm=1.0,
        section_mm=lambda name: 1.0,
        layout=Stand(
            sizes=Stand(
                turns=own["turns"], wraps=own["wraps"], lay=own["lay"], standing_radius=0.5, tag_radius=0.5,
                pitch=touching_pitch() + own["gap"], pitch_slack=0.0, barrel_sign=1.0, count=own["count"],
                touching_pitch=touching_pitch(), wrap_gap=own["gap"], tag_throat=Stand(lay=0.7, curvature=0.5),
                standing_throat=Stand(lay=0.7, curvature=0.5),
            ),
            planned=Stand(plan=Stand(lift=own["lift"], bulge=0.0)),
        ),
        recipe=Stand(
            twist=Stand(turns=own["turns"], evenness=own["evenness"], hand="right"),
            tolerance=Stand(turns=0.0, wraps=0.0, wrap_gap_mm=0.0), exit=Stand(style="gradual", peak_angle_rad=None),
            eye=Stand(throat_rad=None), entry=Stand(radius_mm=None),
        ),
    )  # fmt: skip


def found(part: Callable[..., Any], *arguments: Any) -> list[tuple[str, int]]:
    return [(finding.code, finding.severity) for finding in part(*arguments)]


def verdict(chances: list[float]) -> str:
    """The verdict on models that give unwinding these chances."""
    models = tuple(Stand(not_applicable_because="", hold=0.9, slip=2.0, unwinds=chance) for chance in chances)
    breaks = Stand(nominal=0.9, still=np.array([0.9]))
    return outcome._judged(models, [np.ones(4)] * len(chances), (Stand(name="exit_standing"),), breaks).verdict


def quantile(wanted: Callable[[Any], float]) -> float:
    """What is read off the pieces of a good joint."""
    recipe = recipe_from_text(WIRE + "turns = 5\n")
    return wanted(hold_with.__wrapped__(recipe, setting_of(recipe, draws=1000)))  # not the answer that is remembered


def off_the_others(misfit: float) -> list[made_checks.Inconsistency]:
    readings = {"lay": Reading(name="lay", value=4.0, sd=0.1, stated=True)}
    recipe = recipe_from_text(WIRE + "turns = 5\n")
    return made_checks._together(recipe, readings, estimate(misfit), lengths_of(recipe))


def grip(**counts: float) -> grip_models.Grip:
    own: dict[str, Any] = {"turns": 5.0, "wraps": 5.0, "lay_d": 3.75, "evenness": 1.0} | counts
    return grip_models.Grip(**own, pitch_d=1.013, same_hand=True)


def counts(turns: float, wraps: float) -> str:
    stainless = Stand(wire=Stand(material=find_material("302 stainless").name))
    return hold_findings.practice_end(stainless, grip(turns=turns, wraps=wraps))


def estimate(misfit: float) -> Any:
    return Stand(misfit=np.array([misfit]), pull=np.zeros(len(VALUES)))


def doubts(name: str, mm: float, sd: float = 0.0) -> list[str]:
    """What is doubted of a reading of wire of 1 mm that is known exactly."""
    values = np.ones(len(VALUES))
    known = Stand(values=values, deviations=np.zeros(len(VALUES)))
    return [
        doubt.name for doubt in made_checks._across({name: Reading(name=name, value=mm, sd=sd, stated=True)}, known)
    ]


def together(correlation: float) -> bool:
    """Whether tests whose turns and wraps have that correlation are varied apart."""
    turns = np.array([-1.0, 1.0, -1.0, 1.0])
    other = np.array([-1.0, -1.0, 1.0, 1.0])
    wraps = correlation * turns + math.sqrt(1.0 - correlation**2) * other
    pieces = [SlipTest(k, 0.5, 5.0 + turns[k], 5.0 + wraps[k], 4.0, True, 1) for k in range(4)]
    return friction_fit.separable(pieces)[0]


def helps(gain: float = 0.0, fall: float = 0.0) -> bool:
    """Whether a change helps that gains this part of the strength, or lowers the chance of unwinding by that."""

    def held(chance: float) -> Any:
        return Stand(
            plan_with_n=0.0,
            strength_n=1.0,
            findings=(),
            probability=Stand(unwinds=chance),
            verdict="locks",
            recipe=recipe,
        )

    recipe = recipe_from_text(WIRE + "turns = 5\n")
    before, after = held(0.5), held(0.5 - fall)
    change: Any = Stand(result=after, before=before, gain_n=gain, mends=(), cures=(), judgement=judge_held(before))
    return why._helps(change)


def curve(drop: float = 0.0, last: float = 1.0) -> tuple[int, bool]:
    """Slips of a curve that rises to 1, falls by a part once on its way, and ends at a part of its peak."""
    rise = (np.linspace(0.0, 0.75, 300), np.linspace(0.75 - drop, 1.0, 300))
    load = np.concatenate([*rise, [last] * 3])
    events = curve_events(np.linspace(0.0, 1.0, load.size), load)
    return len(events.drops), events.end is not None


def differs(unit: Any) -> Callable[[float], bool]:
    return lambda x: compare_joints._differs(0.0, x, unit)


def band(off: float) -> bool:
    recipes: Any = [Stand(wire=Stand(diameter_mm=1.0, breaking_load_n=(1.0, 2.0, 3.0), material="steel"))]
    pieces: Any = [Stand(diameter_mm=1.0 + off)]
    return pull_predicted._wire_band("A", pieces, recipes) is None


def cell(grade: str) -> Callable[[float], bool]:
    """Whether a cell of that class vouches for a load that is the limit times its resolution."""
    return lambda x: load_cells.judged(load_cells.load_cell(1000.0, grade, 1.0), 1.0 / x, 900.0).will_do


PULLS = Path(__file__).resolve().parents[2] / "docs" / "examples" / "pulls"
WIRE = '[wire]\ndiameter = "1 mm"\nmaterial = "302 stainless"\n[eye]\npin = "8 d"\n[twist]\n'
SHOWN: Any = Stand(load=lambda newtons: f"{newtons:.0f}", force="N")


def twist_of(lay: float) -> list[made_checks.Inconsistency]:
    """What is doubted of a lay that was read on wire of 1 mm."""
    known: Any = Stand(values=np.ones(len(VALUES)), deviations=np.zeros(len(VALUES)))
    known.values[VALUES.index("lay")] = lay
    return made_checks._twist(
        Stand(twist=Stand(lay_mm=4.0), wire=Stand(count=1)),
        {"lay": Reading(name="lay", value=lay, sd=0.0, stated=True)},
        known,
    )


def advice(remedy: str) -> str:
    loose = Finding(code="loose-lay", severity=Severity.FAULT, values=Values(lay_d=9.0, limit_d=8.0), remedy=remedy)
    return explain(loose).do


def changes(lay: float = 4.0, pin: float = 8.0) -> list[str]:
    """The changes that are tried on a joint of that lay and pin."""
    text = WIRE.replace('"8 d"', f'"{pin:.12g} d"') + f'turns = 5\nlay_length = "{lay:.12g} d"\n'
    return [what for what, _ in why._changes(recipe_from_text(text), limits.FEW)]


def alike(pin: float = 8.0, throat: float = 80.0) -> bool:
    """Whether pieces of a joint on that pin with that first bend are pieces of the usual one."""
    one, other = (
        recipe_from_text(WIRE.replace('pin = "8 d"', f'pin = "{p:.12g} d"\nthroat = "{t:.12g} deg"') + "turns = 5\n")
        for p, t in ((8.0, 80.0), (pin, throat))
    )
    return wound_alike.pulled_alike(one, other)


def against_wire(thinner: float) -> bool:
    """Whether pieces that unwound count against a joint in wire that theirs is thicker than by that proportion."""
    five = recipe_from_text(WIRE + "turns = 5\n")
    of = five.variant(wire=replace(five.wire, diameter_mm=five.wire.diameter_mm / (1.0 + thinner), size=None))
    none = PullFile("mine.csv", (), (), (), (), 0)
    return counts_against(own_pulls(none, of, counted=[(five, 9, 2)]))


def alike_exits(shorter: float) -> bool:
    """Whether pieces of a joint are those of one whose exit is shorter by that part of itself."""

    def of(leg: float) -> Any:
        return recipe_from_text(WIRE + f'turns = 5\n[exit]\nleg = "{leg:.12g} d"\nswing = 0.4\n[barrel]\nwraps = 5\n')

    whole = wound_alike._exit_d(of(4.0))
    return wound_alike.pulled_alike(of(4.0), of(4.0 - shorter * whole))


def breaking_at(share: float) -> list[str]:
    """What is found of a joint that is expected to break at that part of what it would hold made right."""
    recipe: Any = Stand(wire=Stand(rated_load_n=None, material="none"))
    ended: Any = Stand(verdict="locks", governing=None, unwinds=0.0, governs_place="exit_tag", models=())
    coming: Any = Stand(expected_n=share, plan_with_n=share, own_unwound=0, own_broke_n=(), broke_of="own")
    return [finding.code for finding in hold_findings.hold_findings(recipe, grip(turns=6.0), ended, coming, 1.0)]


def estimated(failures: int, pieces: int) -> bool:
    """Whether there is an estimate of one joint from so many pieces, some of which failed."""
    loads = 800.0 + np.arange(pieces)
    return pull_joints._estimated(sample(loads, np.arange(pieces) < failures), 0, "joint").mean_n.value is not None


def unwinding(pieces: int) -> bool:
    made: Any = [
        Stand(turns=4.0 + k % 2, wraps=5.0, ending=("unwound", "joint")[(k // 2) % 2], cells={}) for k in range(pieces)
    ]
    return pull_unwinding._one("all", made).refused is None


def compared(p: float) -> str:
    return pull_compare._effect(Stand(difference_n=Stand(low=1.0, high=2.0, value=1.5), welch=Stand(holm=p)))


def group(ended: int = 20, without: float | None = None) -> Any:
    """A group whose load to rely on is 1000 N, or another one without its odd piece."""
    other = None if without is None else Stand(tolerance_95_95_n=without)
    odd = [Stand(id="L1", load_n=1.0)]
    return Stand(ended=ended, unwound=0, rely_on_n=1000.0, without=other, standing=odd)


def departure(x: float) -> bool:
    """Whether a curve that stays off its line by a part of its elastic extension at the peak has left it."""
    extension, load = np.linspace(0.0, 0.9, 200), np.linspace(0.0, 0.9, 200)
    rest = np.linspace(0.9, 1.0, 50)
    events = curve_events(np.concatenate([extension, rest[1:] + x]), np.concatenate([load, rest[1:]]))
    return events.departure is not None


def wish_of(faults: list[Any]) -> Any:
    look = lambda option: "100 N" if option.key == "load" else None
    return choose_task.wish_of(given_of(choose_task.TASK, look, faults.append))


def plate_of(mm: float) -> Plate:
    """Wire so thick, printed at true size."""
    return Plate((JointParts(mm, Part((), (40.0, 1.0, 1.0)), ()),), 1.0, 220.0, True, False)


def spread_of(share: float) -> Any:
    total = Stand(nominal_mm=1.0, low_mm=1.0, high_mm=1.0)
    bend = Stand(name="exit_tag", severity=Severity.OK, trials=Stand(ok=1.0 - share))
    return Stand(cut=total, finished=total, bends=[bend])


def pieces_with(enough: float) -> Any:
    own = Stand(name="leader", at_load_n=None)
    piece = Stand(piece=own, low_mm=0.0, high_mm=0.0, long=False, spare=1, enough=enough, ends=())
    return Stand(pieces=[piece])


def curve_agrees(x: float) -> list[tuple[str, ...]]:
    """What is remarked of a curve whose peak is off the load written down by that proportion."""
    mapping = read_mapping(PULLS / "curves.toml")
    text = (PULLS / "curves" / "L001.csv").read_text(encoding="utf-8")
    peak = curve_events(
        *(getattr(curve_from_text(text, mapping, "L001.csv"), part) for part in ("extension_mm", "load_n"))
    )
    piece: Any = Stand(curve="L001.csv", row=1, load_n=peak.peak / (1.0 + x), id="L001", group="g", failure="broke")
    seen, faults = curves_of([piece], {"L001.csv": text}, mapping, "pulls")
    assert not faults
    return [one.notes for one in seen]


def least_scatter(x: float) -> float:
    """The scatter of a friction number that was fitted without any."""
    sure = Stand(quantile=lambda level: 0.06, interval=lambda level: (0.05, 0.07))
    none = Stand(quantile=lambda level: 0.0)
    used = [SlipTest(1, 0.5, 4.0, 5.0, 4.0, True, 1)]
    fitted = Stand(location_confidence=sure, scale_confidence=none)
    tests = Stand(denominator="", place="")
    number = friction_fit._number("L", fitted, used, practice().scatter, tests)
    assert number is not None
    return number.scatter


def tells_apart(x: float) -> int:
    """How many tests tell the models apart where each parts them by that part of the strength."""
    setting = setting_of(recipe_from_text(WIRE + "turns = 5\n"), draws=100)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(deciding_test, "_widest_gap", lambda said: 1000.0 * x)
        return len(deciding_test.deciding_tests(grip(), 0.9, setting, 1000.0))


def speaks_against(x: float) -> list[bool]:
    """Whether each of two models stays, one of which makes the tests less likely by that."""
    pieces = tuple(SlipTest(k, 0.5 + 0.01 * k, 4.0, 5.0, 3.75, True, 1) for k in range(4))
    tests = Stand(pieces=pieces)
    number = Stand(value=0.06)
    fits: Any = tuple(
        friction_fit.ModelFit(key=key, friction=number, unwound=4, held=0, left_out=()) for key in ("L", "E")
    )
    with pytest.MonkeyPatch.context() as patch:
        likely = iter((0.0, -x))
        patch.setattr(friction_fit, "fit", lambda data: Stand(log_likelihood=next(likely)))
        patch.setattr(friction_fit, "_slope", lambda *_: 1.0)
        return [each.friction is not None for each in friction_fit._compared(fits, tests, practice().scatter)]


def bent(leaves: float) -> Any:
    place = Stand(place="exit_tag", strain=0.5, load_proportion=1.0, leaves=Stand(nominal=leaves))
    return Stand(governs_place="exit_tag", breaks=[place], grip=Stand(turns=5.0))


PROBES: dict[str, Callable[[float], Any]] = {
    "STRAIN_OK": bend_strain.strain_severity,
    "STRAIN_CAUTION": bend_strain.strain_severity,
    "ANGLE_LIMIT_RAD": bend_strain.angle_severity,
    "GAUGE_D": lambda x: float(retained.strain_of_turn(0.3, 0.0)),
    "FOLDED_STRAIN": lambda x: bends._kinked(2.0 * x),
    "OVERLAP_D": lambda x: found(joint_findings._overlap, joint(), -x, ("barrel", "twist_tag")),
    "LIFT_OFF_D": lambda x: found(joint_findings._lift_off, joint(lift=x)),
    "OPEN_GAP_D": lambda x: found(joint_findings._barrel, joint(gap=x)),
    "LOOSE_LAY": lambda x: found(joint_findings._twist, joint(lay=x)),
    "LOOSE_LAY_TWO": lambda x: found(joint_findings._twist, joint(lay=x, count=2)),
    "EVEN": lambda x: found(joint_findings._twist, joint(evenness=x)),
    "UNEVEN": lambda x: found(joint_findings._twist, joint(evenness=x)),
    "FEW": lambda x: found(joint_findings._counts, joint(turns=x)),
    "VERY_FEW": lambda x: found(joint_findings._counts, joint(turns=x)),
    "MANY": lambda x: found(joint_findings._counts, joint(turns=x)),
    "SHORT": lambda x: counts(4.0, 4.0),
    "LOCKS_AT": lambda x: verdict([0.0, x]),
    "UNWINDS_AT": lambda x: verdict([x, 0.9]),
    "TAIL": lambda x: quantile(lambda result: result.hold_n.low),
    "HELD": lambda x: quantile(lambda result: result.plan_with_n),
    "HINGE_WRAPS": lambda x: (
        grip_models.not_applicable_because("L", grip(wraps=x)) == "",
        found(joint_findings._counts, joint(wraps=x)),
    ),
    "LAY_REACH": lambda x: grip_models.not_applicable_because("R", grip(lay_d=3.75 * (1.0 + x))),
    "WORTH_LOAD": lambda x: helps(gain=x),
    "WORTH_CHANCE": lambda x: helps(fall=x),
    "VARIED_TOGETHER": together,
    "COMPARE_NEAR": lambda x: compare_joints._differs(1000.0, 1000.0 * (1.0 + x), "mm"),
    "COMPARE_DEG": differs("deg"),
    "COMPARE_D": differs("d"),
    "COMPARE_MM": differs("mm"),
    "COMPARE_N": differs("N"),
    "COMPARE_SHARE": differs("share"),
    "AMISS": lambda x: len(off_the_others(x)),
    "IMPOSSIBLE": lambda x: off_the_others(x)[0].impossible,
    "OTHER_WIRE": lambda x: doubts("wire", 1.0 + x),
    "TWIST_LEAST_D": lambda x: doubts("twist_diameter", x),
    "TWIST_MOST_D": lambda x: doubts("twist_diameter", x),
    "BARREL_LEAST_D": lambda x: doubts("barrel_diameter", x),
    "BARREL_MOST_D": lambda x: doubts("barrel_diameter", x),
    "OUTLIER_SIGNIFICANCE": lambda x: outliers([1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 20.0])[0].limit,
    "FEWEST_FOR_OUTLIERS": lambda x: len(outliers([1.0, 1.1, 1.2, 1.3, 9.0])),
    "SAME_WIRE": band,
    "DISAGREES": lambda x: pull_confronted.CountAgreement(count=1, of=9, expected=0.01, p=x).agrees,
    "CURVE_DROP": lambda x: curve(drop=x)[0],
    "CURVE_BROKEN": lambda x: curve(last=x)[1],
    "SHORTEST_LAY": lambda x: [doubt.impossible for doubt in twist_of(x)],
    "OVER_TWIST": lambda x: len(recipe_from_text(WIRE + f'turns = 5\nlength = "{5.0 * x:.12g} d"\n').notes),
    "SOUND_LAY": lambda x: advice("sound-lay"),
    "USUAL_LAY": lambda x: advice("usual-lay"),
    "LAY_OFF": lambda x: changes(lay=4.0 + x),
    "GOOD_PIN_D": lambda x: changes(pin=x),
    "EARLY": lambda x: breaking_at(x),
    "LEAST_EVEN": lambda x: grip_models.not_applicable_because("R", grip(evenness=x)) == "",
    "PAIR_LOSS": lambda x: pair_load.pair_load(wire_of("302 stainless", 1.0), np.ones(100), 1.0).most_slack_mm,
    "NEAR_PIN": lambda x: alike(pin=8.0 * (1.0 - x)),
    "NEAR_EXIT": alike_exits,
    "NEAR_WIRE": against_wire,
    "NEAR_THROAT_DEG": lambda x: alike(throat=80.0 + x),
    "WANDER_DEG": lambda x: form(recipe_from_text(WIRE + "turns = 5\n")).grips.free_length_mm,
    "SURE": lambda x: doubts("twist_diameter", 2.0 - 0.01 * x, 0.01),
    "FEWEST_FAILURES": lambda x: estimated(3, 5),
    "LEAST_SHARE_FAILED": lambda x: estimated(30, 100),
    "FEWEST_COUNTED": lambda x: unwinding(8),
    "SIGNIFICANCE": compared,
    "ENOUGH_PIECES": lambda x: pull_rely._remark(group(ended=10), SHOWN),
    "ODD_MOVES": lambda x: pull_rely._remark(group(without=1000.0 * (1.0 + x)), SHOWN),
    "CURVE_DEPARTS": departure,
    "LOAD_MARGIN": lambda x: wish_of([]).margin,
    "ONLY_JUST": lambda x: sound_line(Stand(bends=[Stand(name="entry_tag", strain=0.5 * x)])),
    "BEND_SPENT": lambda x: governs_words(bent(x)),
    "THIN_MM": lambda x: len(size_lines(plate_of(x), "metric")),
    "VERDICT_DOUBTFUL": lambda x: spread_table._answer(spread_of(x), "metric")[-1],
    "SPARE_ENOUGH": lambda x: cut_table._advice(pieces_with(x), "metric"),
    "CURVE_AGREES": curve_agrees,
    "LEAST_SCATTER": least_scatter,
    "TELLS_APART": tells_apart,
    "SPEAKS_AGAINST": speaks_against,
    "CELL_CLASS_05": cell("0.5"),
    "CELL_CLASS_1": cell("1"),
    "CELL_CLASS_2": cell("2"),
    "CELL_CLASS_3": cell("3"),
}

ONE_WAY = {"SHORT", "FEWEST_FOR_OUTLIERS", "FEWEST_FAILURES", "LEAST_SHARE_FAILED", "FEWEST_COUNTED", "ENOUGH_PIECES"}
"""Counts: a whole number passes a limit that is moved past it one way only, or is met by the limit itself alone."""


def test_every_limit_has_a_probe() -> None:
    assert set(LIMITS) == set(PROBES)


@pytest.mark.parametrize("name", PROBES)
def test_a_limit_that_is_moved_by_one_percent_changes_an_answer(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    value, probe = LIMITS[name].value, PROBES[name]
    changed = []
    for factor in (1.01, 0.99):
        beside = value * (1.0 + factor) / 2.0
        before = probe(beside)
        monkeypatch.setattr(limits, name, value * factor)
        changed.append(probe(beside) != before)
        monkeypatch.setattr(limits, name, value)
    assert any(changed) if name in ONE_WAY else all(changed)


BELOW = (
    "STRAIN_OK STRAIN_CAUTION ANGLE_LIMIT_RAD FOLDED_STRAIN OVERLAP_D LIFT_OFF_D OPEN_GAP_D LOOSE_LAY LOOSE_LAY_TWO VERY_FEW "
    "LOCKS_AT UNWINDS_AT LAY_REACH AMISS IMPOSSIBLE TWIST_MOST_D BARREL_MOST_D SHORTEST_LAY LAY_OFF NEAR_PIN NEAR_EXIT "
    "NEAR_THROAT_DEG SURE SIGNIFICANCE ONLY_JUST VERDICT_DOUBTFUL CELL_CLASS_05 CELL_CLASS_1 CELL_CLASS_2 CELL_CLASS_3"
)  # more, further, longer is what is told: the limit itself is not; few, or a lay, that is "as many or fewer" is
ABOVE = (
    "EVEN UNEVEN FEW MANY HINGE_WRAPS TWIST_LEAST_D BARREL_LEAST_D DISAGREES CURVE_DROP CURVE_BROKEN OVER_TWIST GOOD_PIN_D "
    "EARLY LEAST_EVEN BEND_SPENT THIN_MM SPARE_ENOUGH WORTH_LOAD CURVE_DEPARTS"
)  # fewer, less, thinner is what is told: the limit itself is not; as many as many are, and a fall of a slip, is


@pytest.mark.parametrize(
    ("name", "side"), [*((name, -1.0) for name in BELOW.split()), *((name, 1.0) for name in ABOVE.split())]
)
def test_what_is_exactly_at_a_limit_is_on_the_side_of_its_words(name: str, side: float) -> None:
    value, probe = LIMITS[name].value, PROBES[name]
    with_it, across = (probe(value * (1.0 + way * 0.001)) for way in (side, -side))
    assert probe(value) == with_it != across


def test_the_one_order_of_severity() -> None:
    assert [severity.word for severity in sorted(Severity)] == ["ok", "note", "caution", "sharp", "fault"]
    assert bend_strain.strain_severity(0.6) == Severity.CAUTION and bend_strain.strain_severity(0.8) == Severity.SHARP
    assert bend_strain.angle_severity(math.radians(91.0)) == Severity.SHARP
    assert bend_strain.angle_severity(0.0) == bend_strain.strain_severity(0.0) == Severity.OK
    judged = [judgement_of([Finding(code="few", severity=severity)]) for severity in Severity]
    assert [judgement.is_ok for judgement in judged] == [True, True, True, False, False]
