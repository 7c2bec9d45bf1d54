"""Try the inspection on joints of known make, and count how often it finds them again.

    python3 scripts/studies/inspection.py                 200 trials on the demo recipe
    python3 scripts/studies/inspection.py --trials 50 --recipe docs/examples/faults/uneven-half.toml

Each joint is made off its recipe, measured by calipers with errors, and inspected. Prints how many were found
with every size within its limits, and how often each size was. docs/theory/inspection.md quotes the result.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("inspection.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import argparse
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from _venv import call, ensure, main_with

ROOT = Path(__file__).resolve().parents[2]
STUDY = """
import sys
from collections import Counter
from helix.model.recipe.recipe import read_recipe
from tests.studies.inspect.inspection_trials import trial

recipe, count = read_recipe(sys.argv[1]), int(sys.argv[2])
missed, seen, found, doubted = Counter(), Counter(), 0, 0
for seed in range(count):
    each = trial(recipe, seed)
    found += each.recovered
    doubted += bool(each.found.doubts)
    missed.update(each.missed)
    seen.update(name for name, size in each.found.sizes.items() if size.read)
    if (seed + 1) % 20 == 0:
        print(f"{seed + 1} trials, {found} found again", flush=True)
print(f"{found} of {count} joints found again with every size within its limits; {doubted} with a doubt")
for name, number in sorted(seen.items()):
    print(f"  {name}: read in {number}, outside its limits in {missed[name]}")
"""


def job() -> int:
    parser = argparse.ArgumentParser(description="Count how often the inspection finds a joint of known make.")
    parser.add_argument("--trials", type=int, default=200)
    parser.add_argument("--recipe", default="docs/examples/logger-tether.toml")
    options = parser.parse_args()
    if not 1 <= options.trials <= 100_000:
        parser.error(f"--trials must be from 1 to 100000; got {options.trials}")
    return call(
        ensure(), "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r})\n{STUDY}", options.recipe, str(options.trials)
    )


if __name__ == "__main__":
    main_with(job)
