"""The panes of the page as functions: each says what its command says, and tells every fault at once.

Map of what must hold:
  every sentence and every cell of a pane's report stands in what the command prints for the same input
  charts are SVG that can stand in one page with others: no script, no style sheet, no name used twice
  what goes back is JSON, and slow panes are functions that another process can import
  faults of recipe, units and options come together, each at its place; no file of this machine is opened
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from helix.commands.main import main
from helix.errors import ValidationError
from helix.page.answers.examples import examples, lessons
from helix.page.answers.joint_answer import START, joint_answer, start_record
from helix.page.answers.panes import PANES
from helix.page.answers.recipe_tables import recipe_of_tables, tables_of_text, text_of_tables
from helix.page.answers.share import code_record
from helix.page.server.replies import to_bytes
from helix.page.server.serving import PORT
from helix.page.server.worker import name_of, named

ROOT = Path(__file__).resolve().parents[3]
PULLS = ROOT / "docs" / "examples" / "pulls"
SMALL_PLAN = """
units = "metric"
[wire.thin]
size = "MWG 12"
material = "302 stainless"
[end.eye]
recipe = "joint.toml"
[[piece]]
name = "stay"
count = 4
length = "500 mm"
wire = "thin"
ends = ["eye", "plain"]
[[stock]]
length = "4 m"
"""


def ask(name: str, said: list[str] | None = None, **body: Any) -> dict[str, Any]:
    """What a pane answers; it must be JSON without a number that is none."""
    found = PANES[name].run(body, (said if said is not None else []).append)
    return json.loads(to_bytes(found))


def faults(name: str, **body: Any) -> list[str]:
    with pytest.raises(ValidationError) as found:
        ask(name, **body)
    return [str(fault) for fault in found.value.faults]


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What a command prints with --all, its lines as one."""
    assert main((*words, "--all")) == 0
    return " ".join(capsys.readouterr().out.split())


def missing(report: dict[str, Any], text: str, tables: bool = True) -> list[str]:
    """What stands in a report but not in that text."""
    words, sought = set(text.split()), []
    for block in report["blocks"]:
        sentences = {"para": [block.get("text")], "bullets": block.get("items", [])}.get(block["kind"], [])
        sought += [each for each in sentences if " ".join(each.split()) not in text]
        if block["kind"] == "table" and tables:
            sought += [cell for row in block["rows"] for cell in row if not set(cell.split()) <= words]
    return sought


