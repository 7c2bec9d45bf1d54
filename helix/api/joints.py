"""One joint from Python: its shape, its hold, what hands do, what was made.

Every function takes a recipe as `RecipeLike`: a `Recipe`, its values as a mapping, or the path of its file. Keywords left
at None take what the command of the same name takes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from helix.api.asking import ask
from helix.tasks.opening import RecipeLike, recipe_of

if TYPE_CHECKING:
    from helix.findings import Judgement
    from helix.geometry.maths.jets import Array
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.hold.hold_result import HoldResult
    from helix.studies.hold.hold_table import HoldTable
    from helix.studies.hold.stretch import StretchResult
    from helix.studies.hold.why import WhyResult
    from helix.studies.inspect.inspection_result import Inspection
    from helix.studies.inspect.spread import SpreadResult
    from helix.studies.shape.shape import ShapeResult
    from helix.studies.shape.sweep import SweepResult
    from helix.studies.teaching.hand_work import FormResult

Friction = float | str | Mapping[str, float]
Pin = Literal["turns", "slides"]
Measure = float | str


def make_recipe(values: Mapping[str, Any] | None = None, /, **keywords: Any) -> Recipe:
    """Make a recipe from a dict, from keywords, or from both, as strictly as from a file.

    Parameters
    ----------
    values : mapping, optional
        Tables as in a recipe file, or keys without their table.
    **keywords
        Keys with their unit in the name where they have one: pin_mm, lay_d, throat_deg, turns, wraps, size, material ...

    Returns
    -------
    Recipe
        Every default filled in.

    Raises
    ------
    ValidationError
        With every fault at once.

    Examples
    --------
    >>> make_recipe(size="MWG 12", material="302 stainless", pin_mm=6, turns=4).twist.turns
    4.0
    """
    from helix.model.recipe.recipe import recipe_from_values

    return recipe_from_values({**(values or {}), **keywords})


def shape(recipe: RecipeLike, *, pulls: str | Path | None = None) -> ShapeResult:
    """Compute a joint's shape: the wire to cut, its sizes, gaps, bends and flags.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire: they decide the verdict.

    Returns
    -------
    ShapeResult

    Raises
    ------
    ValidationError
        Where the recipe cannot be used; its subclass InfeasibleJointError where no such joint exists.

    Examples
    --------
    >>> round(shape({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}).cut.total_mm, 1)
    459.6
    """
    answer: ShapeResult = ask("shape", recipe=recipe, pulls=pulls)
    return answer


def judge(recipe: RecipeLike) -> Judgement:
    """Judge a joint: the one verdict of its shape, its hold, its counts and what practice says.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.

    Returns
    -------
    Judgement
        How severe, the code that says so, and every finding, the most severe first.

    Raises
    ------
    ValidationError
        Where the recipe cannot be used.

    Examples
    --------
    >>> judge({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6, "turns": 2}).severity.word
    'fault'
    """
    from helix.studies.judge import judge as judge_of

    return judge_of(recipe_of(recipe))


def sweep(recipe: RecipeLike, *, paired: bool = False, **values: Sequence[float] | float | Array) -> SweepResult:
    """Compute many joints at once, as arrays; see `helix.studies.shape.sweep.sweep`. Shape alone: whether they hold, and pull tests, are not in it.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    paired : bool, optional
        True: the values go together one by one. False: every combination of them.
    **values
        Numbers by the recipe's key, with its unit in the name: turns, wraps, lay_d, pin_mm ...

    Returns
    -------
    SweepResult
        Arrays with one axis a key (one axis in all where paired).

    Raises
    ------
    ValidationError
        Where the recipe or a value cannot be used.

    Examples
    --------
    >>> sweep({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}, turns=[3, 4], wraps=[4, 5, 6]).cut_mm.shape
    (2, 3)
    """
    from helix.studies.shape.sweep import sweep as sweep_of

    return sweep_of(recipe_of(recipe), paired=paired, **values)


def hold(
    recipe: RecipeLike, *, friction: Friction | None = None, ductility: float | None = None, pin: Pin | None = None,
    draws: int | None = None, seed: int | None = None, calibrate: str | Path | None = None,
    pulls: str | Path | None = None, slack_mm: float | None = None, free_length_mm: float | None = None,
    broke_at: str | None = None,
) -> HoldResult:  # fmt: skip
    """Estimate at what load the joint lets go or breaks.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    friction : float or mapping, optional
        Effective friction numbers in place of the fitted ones, 0 to 10; one for all models, or {"L": 0.055}.
    ductility : float, optional
        Reduction of area at break, between 0 and 1.
    pin : "turns" or "slides", optional
        Whether the pin turns with the wire.
    draws, seed : int, optional
        How many seeded draws, and where they start.
    calibrate : path, optional
        Pull tests (CSV) to fit the friction numbers to first.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire, which move the load and the odds of unwinding.
    slack_mm, free_length_mm : float, optional
        Of two wires worked as one, how much longer one is, and the straight wire between the joints [mm].
    broke_at : str, optional
        Where a joint of it broke, a place of the result's `breaks`: then `result.broke_at` says what to look at.

    Returns
    -------
    HoldResult

    Raises
    ------
    ValidationError
        With every keyword that is out of range, and every fault of a file.

    Examples
    --------
    >>> hold({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}, draws=200).verdict
    'locks'
    """
    result: HoldResult = ask("hold", recipe=recipe, friction=friction, ductility=ductility, pin=pin, draws=draws,
                             seed=seed, calibrate=calibrate, pulls=pulls, slack_mm=slack_mm, free_length_mm=free_length_mm,
                             broke_at=broke_at).result  # fmt: skip
    return result


def hold_table(
    recipe: RecipeLike, *, friction: Friction | None = None, ductility: float | None = None, pin: Pin | None = None,
    draws: int | None = None, seed: int | None = None, calibrate: str | Path | None = None,
    pulls: str | Path | None = None,
) -> HoldTable:  # fmt: skip
    """Estimate the hold of every pair of 0 to 10 turns and 0 to 10 wraps.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    friction, ductility, pin, draws, seed, calibrate, pulls
        As for `hold`.

    Returns
    -------
    HoldTable

    Raises
    ------
    ValidationError
        With every keyword that is out of range, and every fault of a file.
    """
    table: HoldTable = ask("hold", table=True, recipe=recipe, friction=friction, ductility=ductility, pin=pin,
                           draws=draws, seed=seed, calibrate=calibrate, pulls=pulls).table[0]  # fmt: skip
    return table


def why(
    recipe: RecipeLike, *, friction: Friction | None = None, ductility: float | None = None, pin: Pin | None = None,
    draws: int | None = None, seed: int | None = None, calibrate: str | Path | None = None,
    pulls: str | Path | None = None,
) -> WhyResult:  # fmt: skip
    """Find the load path, the weakest place, and what changes would help.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    friction, ductility, pin, draws, seed, calibrate, pulls
        As for `hold`.

    Returns
    -------
    WhyResult

    Raises
    ------
    ValidationError
        With every keyword that is out of range, and every fault of a file.
    """
    answer: WhyResult = ask("why", recipe=recipe, friction=friction, ductility=ductility, pin=pin, draws=draws, seed=seed,
                           calibrate=calibrate, pulls=pulls)  # fmt: skip
    return answer


def stretch(recipe: RecipeLike, *, load_n: float | None = None, pulls: str | Path | None = None) -> StretchResult:
    """Compute how much the joint lengthens under a load.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    load_n : float, optional
        The load [N], above 0; the rated load of the recipe where none is given.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire: they decide the verdict.

    Returns
    -------
    StretchResult

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    answer: StretchResult = ask("stretch", recipe=recipe, load_n=load_n, pulls=pulls)
    return answer


