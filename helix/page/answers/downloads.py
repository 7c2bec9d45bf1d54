"""The files that the page hands out, by their names: each is a file that a task writes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from helix.errors import ValidationError, ValidationIssue
from helix.page.answers.pane import OnOutput, named_work
from helix.page.answers.recipe_tables import text_of_tables
from helix.page.answers.request_values import given_from
from helix.page.server.replies import plain_name
from helix.tasks.registry import task
from helix.tasks.task import Given, Task

TYPES: Final = {
    "toml": "application/toml",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
    "png": "image/png",
    "webp": "image/webp",
    "svg": "image/svg+xml",
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "stl": "model/stl",
    "glb": "model/gltf-binary",
    "ply": "application/octet-stream",
}


@dataclass(frozen=True)
class TaskFile:
    """A file of a task: key of its output; what: end of its name; title: its beginning, else that of the joint or plan."""

    task: str
    key: str = "output"
    what: str = ""
    title: str = ""
    quick: bool = False


FILES: Final = {
    "recipe.toml": TaskFile("new", "file", quick=True),
    "points.csv": TaskFile("shape", "points", "points"),
    "record.json": TaskFile("shape", "json"),
    "picture.png": TaskFile("draw"),
    "drawing.svg": TaskFile("draw", what="drawing"),
    "page.html": TaskFile("draw"),
    "model.stl": TaskFile("draw"),
    "model.glb": TaskFile("draw"),
    "model.ply": TaskFile("draw"),
    "sheet.pdf": TaskFile("sheet", what="sheet"),
    "hold.pdf": TaskFile("hold", "report", "hold"),
    "why.html": TaskFile("why", what="why"),
    "cut.pdf": TaskFile("cut", "sheet", "cut"),
    "cut.csv": TaskFile("cut", "csv", "cut"),
    "pulls.html": TaskFile("pulls read"),
    "pulls.pdf": TaskFile("pulls read"),
    "pulls-template.csv": TaskFile("pulls template", "file", title="Pull tests", quick=True),
    "pulls-mapping.toml": TaskFile("pulls template", "mapping", title="curves", quick=True),
    "pulls-order.csv": TaskFile("pulls plan", "order", title="Pull order"),
    "pulls-labels.pdf": TaskFile("pulls plan", "labels", title="Pull labels"),
    "steps.webp": TaskFile("steps", what="steps"),
    "compare.png": TaskFile("compare", title="compare"),
    "link.png": TaskFile("link", what="linked"),
    "link.html": TaskFile("link", what="linked"),
}


def made(name: str, body: dict[str, Any], on_output: OnOutput) -> tuple[str, str, bytes]:
    """Name, type and bytes of a file."""
    file = FILES[name]
    if file.task == "new":  # the recipe in hand in place of a new one
        given = given_from(task("shape"), body, on_output)
        return _file(given.recipe.title, ".toml", text_of_tables(body["recipe"]))
    task_of_file, suffix = task(file.task), Path(name).suffix
    given = given_from(task_of_file, body, on_output, {file.key: Path(name)})
    if file.key != "json":
        suffix = _possible(task_of_file, file.key, name, on_output)
    result = task_of_file.run(given)
    refused = [] if task_of_file.refused is None else list(task_of_file.refused(result, given))
    if task_of_file.rows is not None and not given.leave_out:
        refused += task_of_file.rows(result)
    if refused:
        raise ValidationError(refused)
    title = f"{file.title or _title(task_of_file, result, given)} {file.what}".strip()
    if file.key == "json" and task_of_file.record is not None:
        from helix.output.report.record import to_json

        return _file(title, suffix, to_json(task_of_file.record(result)))
    return _file(title, suffix, task_of_file.output(file.key).make(result, given, suffix))


def _possible(task_of_file: Task, key: str, name: str, on_output: OnOutput) -> str:
    """The ending that this machine can make: a drawing in place of a picture where it cannot draw in 3-D."""
    suffix, problem = task_of_file.output(key).possible(Path(name).suffix)
    if suffix is None:
        raise ValidationError([ValidationIssue(name, f"cannot be made: {problem}")])
    if problem:
        on_output(f"{problem}. Making the drawing in its place")
    return suffix


def _title(task_of_file: Task, result: Any, given: Given) -> str:
    single = [option.key for option in task_of_file.options if option.kind.name in ("recipe", "plan")]
    named = next((given.values[key] for key in single if given.values.get(key) is not None), None)
    if named is None and task_of_file.document is not None:
        named = task_of_file.document(result, given.system)
    return str(named.title) if named else ""


def _file(title: str, suffix: str, content: str | bytes) -> tuple[str, str, bytes]:
    data = content.encode("utf-8") if isinstance(content, str) else content
    return plain_name(f"{title}{suffix}"), TYPES[suffix[1:]], data


DOWNLOADS: Final = {name: named_work(made, name, slow=not file.quick) for name, file in FILES.items()}
_RUNS: Final = {download.run.__qualname__: download.run for download in DOWNLOADS.values()}


def __getattr__(name: str) -> Any:
    if name in _RUNS:
        return _RUNS[name]
    raise AttributeError(name)
