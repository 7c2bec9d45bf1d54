"""What scripts/bench.py measures: whole commands against other commands, and warm jobs against what people would use instead.

A new bench is one more entry here; a warm job also needs its name in MODULES of benches/warm.py and its function in that module.
"""

from dataclasses import dataclass

RECIPE = "docs/examples/logger-tether.toml"
NUMPY, STATISTICS = ("-c", "import numpy"), ("-c", "import scipy.special, scipy.stats")


@dataclass(frozen=True)
class Bench:
    """One row: what is timed, against what, and the ratio that is wanted.

    ours: a command line for the environment's Python; empty: the warm job of the same name in benches/warm.py. peer: the
    other's command line. limit: seconds (or MB) to compare with instead of a peer. printed: ours prints the seconds that count.
    unit: "s", or "MB" for the most memory that the process takes. error: the largest that is allowed, where the job tells one.
    most_runs, quick_runs: no more runs than these, for what takes long; 0 leaves it out of a quick look.
    """

    name: str
    what: str
    peer_name: str
    goal: float
    stretch: float
    ours: tuple[str, ...] = ()
    peer: tuple[str, ...] = ()
    limit: float = 0.0
    printed: bool = False
    unit: str = "s"
    error: float | None = None
    most_runs: int = 1000
    quick_runs: int = 2


PULLS = """
import pathlib, tempfile
from helix.commands.main import main
rows = ["id,group,load,unit,failure"]
rows += [f"{k},{'AB'[k % 2]},{800 - 100 * (k % 2) + 7 * k % 40},N,{'unwound' if k == 4 else 'broke_exit'}" for k in range(20)]
with tempfile.TemporaryDirectory() as folder:
    file = pathlib.Path(folder) / "tests.csv"
    file.write_text("\\n".join(rows))
    raise SystemExit(main(["pulls", "read", str(file)]))
"""
TEN_THOUSAND_ROWS = """
import pathlib, random, tempfile
from helix.commands.main import main
draw = random.Random(1)
words = ["broke_exit"] * 7 + ["broke_clear", "unwound", "grip"]
rows = [f"{k},g{k % 6},{draw.gauss(820, 20):.1f},N,{draw.choice(words)}" for k in range(10_000)]
with tempfile.TemporaryDirectory() as folder:
    file = pathlib.Path(folder) / "tests.csv"
    file.write_text("id,group,load,unit,failure\\n" + "\\n".join(rows))
    raise SystemExit(main(["pulls", "read", str(file), "--json"]))
"""
A_HUNDRED_THOUSAND_POINTS = """
import pathlib, tempfile
from helix.commands.main import main
with tempfile.TemporaryDirectory() as name:
    folder = pathlib.Path(name)
    rows = [f"{k * 6e-5:.5f},{max(0.0, k * 6e-5 - 0.3) * 150.0 if k < 99_000 else 2.0:.3f}" for k in range(100_000)]
    (folder / "c.csv").write_text("s,F\\n" + "\\n".join(rows))
    (folder / "m.toml").write_text("[load]\\ncolumn='F'\\nunit='N'\\n[extension]\\ncolumn='s'\\nunit='mm'\\n")
    (folder / "t.csv").write_text("id,group,load,unit,failure,curve\\n1,A,846,N,broke_exit,c.csv\\n")
    raise SystemExit(main(["pulls", "read", str(folder / "t.csv"), "--curves", str(folder / "m.toml"), "--json"]))
"""
CUT = """
import pathlib, tempfile
from helix.commands.main import main
plan = '''[wire.thin]
size = "MWG 12"
material = "302 stainless"
[[piece]]
name = "long"
count = 12
length = "704 mm"
ends = ["plain", "plain"]
[[piece]]
name = "short"
count = 9
length = "310 mm"
ends = ["plain", "plain"]
[[stock]]
name = "bar"
length = "2 m"
count = 12
'''
with tempfile.TemporaryDirectory() as folder:
    file = pathlib.Path(folder) / "plan.toml"
    file.write_text(plan)
    raise SystemExit(main(["cut", str(file)]))
"""
MANY_TURNS = """
from math import pi
from helix.geometry.wire.curves import Line, Strand
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import CurvePiece, Path
legs = [Strand((0.5,), (pi / 2,), angle, 0.0, 20_000.0) for angle in (0.0, pi)]
coil, core = Strand((1.0,), (6.2,), 0.0, 20_010.0, 5_067.0), Line((0.0, 0.0, 20_005.0), (0.0, 0.0, 1.0), 5_100.0)
assert abs(nearest([Path((CurvePiece("", curve),)) for curve in (*legs, coil, core)]).gap) < 1e-9
"""


def written(*words: str) -> tuple[str, ...]:
    """Make a command whose file or folder goes into a temporary folder; OUT stands for it."""
    code = (
        "import sys, tempfile; from helix.commands.main import main\n"
        "with tempfile.TemporaryDirectory() as folder:\n"
        f"    sys.exit(main([word.replace('OUT', folder) for word in {list(words)!r}]))"
    )
    return ("-c", code)


def cold(name: str, what: str, ours: tuple[str, ...], goal: float, stretch: float) -> Bench:
    """Make a row of a whole command against importing numpy."""
    return Bench(name, what, "import numpy", goal, stretch, ours=ours, peer=NUMPY, quick_runs=3)


