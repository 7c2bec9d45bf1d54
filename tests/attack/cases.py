"""The cases of an attack: each recipe through several commands, each broken file through the command that reads it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TypeVar

from hypothesis import HealthCheck, Phase, Verbosity, given, seed, settings
from hypothesis import strategies as st

from tests.attack.attacking import Case
from tests.attack.broken_files import ODD_VALUES, broken_files
from tests.attack.wide_recipes import wide_recipes

Drawn = st.DrawFn
Drawing = TypeVar("Drawing")

EXAMPLES = Path(__file__).resolve().parents[2] / "docs" / "examples"
DRAWS = ("--draws", "500")
_READINGS = (
    "wire", "lay", "twist-length", "twist-diameter", "barrel-length", "barrel-diameter", "eye", "eye-length", "length",
)  # fmt: skip


@cache
def example(name: str) -> str:
    """The text of an example's file."""
    return (EXAMPLES / name).read_text(encoding="utf-8")


# ------------------------------------------------------------------ recipes over the whole range


@st.composite
def recipe_cases(draw: Drawn, others: int = 3) -> list[Case]:
    """One recipe, and the commands that it goes through: shape always, and others in turn (choose seldom: it is slow)."""
    files = {"r.toml": draw(wide_recipes()).encode()}
    ways: list[tuple[tuple[str, ...], bool]] = [
        (("hold", "r.toml", "--json", *DRAWS), False),
        (("hold", "r.toml", *DRAWS), False),
        (("hold", "r.toml", "--table", "--json", *DRAWS), True),
        (
            ("hold", "r.toml", "--strict", "--friction", draw(st.sampled_from(["0", "0.05", "L=1e-9", "E=10", "5"]))),
            False,
        ),
        (("why", "r.toml", "--json"), False),
        (("why", "r.toml"), False),
        (("form", "r.toml", "--json"), False),
        (("form", "r.toml", "--hand-force", draw(st.sampled_from(["1 N", "1e-9 N", "1e9 N", "10 lbf"]))), False),
        (("stretch", "r.toml", "--json", "--load", draw(LOADS)), False),
        (("stretch", "r.toml", "--load", draw(LOADS)), False),
        (("link", "r.toml", "--json"), True),
        (("link", "r.toml", "--ring", draw(AMOUNTS), "--ring-inside", draw(AMOUNTS)), True),
        (("spread", "r.toml", "--json", "--draws", "200"), True),
        (("spread", "r.toml", "--own", "--draws", "200"), True),
        (("spread", "r.toml", "--json", "--draws", "200", "--turn", "1", "--angle", "20 deg", "--length", "2 d"), True),
        (("choose", "--recipe", "r.toml", "--json", "--load", draw(LOADS), "--family", "MWG"), True),
        (("choose", "--recipe", "r.toml", "--load", draw(LOADS), "--pin", draw(AMOUNTS), "--family", "AWG"), True),
        (("inspect", "r.toml", "--json", *draw(_readings())), False),
        (("inspect", "r.toml", "-o", "made.toml", *draw(_readings())), False),
        (("draw", "r.toml", "-o", "a.svg"), False),
        (("draw", "r.toml", "-o", "a.svg", "--strict"), False),
        (("pulls", "plan", "r.toml", "--json"), True),
        (("shape", "r.toml", "--all"), False),
    ]
    if draw(st.integers(0, 2)):
        ways = [way for way in ways if way[0][0] != "choose"]
    some = draw(st.lists(st.sampled_from(ways), min_size=others, max_size=others, unique=True))
    return [Case(("shape", "r.toml", "--json"), files), *(Case(words, files, long) for words, long in some)]


_numbers = st.floats(-9.0, 9.0).map(lambda power: f"{10.0**power:.6g}")
AMOUNTS = st.one_of(
    st.builds("{} {}".format, _numbers, st.sampled_from(["mm", "d", "in"])),
    st.floats(0.05, 80.0).map(lambda size: f"{size:.4g} mm"),
    st.sampled_from([value.strip('"') for value in ODD_VALUES if len(value) < 40]),
)
LOADS = st.one_of(
    st.builds("{} {}".format, _numbers, st.sampled_from(["N", "lbf", "kgf"])),
    st.floats(1.0, 2000.0).map(lambda load: f"{load:.4g} N"),
    st.sampled_from([value.strip('"') for value in ODD_VALUES if len(value) < 40]),
)