def form(recipe: RecipeLike, *, hand_force_n: float | None = None, pulls: str | Path | None = None) -> FormResult:
    """Compute what the hands must apply to make it.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    hand_force_n : float, optional
        What a hand can apply at a tool's handle [N], above 0.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire: they decide the verdict.

    Returns
    -------
    FormResult

    Raises
    ------
    ValidationError
        With everything that is wrong.

    Examples
    --------
    >>> form({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}, hand_force_n=-5)
    Traceback (most recent call last):
    helix.errors.ValidationError: hand_force_n: must be above 0; got "-5 N"
    """
    answer: FormResult = ask("form", recipe=recipe, hand_force_n=hand_force_n, pulls=pulls)
    return answer


def inspect(
    recipe: RecipeLike, *, turns: Measure | None = None, crossings: Measure | None = None, wraps: Measure | None = None,
    wire_mm: float | None = None, lay_mm: float | None = None, twist_length_mm: float | None = None,
    twist_diameter_mm: float | None = None, barrel_length_mm: float | None = None,
    barrel_diameter_mm: float | None = None, eye_mm: float | None = None, eye_length_mm: float | None = None,
    length_mm: float | None = None, outside_length_mm: float | None = None, first_bend_deg: float | None = None,
    exit_deg: float | None = None, evenness: str | None = None, counted_to: str | None = None,
    caliper_mm: float | None = None,
    readings: str | Path | None = None, pulls: str | Path | None = None,
) -> Inspection:  # fmt: skip
    """Find what was made from counts and caliper readings.

    Parameters
    ----------
    recipe : RecipeLike
        What was intended: a recipe, its values as a mapping, or the path of its file.
    turns, crossings, wraps : float or str, optional
        Counts; one may carry its uncertainty, "5 +- 0.1".
    wire_mm, lay_mm, twist_length_mm, twist_diameter_mm, barrel_length_mm, barrel_diameter_mm : float, optional
        Caliper readings of wire, twist and barrel [mm].
    eye_mm, eye_length_mm, length_mm, outside_length_mm : float, optional
        Width and length of the eye inside, and the finished length from the eye, its inside or outside, to the last wrap [mm].
    first_bend_deg, exit_deg : float, optional
        Angle between the eye legs at the throat, and largest angle between tag and standing leg [deg], as seen.
    evenness : str, optional
        How even the twist looks: "even", "nearly-even", "uneven" or "one-straight".
    counted_to : str, optional
        "tag" where turns are counted to where the tag leaves the twist, and wraps from there.
    caliper_mm : float, optional
        One standard deviation of a caliper reading [mm].
    readings : str or Path, optional
        A file of readings; what is given beside it goes before.
    pulls : path, optional
        Pull tests (CSV) of the joint that was intended, which decide of one that was made so.

    Returns
    -------
    Inspection

    Raises
    ------
    ValidationError
        With everything that is wrong.

    Examples
    --------
    >>> inspect({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}, turns=5, wraps=4).made.barrel.wraps
    4.0
    """
    given = {name: value for name, value in locals().items() if name != "recipe"}
    answer: Inspection = ask("inspect", recipe=recipe, **given)
    return answer


def spread(
    recipe: RecipeLike, *, angle_deg: float | None = None, length_mm: float | None = None, turn: float | None = None,
    own: bool = False, draws: int | None = None, seed: int | None = None, pulls: str | Path | None = None,
) -> SpreadResult:  # fmt: skip
    """Find what small errors do to cut length, finished length and verdicts.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    angle_deg, length_mm, turn : float, optional
        One standard deviation of an angle [deg], a length [mm], a count [turns].
    own : bool, optional
        True: take the recipe's own tolerances.
    draws, seed : int, optional
        How many seeded draws, and where they start.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire: they decide the verdict.

    Returns
    -------
    SpreadResult

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    answer: SpreadResult = ask("spread", recipe=recipe, angle_deg=angle_deg, length_mm=length_mm, turn=turn, own=own,
                              draws=draws, seed=seed, pulls=pulls)  # fmt: skip
    return answer