def within(
    name: str, what: str, seconds: float, ours: tuple[str, ...] = (), stretch: float = 0.7, **more: object
) -> Bench:
    """Make a row of something that has so many seconds."""
    return Bench(name, what, f"{seconds:g} s", 1.0, stretch, ours=ours, limit=seconds, **more)  # type: ignore[arg-type]


TREE = "cKDTree, samples 0.02 d"
BENCHES = (
    Bench("gap-whole", "least gap of the demo joint, its whole wire", TREE, 0.2, 0.1, error=1e-12),
    Bench("gap-joint", "the same without the long standing leg", TREE, 0.5, 0.25, error=1e-12),
    Bench("gap-helices", "least gap of two helices of 20 turns, by the search", TREE, 0.5, 0.25, error=1e-12),
    Bench("gap-coil", "least gap of a coil of 20 wraps, by the search", TREE, 0.5, 0.25, error=1e-12),
    Bench("curvature", "curvature and torsion each 0.02 d, joins included", "CubicSpline", 1.0, 0.5, error=1e-13),
    Bench("mesh-sweep", "tube, 4,000 rings x 24 sides, triangles", "trimesh's sweep", 0.15, 0.1, error=1e-6),
    Bench("mesh-filter", "the same", "VTK's tube filter", 0.25, 0.125, error=1e-6),
    Bench("mesh-exported", "mesh as exported, touching parts kept apart", "trimesh's sweep", 2.0, 1.0, error=1e-9),
    Bench("write-stl", "the joint's mesh as STL", "best writer", 1.0, 0.5),
    Bench("write-glb", "as GLB, with normals, colours, sections, strains", "best writer", 1.0, 0.5),
    Bench("write-ply", "as PLY, with the same", "best writer", 1.0, 0.5),
    within("shape-warm", "`shape` of a new recipe, warm, nothing known of it", 0.05, quick_runs=7),
    Bench(
        "sweep", "100,000 joints of a grid by `helix.sweep`, 20 lays among them", "helix.shape in a loop",
        1.0 / 1000.0, 1.0 / 4000.0, most_runs=3, quick_runs=1,
    ),
    Bench("cut-proven", "12 cutting lists of 2 to 6 lengths, proven", "HiGHS on every pattern", 1.0, 0.5, error=0.0),
    cold("shape", "cold `helix shape` on the demo recipe, no picture", ("-m", "helix", "shape", RECIPE), 8.0, 4.0),
    cold("cut", "cold `helix cut`, 21 pieces of 2 lengths", ("-c", CUT), 4.0, 3.0),
    cold("pulls", "cold `helix pulls read` of 20 pieces in 2 groups", ("-c", PULLS), 4.0, 3.0),
    within("draw", "cold `helix draw`, a picture", 2.0, written("draw", RECIPE, "-o", "OUT/a.png"), most_runs=5),
    within("sheet", "cold `helix sheet`", 1.5, written("sheet", RECIPE, "-o", "OUT/a.pdf"), most_runs=5),
    within("spread", "cold `helix spread`", 1.0, ("-m", "helix", "spread", RECIPE), most_runs=5),
    within("steps", "cold `helix steps`, a folder", 4.0, written("steps", RECIPE, "-o", "OUT/steps"), most_runs=3, quick_runs=1),
    Bench(
        "memory", "memory of the search over 5,000 turns and 5,000 wraps", "500 MB", 1.0, 0.2,
        ours=("-c", MANY_TURNS), limit=500.0, unit="MB", most_runs=3,
    ),
    within("picture", "a picture of 1600 x 900 with its close-ups, warm", 1.5, stretch=0.6, most_runs=5),
    within("hold", "one hold estimate with 10,000 draws, warm", 0.05, stretch=0.5, quick_runs=5),
    within("hold-table", "11 x 11 pairs of turns and wraps, 10,000 draws each", 2.0, stretch=0.25, most_runs=5, quick_runs=1),
    Bench("hold-sweep", "hold of 100,000 parameter sets at once", "the same in a loop", 1.0 / 150.0, 1.0 / 400.0, most_runs=9),
    Bench("pulls-rows", "cold `helix pulls read` of 10,000 pieces in 6 groups", STATISTICS[1].removeprefix("import "),
          4.0, 2.0, ours=("-c", TEN_THOUSAND_ROWS), peer=STATISTICS),
    Bench("pulls-curve", "the same of a curve of 100,000 points", STATISTICS[1].removeprefix("import "),
          4.0, 2.0, ours=("-c", A_HUNDRED_THOUSAND_POINTS), peer=STATISTICS),
    within("simulated-pull", "one simulated pull of the demo joint, compiled already, processor time", 10.0,
           ("scripts/benches/simulate.py", "pull"), 0.5, printed=True, most_runs=3, quick_runs=0),
    within("cut-sixty", "cold `helix cut`, 60 pieces of 8 lengths, within 1 %", 5.0, ("scripts/benches/plan.py", "sixty"),
           0.8, printed=True, most_runs=5, quick_runs=0),
    within("cut-five-hundred", "cold `helix cut`, 500 pieces of 20 lengths, within 1 %", 30.0,
           ("scripts/benches/plan.py", "five-hundred"), 0.7, printed=True, most_runs=2, quick_runs=0),
)  # fmt: skip