@st.composite
def _readings(draw: Drawn) -> list[str]:
    """One to five readings as options, with or without an uncertainty."""
    words: list[str] = []
    for name in draw(st.lists(st.sampled_from(_READINGS), min_size=1, max_size=4, unique=True)):
        reading = draw(AMOUNTS)
        if draw(st.booleans()):
            reading += f" +- {draw(AMOUNTS)}"
        words += [f"--{name}={reading}"]
    if draw(st.booleans()):
        count = draw(st.one_of(st.floats(0.0, 12.0).map(lambda n: f"{n:.3g}"), _numbers))
        some = draw(st.sampled_from([f"--turns={count}", f"--crossings={count}", f"--wraps={count}"]))
        words.append(some + draw(st.sampled_from(["", " +- 0.1", " +- 1e-9"])))
    return words


# ------------------------------------------------------------------ broken files


@st.composite
def file_cases(draw: Drawn) -> list[Case]:
    """One broken file, and a command or two that read it."""
    kind = draw(
        st.sampled_from(["recipe", "recipe", "plan", "pulls", "pulls", "curves", "mapping", "slips", "readings"])
    )
    if kind == "recipe":
        name = draw(st.sampled_from(["logger-tether.toml", "faults/over-twist.toml", "pulls/steep-exit.toml"]))
        files = {"r.toml": draw(broken_files(example(name)))}
        second = draw(st.sampled_from([("hold", "r.toml", *DRAWS), ("draw", "r.toml", "-o", "a.svg"), ("form", "r.toml"),
                                       ("inspect", "r.toml", "--eye", "6 mm"), ("why", "r.toml", "--json")]))  # fmt: skip
        return [Case(("shape", "r.toml", "--json"), files), Case(second, files)]
    if kind == "plan":
        plan = draw(broken_files(example("reef-station.toml")))
        files = {"plan.toml": plan, "logger-tether.toml": example("logger-tether.toml").encode()}
        return [Case(("cut", "plan.toml", "--seconds", "0.5", *draw(_json)), files, long=True)]
    if kind == "slips":
        files = {
            "r.toml": example("logger-tether.toml").encode(),
            "t.csv": draw(broken_files(example("invented-slips.csv"))),
        }
        way = draw(st.sampled_from(["--calibrate", "--pulls"]))
        return [Case(("hold", "r.toml", way, "t.csv", *DRAWS, *draw(_json)), files)]
    if kind == "readings":
        files = {"r.toml": example("logger-tether.toml").encode()}
        return [Case(("inspect", "r.toml", *draw(_json), *draw(_readings())), files)]
    tests = "\n".join(
        line.replace("../", "").replace("curves/", "") for line in example("pulls/logger-tethers.csv").split("\n")
    )
    mapping, curve = example("pulls/curves.toml"), example("pulls/curves/L001.csv")
    names = ("logger-tether.toml", "pulls/steep-exit.toml")
    recipes = {Path(name).name: example(name).encode() for name in names}
    files = {
        "p.csv": draw(broken_files(tests)) if kind == "pulls" else tests.encode(),
        "curves.toml": draw(broken_files(mapping)) if kind == "mapping" else mapping.encode(),
        **{f"L00{k}.csv": draw(broken_files(curve)) if kind == "curves" and k == 1 else curve.encode() for k in range(1, 10)},
        **recipes,
    }  # fmt: skip
    if kind != "pulls":
        return [Case(("pulls", "read", "p.csv", "--curves", "curves.toml", "--leave-out", *draw(_json)), files)]
    leave = draw(st.sampled_from([(), ("--leave-out",)]))
    cases = [Case(("pulls", "read", "p.csv", *leave, *draw(_json)), files)]
    by = draw(st.sampled_from(["group", "maker", "batch", "size", "failure", "nothing"]))
    return [*cases, Case(("pulls", "compare", "p.csv", "--by", by, *leave, *draw(_json)), files)]


_json: st.SearchStrategy[tuple[str, ...]] = st.sampled_from([(), ("--json",)])


def drawn_cases(strategy: st.SearchStrategy[list[Drawing]], count: int, number: int) -> list[list[Drawing]]:
    """So many draws that differ in their first case, the same for the same number.

    Ten at a time: after its first ten hypothesis tries copies of what it has drawn, which an attack has no use for (of 300
    recipes 209 were such).
    """
    found: dict[str, list[Drawing]] = {}

    @settings(
        max_examples=10, phases=[Phase.generate], database=None, deadline=None, derandomize=False,
        suppress_health_check=list(HealthCheck), verbosity=Verbosity.quiet,
    )  # fmt: skip
    @given(strategy)
    def collect(cases: list[Drawing]) -> None:
        found.setdefault(str(cases[0]), cases)

    for part in range(count):
        seed(1_000_000 * number + part)(collect)()
        if len(found) >= count:
            break
    return list(found.values())[:count]
