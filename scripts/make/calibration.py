"""Write helix/data/calibration.toml, the default friction numbers, from the facts of common practice alone.

    python scripts/make/calibration.py            write it
    python scripts/make/calibration.py --check    write nothing; exit code 1 if the file says something else

The facts and what is assumed beside them stand in validation/practice.toml and helix/data/practice.toml. Nothing else goes in.
"""

from __future__ import annotations

import os
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
TARGET = ROOT / "helix" / "data" / "calibration.toml"
DIGITS = 4
DENOMINATOR = "the wire's own strength, as the bends leave it"


def text() -> str:
    """The file's content."""
    from helix.mechanics.grip import SIMULATED_LAY_D
    from tests.studies.hold.evidence.practice_fit import DRAWS, LEVELS, SEED, fit_practice, middle_ends
    from validation.practice_facts import facts

    known = facts()
    scatter = known.scatter
    fits = fit_practice(known)
    rule = fits[0].rule
    evidence = (
        f"the rule that {known.turns:g} full turns and {known.wraps:g} full wraps hold, and that {known.short_turns:g} and "
        f"{known.short_wraps:g} do not in the heaviest wire"
    )
    notes = (
        (
            "The rule varies turns and wraps together, so it cannot tell which of them holds: the least number of "
            "wraps rests on practice alone."
        ),
        "The models have no length scale: no trend with size is claimed.",
        f"The lay is not stated by the rule; {scatter.lay_d:g} d is assumed. Model R was run at {SIMULATED_LAY_D:g} d.",
        (
            "Read as: of the count that holds at least 19 of 20 break before they unwind, of the other at least half let go "
            "(assumed). Each fixes one end of an interval; the number lies anywhere in it."
        ),
        "Only how joints end is used, no load and no number of pieces.",
        (
            f"Friction is assumed to differ by {scatter.friction:.0%} from piece to piece (one sigma); the rule allows up to "
            f"{min(fit.most_scatter for fit in fits):.0%}."
        ),
    )
    lines = [
        "# The default friction numbers. Made by scripts/make/calibration.py; do not edit.",
        "# One effective number a model, fitted and never measured, and of no use in another model.",
        "",
        'origin = "common practice"',
        f'mark = "{known.mark}"',
        'made_by = "scripts/make/calibration.py"',
        f'evidence = "{evidence}"',
        "notes = [",
        *(f'    "{note}",' for note in notes),
        "]",
        f"lay_d = {scatter.lay_d:g}",
        f'denominator = "{DENOMINATOR}"',
        f"draws = {DRAWS}",
        f"seed = {SEED}",
        "",
        "[rule]",
        f"turns = {rule.turns:g}",
        f"short_turns = {rule.short_turns:g}",
        f"exit_strain = {rule.exit_strain:.{DIGITS}f}",
    ]
    for fit in fits:
        at = dict(zip(LEVELS, fit.quantiles, strict=True))
        lines += [
            "",
            "[[model]]",
            f'key = "{fit.key}"',
            f"value = {at[0.5]:.{DIGITS}f}",
            f"low = {at[0.025]:.{DIGITS}f}",
            f"high = {at[0.975]:.{DIGITS}f}",
            f"scatter = {scatter.friction:g}",
            f"holds = {fit.rule.holds:.{DIGITS}f}  # of the middle piece's need: 19 of 20 hold with {known.turns:g} turns",
            f"lets_go = {fit.rule.lets_go:.{DIGITS}f}  # half let go with {known.short_turns:g}",
            "ends = [{:.{digits}f}, {:.{digits}f}]  # what the rule leaves, all else at its middle".format(
                *middle_ends(fit.key, fit.rule, scatter), digits=DIGITS
            ),
            f"met = {fit.met:.2f}  # part of the draws in which the rule can be met at both ends",
            f"most_scatter = {fit.most_scatter:.2f}  # from piece to piece, that the rule still allows",
            f"levels = [{', '.join(f'{level:g}' for level in LEVELS)}]",
            f"quantiles = [{', '.join(f'{value:.{DIGITS}f}' for value in fit.quantiles)}]",
        ]
    return "\n".join(lines) + "\n"


def differs(one: object, other: object) -> bool:
    """Whether two values of the file differ by more than a unit of the last digit written."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() != other.keys() or any(differs(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) != len(other) or any(differs(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) > 1.01 * 10.0**-DIGITS
    return one != other


def main(arguments: list[str]) -> int:
    """Write the file, or compare it."""
    sys.path.insert(0, str(ROOT))
    if arguments not in ([], ["--check"]):
        print(f"usage: {Path(__file__).name} [--check]", file=sys.stderr)
        return 2
    content = text()
    name = TARGET.relative_to(ROOT).as_posix()
    if arguments:
        stands = tomllib.loads(TARGET.read_text(encoding="utf-8")) if TARGET.exists() else {}
        same = not differs(tomllib.loads(content), stands)
        print(f"{name} is up to date" if same else f"{name} is out of date; run: python scripts/make/calibration.py")
        return 0 if same else 1
    unfinished = TARGET.with_suffix(".unfinished")
    unfinished.write_text(content, encoding="utf-8", newline="\n")
    os.replace(unfinished, TARGET)
    print(f"{name} written")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