@pytest.fixture
def joint(tmp_path: Path) -> str:
    path = tmp_path / "joint.toml"
    path.write_text(text_of_tables(START), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    ("name", "body", "options"),
    [
        ("hold", {}, ()),
        ("hold", {"friction": "0.05", "pin": "slides"}, ("--friction", "0.05", "--pin", "slides")),
        ("why", {}, ()),
        ("form", {"hand_force": "80 N"}, ("--hand-force", "80 N")),
        ("stretch", {"load": "300 N"}, ("--load", "300 N")),
    ],
)
def test_a_pane_on_the_hold_says_what_its_command_says(
    name: str,
    body: dict[str, Any],
    options: tuple[str, ...],
    units: str,
    joint: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = printed(capsys, name, joint, "--units", units, *options)
    report = ask(name, recipe=START, units=units, **body)["report"]
    assert missing(report, text) == []
    assert sum(block["kind"] in ("para", "table") for block in report["blocks"]) >= 3


def test_the_head_of_the_hold_has_the_commands_load_and_odds(joint: str) -> None:
    found = ask("hold", recipe=START)
    first, load, *_ = [block["text"] for block in found["report"]["blocks"] if block["kind"] == "para"]
    head = found["head"]
    assert load.startswith(f"{head['short']} (an estimate). ") and head["short"].startswith("Plan with ")
    verdict, odds = first.removesuffix(".").split(". ")
    expected = load.partition(". ")[2]
    assert head["more"] == f"An estimate. 19 of 20 hold more; not a working load. {expected} {odds}"
    assert head["severity"] == "ok"
    assert verdict.lower() == found["verdict"]


def test_what_pull_tests_say_is_in_the_head_of_the_hold() -> None:
    """As `helix hold --pulls` judges: pieces that unwound make the joint sharp, whatever the models say."""
    rows = ["id,group,joints,recipe,load,unit,failure"]
    rows += [f"{k},in hand,2,joint.toml,{load},N,broke" for k, load in enumerate((720, 735, 741, 728, 733, 716, 744))]
    broke = ask("hold", recipe=START, pulls={"name": "typed.csv", "text": "\n".join(rows)})
    assert broke["head"]["short"].startswith("Plan one joint with ")
    assert broke["head"]["more"].startswith("Plan a piece of two joints with ")
    assert (
        "own pull tests are in it" in broke["head"]["more"] and "one joint with" in broke["gauge"]["marks"][0]["words"]
    )
    rows += ["8,in hand,2,joint.toml,640,N,unwound", "9,in hand,2,joint.toml,655,N,unwound"]
    found = ask("hold", recipe=START, pulls={"name": "typed.csv", "text": "\n".join(rows)})
    head = found["head"]
    assert head["short"] == "Do not plan with it" and head["severity"] == "sharp"
    assert head["more"] == "Pieces that were pulled unwound"  # how many, the verdict beside it says: it was told twice
    assert (
        "2 of your own 9 pieces unwound"
        in joint_answer({"recipe": START, "pulls": {"name": "typed.csv", "text": "\n".join(rows)}})["findings"][0][
            "what"
        ]
    )
    assert ask("hold", recipe=START)["head"]["severity"] == "ok"


def test_the_figures_of_the_hold_are_those_of_the_study() -> None:
    """The gauge has the result's own loads, the map the table's own verdicts."""
    from helix.output.hold.hold_figures import count_map, gauge
    from helix.page.answers.recipe_tables import recipe_of_tables
    from helix.studies.hold.hold_table import hold_table
    from helix.studies.hold.holding import hold

    recipe = recipe_of_tables(START | {"wire": START["wire"] | {"rated_load": "700 N"}})
    result = hold(recipe)
    drawn = gauge(result, "inch")
    assert drawn is not None and drawn["range"].startswith(
        "Middle 19 of 20 pieces: "
    )  # "19 of 20 hold more" is another limit
    assert drawn["range"].endswith("; 1 in 40 ends below it, 1 in 40 above")
    loads = {mark["name"]: mark["load_n"] for mark in drawn["marks"]}
    assert loads == {
        "plan": result.plan_with_n,
        "expected": result.expected_n,
        "label": 700.0,
        "straight": result.strength_n,
    }
    assert all("lbf" in mark["words"] and 0.0 < mark["load_n"] < drawn["most_n"] for mark in drawn["marks"])
    table = hold_table(recipe, result.setting, 5, 3)
    shown = count_map(table, "metric")
    assert [[cell["verdict"] for cell in row] for row in shown["cells"]] == [
        [table.cell(turns, wraps).verdict for wraps in range(4)] for turns in range(6)
    ]
    starred = {
        (turn, k) for turn, row in enumerate(shown["cells"]) for k, cell in enumerate(row) if "*" in cell["word"]
    }
    one_wrap = {(turn, 1) for turn in range(6) if table.cell(turn, 1).verdict != "no model"}  # no better than with two
    assert starred == {(turn, 3) for turn in range(6)} | one_wrap and (5, 1) not in starred


def test_the_change_of_why_is_a_joint_to_take_over() -> None:
    from helix.page.answers.recipe_tables import recipe_of_tables
    from helix.studies.hold.holding import hold

    few = START | {"twist": {"turns": 3, "lay_length": "4 d"}}
    cure = ask("why", recipe=few)["cure"]
    before, after = hold(recipe_of_tables(few)), hold(recipe_of_tables(cure["recipe"]))
    assert cure["say"] and after.probability.unwinds < before.probability.unwinds


def test_cutting_and_choosing_say_what_their_commands_say(
    joint: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "plan.toml").write_text(SMALL_PLAN, encoding="utf-8")
    text = printed(capsys, "cut", str(tmp_path / "plan.toml"), "--units", "inch")
    report = ask("cut", plan=SMALL_PLAN, recipes={"joint.toml": START}, units="inch")["report"]
    assert missing(report, text) == []
    text = printed(capsys, "choose", "--load", "60 lbf", "--recipe", joint, "--rows", "1", "--units", "inch")
    found = ask("choose", load="60 lbf", recipe=START, rows="1", units="inch")
    assert missing(found["report"], text) == []
    assert all(f"{each['size']} {each['material']}" in text for each in found["wires"])
    assert len(found["wires"]) == 1


def test_inspecting_says_what_its_command_says_and_gives_the_joint_as_made(
    joint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    readings = {"turns": "5", "wraps": "5", "twist_length": "14.9 mm"}
    words = ("--turns", "5", "--wraps", "5", "--twist-length", "14.9 mm")
    text = printed(capsys, "inspect", joint, *words)
    found = ask("inspect", recipe=START, **readings)
    assert missing(found["report"], text) == []
    assert recipe_of_tables(found["made"]).twist.lay_mm == pytest.approx(14.9 / 5, rel=0.01)


@pytest.mark.parametrize(
    "options", [{"scale": "10"}, {"scale": "7", "split": True}, {"bed": "5 in", "standing": "20 d"}]
)
def test_the_size_of_a_model_is_told_as_its_command_tells_it(
    joint: str, options: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    reply = ask("draw", recipe=START, **options)
    words = [
        word for key, value in options.items() for word in ([f"--{key}"] if value is True else [f"--{key}", value])
    ]
    assert main(("draw", joint, "-o", str(tmp_path / "a.stl"), "--quality", "draft", *words)) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert all(line in text for line in reply["lines"]) and len(reply["lines"]) > 1
    for smaller in reply["scales"]:
        assert ask("draw", recipe=START, **options | smaller)["scales"] == []
    assert bool(reply["scales"]) is ("fits no" in reply["lines"][0] or "corner" in reply["lines"][0])
    both = ask("draw", recipe=START, beside=lessons()[0]["recipe"], **options)
    assert "parts side by side" in both["lines"][0]


def test_a_code_holds_the_address_for_who_reads_it() -> None:
    """The dots themselves were read back by a decoder of another hand, at every length."""
    of = "title=My+joint&eye.pin=6+mm"
    own, other = (code_record({"address": f"http://{host}/#{of}"}) for host in ("127.0.0.1:9000", "192.168.1.4:9000"))
    assert own["address"] == f"http://127.0.0.1:{PORT}/#{of}" and other["address"] == f"http://192.168.1.4:9000/#{of}"
    dots = np.zeros((own["size"], own["size"]), dtype=bool)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", own["path"]):
        dots[int(y), int(x)] = True
    finder = np.pad(np.pad(np.ones((3, 3), bool), 1), 1, constant_values=True)
    assert all((corner == finder).all() for corner in (dots[:7, :7], dots[:7, -7:], dots[-7:, :7]))
    assert (dots[6, 8:-8] == (np.arange(8, own["size"] - 8) % 2 == 0)).all() and other["path"] != own["path"]
    for wrong in (None, "", "javascript:1", "http://x/#\u00e4", "http://127.0.0.1/#" + "a" * 1_300):
        with pytest.raises(ValidationError):
            code_record({"address": wrong})


def test_spreading_says_what_its_command_says(joint: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "spread", joint, "--draws", "200")
    assert missing(ask("spread", recipe=START, draws="200")["report"], text) == []


@pytest.mark.parametrize("ring", [(), ("--ring", "5 mm", "--ring-inside", "20 mm")])
def test_linking_says_what_its_command_says(
    joint: str, ring: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    text = printed(capsys, "link", joint, *ring)
    body = {"ring": "5 mm", "ring_inside": "20 mm"} if ring else {}
    found = ask("link", recipe=START, **body)
    assert missing(found["report"], text) == []
    assert "<svg " in found["drawn"] and "<script" not in found["drawn"]


@pytest.mark.slow
def test_what_two_wires_refuse_is_told_before_it_is_asked() -> None:
    """What stands in place of a button is what the study would say of it."""
    two = START | {"wire": START["wire"] | {"count": 2}}
    two["twist"] = {key: value for key, value in two.get("twist", {}).items() if not key.startswith("lay")}
    told = start_record()["of_two"]
    for pane, body in {"why": {}, "table": {"table": True}, "stretch": {"load": "500 N"}, "link": {}}.items():
        said = faults("hold" if pane == "table" else pane, recipe=two, **body)
        assert len(said) == 1 and said[0].endswith(told[pane][1:-1])


@pytest.mark.slow
def test_pull_tests_say_what_their_commands_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, pulls = examples()
    files = [{"name": pulls["name"], "text": pulls["text"]}, *pulls["files"]]
    for file in files:  # beside each other, as a browser has them
        (tmp_path / file["name"]).write_text(file["text"].replace("../", ""), encoding="utf-8")
    path = tmp_path / pulls["name"]
    text = printed(capsys, "pulls", "read", str(path)).replace(str(path), path.name)
    found = ask("pulls-read", files=files)
    assert missing(found["report"], text, tables=False) == []
    assert any(block["kind"] == "chart" for block in found["report"]["blocks"])
    assert found["faults"] == []
    text = printed(capsys, "pulls", "compare", str(path), "--by", "maker").replace(str(path), path.name)
    assert missing(ask("pulls-compare", files=files, by="maker")["report"], text, tables=False) == []


def test_curves_are_read_from_files_that_were_opened_together() -> None:
    names = ("logger-tethers.csv", "curves.toml", *(f"curves/{path.name}" for path in (PULLS / "curves").iterdir()))
    files = [{"name": Path(name).name, "text": (PULLS / name).read_text(encoding="utf-8")} for name in names]
    found = ask("pulls-read", files=files)
    assert any("extension" in block["title"] for block in found["report"]["blocks"] if block["kind"] == "chart")
    without = [file for file in files if file["name"] != "curves.toml"]
    assert any("mapping" in fault for fault in faults("pulls-read", files=without))


def test_rows_that_cannot_be_read_are_told_beside_the_report() -> None:
    text = (PULLS / "with-faults.csv").read_text(encoding="utf-8")
    found = ask("pulls-read", files=[{"name": "with-faults.csv", "text": text}])
    assert [fault["place"] for fault in found["faults"]] == [
        "with-faults.csv row 4, column load",
        "with-faults.csv row 7, column failure",
    ]


def test_a_series_is_planned_as_its_command_plans_it(joint: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "pulls", "plan", joint, "--turns", "4,5", "--each", "3", "--seed", "7")
    found = ask("pulls-plan", recipe=START, turns="4,5", each="3", seed="7")
    assert missing(found["report"], text.replace(joint, "joint.toml")) == []
    assert found["ordered"] > 0


def test_the_making_is_the_film_of_the_joint() -> None:
    from helix.output.viewer.scene_film import film_record
    from helix.studies.shape.shape import shape

    found = ask("steps", recipe=START)
    assert found["film"] == json.loads(json.dumps(film_record(shape(recipe_of_tables(START)))))
    assert found["marks"]["rows"]


def test_a_lesson_differs_as_its_command_says(tmp_path: Path) -> None:
    from helix.output.words.compare_words import difference_lines
    from helix.studies.shape.shape import shape
    from helix.studies.teaching.compare_joints import compare

    lesson = lessons()[0]
    pair = [lesson["good"], lesson["recipe"]]
    found = ask("compare", recipes=pair)
    expected = difference_lines(compare([shape(recipe_of_tables(each)) for each in pair]), 1, "metric")
    assert found == {"differences": expected}


def test_charts_can_stand_in_one_page() -> None:
    charts = [block["svg"] for block in ask("hold", recipe=START)["report"]["blocks"] if block["kind"] == "chart"]
    names = [name for svg in charts for name in re.findall(r' id="([^"]+)"', svg)]
    assert len(charts) >= 2
    assert len(names) == len(set(names))
    for svg in charts:
        assert svg.startswith("<svg ")
        assert not re.search(r"<script|<style|<metadata|<image|javascript:|\son\w+=", svg)
        assert "<text" in svg
        used = {*re.findall(r"url\(#([^)]+)\)", svg), *re.findall(r'href="#([^"]+)"', svg)}
        assert used
        assert used <= set(re.findall(r' id="([^"]+)"', svg))


def test_another_joints_report_would_be_noticed(joint: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "hold", joint, "--units", "metric", "--friction", "0.07")
    assert len(missing(ask("hold", recipe=START)["report"], text)) > 3


def test_every_pane_can_be_run_by_another_process() -> None:
    assert all(named(name_of(pane.run)) is pane.run for pane in PANES.values())


def test_faults_of_recipe_units_and_options_come_together() -> None:
    found = faults("hold", recipe={}, units="foot", pin="glued", ductility="8", friction="x", table=3)
    for place in ("[wire] size", "[eye] pin: ", "units: ", "pin: ", "ductility: ", "friction: ", "table: "):
        assert any(place in fault for fault in found), place


@pytest.mark.parametrize(
    ("name", "body", "said"),
    [
        ("stretch", {"recipe": START, "load": "300"}, "load: must be a force"),
        ("stretch", {"recipe": START, "load": 300}, "load: must be written as text"),
        ("form", {"recipe": START, "hand_force": "-5 N"}, "hand_force: must be above 0"),
        ("choose", {}, "load: must be given"),
        ("choose", {"load": "4 N", "price": ["cheap"]}, "price: must be the price"),
        ("choose", {"load": "4 N", "price": "45 EUR"}, "price: must be a list"),
        ("cut", {}, "plan: must be the text of a plan"),
        ("cut", {"plan": SMALL_PLAN, "seconds": "0"}, "seconds: must be a number"),
        ("cut", {"plan": SMALL_PLAN.replace("joint.toml", "/etc/passwd")}, "must be opened too"),
        ("cut", {"plan": SMALL_PLAN.replace("4 m", "1 m"), "recipes": {"joint.toml": START}}, "runs out"),
        ("inspect", {"recipe": START}, "readings: must be given"),
        ("inspect", {"recipe": START, "knots": "3"}, "knots: must be among"),
        ("spread", {"recipe": START, "own": True, "turn": "0.1"}, "own: must not stand beside length or turn"),
        ("pulls-read", {"files": []}, "at least one file"),
        ("pulls-read", {"files": [{"name": "a.csv"}]}, "file 1: must have a name and a text"),
        ("pulls-compare", {"files": [{"name": "a.csv", "text": "id,group,load,unit,failure\n"}]}, "by: must be given"),
        ("pulls-plan", {"recipe": START, "efficiency": "2"}, "efficiency: must be a share"),
        ("compare", {"recipes": [START]}, "must be 2 to 8 recipes"),
        ("steps", {"recipe": "joint.toml"}, "recipe: must be the tables"),
    ],
)  # fmt: skip
def test_bad_input_is_told_at_its_place(name: str, body: dict[str, Any], said: str) -> None:
    assert any(said in fault for fault in faults(name, **body))


def test_a_recipe_that_a_plan_names_is_found_without_its_folder() -> None:
    plan = SMALL_PLAN.replace("joint.toml", "bench/mine.toml")
    tables = tables_of_text(text_of_tables(START), "mine.toml")
    assert ask("cut", plan=plan, recipes={"mine.toml": tables})["report"]["blocks"]


def test_pieces_of_another_joint_than_the_one_in_hand_are_predicted_by_their_own() -> None:
    """Failed once: "nothing is predicted, because its pieces are of several recipes"; they were all of one."""
    four = {**START, "twist": {**START["twist"], "turns": 4}, "barrel": {"wraps": 4}}
    ends = ["unwound"] * 2 + ["broke_exit"] * 7
    rows = "".join(f'{k},"5 turns, 5 wraps",MWG 12,2,joint 1,{770 + k},N,{end}\n' for k, end in enumerate(ends))
    file = {"name": "typed.csv", "text": "id,group,size,joints,recipe,load,unit,failure\n" + rows}
    for in_hand in (START, four):
        recipes = {"the joint in hand": in_hand, "joint 1": START}
        (told,) = ask("pulls-read", files=[file], recipes=recipes, units="metric")["against"]
        assert "5 turns, 5 wraps (joint 1, by the wire's table): helix expected 746 N" in told
