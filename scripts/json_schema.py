"""Write docs/schema/*.json, the JSON schemas of what commands print, from the result classes:
`.venv/bin/python scripts/json_schema.py`.

`--check` writes nothing and ends with 1 if a file is out of date.
"""

from __future__ import annotations

import enum
import importlib
import json
import pkgutil
import sys
import types
from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

import numpy as np

from helix import values
from helix.findings import Judgement
from helix.output.report.record import words_of
from helix.values import Result, Words, carried

FOLDER = ROOT / "docs" / "schema"
COMMANDS = {
    "inspect": "helix.studies.inspect.inspection:Inspection",
    "shape": "helix.studies.shape.shape:ShapeResult",
    "hold": "helix.studies.hold.hold_result:HoldResult",
    "why": "helix.studies.hold.why:WhyResult",
    "form": "helix.studies.teaching.hand_work:FormResult",
    "stretch": "helix.studies.hold.stretch:StretchResult",
    "link": "helix.studies.link.link_result:LinkResult",
    "simulate": "helix.studies.simulate.pull_result:PullSimulation",
    "cut": "helix.studies.batch.cut_plan:CutPlan",
    "choose": "helix.studies.batch.choosing:Choices",
    "spread": "helix.studies.inspect.spread:SpreadResult",
    "sizes": "helix.studies.shape.size_list:SizeList",
    "compare": "helix.studies.teaching.compare_joints:Comparison",
    "pulls read": "helix.studies.pulls.pulls:PullsResult",
    "pulls compare": "helix.studies.pulls.pull_compare:CompareResult",
    "pulls plan": "helix.studies.pulls_plan.pull_plan:PlanResult",
}
BESIDE = {
    "hold": {
        "calibration": "helix.studies.hold.evidence.friction_fit:CalibrationFit",
        "table": "helix.studies.hold.hold_table:HoldTable",
        "sensitivities": "helix.studies.hold.sensitivity:Sensitivities",
    }
}
"""What a command's options add to its record."""
PLAIN = {bool: "boolean", int: "integer", str: "string", type(None): "null"}


class Schema:
    """One schema in the making: a class is a definition, made once."""

    def __init__(self, words: Words | None) -> None:
        self.words, self.definitions = words or {}, dict[str, Any]()

    def of(self, kind: Any) -> dict[str, Any]:
        """The schema of a type. A float that is not known is null."""
        origin, inner = get_origin(kind), get_args(kind)
        if kind in PLAIN:
            return {"type": PLAIN[kind]}
        if kind is float:
            return {"type": ["number", "null"]}
        if origin is Literal:
            return {"enum": list(inner)}
        if origin in (Union, types.UnionType):
            return {"anyOf": [self.of(part) for part in inner]}
        if origin is tuple and inner[-1] is Ellipsis or origin is list:
            return {"type": "array", "items": self.of(inner[0])}
        if origin is tuple:
            parts = [self.of(part) for part in inner]
            return {"type": "array", "prefixItems": parts, "items": False, "minItems": len(parts)}
        if origin is np.ndarray or kind is np.ndarray:
            return {"type": "array"}
        if isinstance(origin, type) and issubclass(origin, Mapping):
            return {"type": "object", "additionalProperties": self.of(inner[1])}
        if isinstance(kind, type) and issubclass(kind, enum.Enum):
            return {"enum": [item.name.lower() for item in kind]}
        if isinstance(kind, type) and is_dataclass(kind):
            return self._class(kind)
        return {}

    def _class(self, kind: type) -> dict[str, Any]:
        name = kind.__name__
        if name not in self.definitions:
            self.definitions[name] = {"type": "object", "description": _first(kind.__doc__)}
            if not hasattr(kind, "to_dict") or issubclass(kind, Result):  # a recipe has keys of its own: docs/json.md
                self.definitions[name] |= self._keys(kind)
        return {"$ref": f"#/$defs/{name}"}

    def _keys(self, kind: type) -> dict[str, Any]:
        keys = {key: self.of(_type_at(kind, path)) for key, path in carried(kind).items()}
        keys |= {key: self.of(_returned(make)) for key, make in self.words.get(kind, {}).items()}
        return {"properties": keys, "required": list(keys), "additionalProperties": False}


def schema_of(command: str) -> dict[str, Any]:
    """The schema (draft 2020-12) of what a command prints with --json."""
    kind = _named(COMMANDS[command])
    schema = Schema(words_of(kind))
    keys = schema._keys(kind)
    if "recipe" in keys["properties"] and "judgement" not in keys["properties"]:  # as record() does
        keys["properties"]["judgement"] = schema.of(Judgement)
        keys["required"].append("judgement")
    keys["properties"]["caution"] = schema.of(str)
    keys["required"].append("caution")
    keys["properties"] |= {key: schema.of(_named(name)) for key, name in BESIDE.get(command, {}).items()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"helix {command} --json",
        "description": _first(kind.__doc__),
        "type": "object",
        **keys,
        "$defs": dict(sorted(schema.definitions.items())),
    }


def path_of(command: str) -> Path:
    """The file of a command's schema."""
    return FOLDER / f"{command.replace(' ', '-')}.json"


def _named(place: str) -> Any:
    module, _, name = place.partition(":")
    return getattr(importlib.import_module(module), name)


def _type_at(kind: type, path: str) -> Any:
    """Type of what a path leads to: fields and properties, from one class to the next; None too where one may be None."""
    unknown = False
    for name in path.split("."):
        inside = get_args(kind)
        kind = next((part for part in inside if part is not type(None)), kind) if type(None) in inside else kind
        unknown = unknown or type(None) in inside
        made = getattr(kind, name, None)
        kind = _returned(made.fget) if isinstance(made, property) and made.fget else _hints(kind)[name]
    return kind | None if unknown else kind


def _returned(make: Callable[..., Any]) -> Any:
    return _hints(make)["return"]


def _hints(thing: Any) -> dict[str, Any]:
    """Type hints, also of what a module imports for the type checker only."""
    return get_type_hints(thing, globalns=vars(values) | _classes() | vars(importlib.import_module(thing.__module__)))


def _classes() -> dict[str, Any]:
    if not _KNOWN:
        for part in ("data", "model", "statistics", "studies"):
            for found in pkgutil.walk_packages([str(ROOT / "helix" / part)], f"helix.{part}."):
                module = importlib.import_module(found.name)
                _KNOWN.update({name: item for name, item in vars(module).items() if isinstance(item, type)})
    return _KNOWN


_KNOWN: dict[str, Any] = {}


def _first(text: str | None) -> str:
    return " ".join((text or "").split("\n\n")[0].split())


def main(arguments: list[str]) -> int:
    """Write the schemas, or compare them."""
    if arguments not in ([], ["--check"]):
        print(f"usage: {Path(__file__).name} [--check]", file=sys.stderr)
        return 2
    texts = {path_of(name): json.dumps(schema_of(name), indent=1) + "\n" for name in COMMANDS}
    stale = [path for path, text in texts.items() if not path.exists() or path.read_text(encoding="utf-8") != text]
    for path in stale:
        if arguments:
            print(f"{path.name} is out of date; run: python scripts/json_schema.py", file=sys.stderr)
        else:
            FOLDER.mkdir(exist_ok=True)
            path.write_text(texts[path], encoding="utf-8")
    return 1 if stale and arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
