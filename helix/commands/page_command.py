"""`helix page`: a page on this machine with the joint in 3-D beside its answer, and everything else."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlencode

from helix.commands.shared import DONE, complain, put
from helix.commands.shared import tell as _tell
from helix.errors import ValidationError, ValidationIssue, quoted

HERE = "127.0.0.1"
_NUMBER = re.compile(r"-?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?", re.IGNORECASE)


class _Commands(Protocol):
    def __call__(self, name: str, run: object, text: str) -> argparse.ArgumentParser: ...


def add_page(command: _Commands) -> None:
    """Add `helix page` to the parser."""
    page = command(
        "page",
        page_command,
        "Serve a page on this machine: turn the knobs and see the joint, its wire and its bends answer. "
        "Ctrl-C ends it.",
    )
    page.add_argument("recipe", metavar="RECIPE", nargs="?", help="recipe to open (default: the joint seen last)")
    page.add_argument("--port", metavar="N", help="port to serve at (default: 8474, or a free one)")
    page.add_argument(
        "--host", metavar="HOST", default=HERE, help="address to serve at (default: 127.0.0.1, this machine only)"
    )
    page.add_argument("--no-open", action="store_true", help="do not open the browser")
    page.add_argument("--units", choices=("metric", "inch"), help="what to show sizes in (default: as the recipe says)")


def page_command(options: argparse.Namespace) -> int:
    """Serve the page until Ctrl-C."""
    faults: list[ValidationIssue] = []
    tables = _tables(options.recipe, options.units, faults)
    port = _port(options.port, faults)
    if faults:
        raise ValidationError(faults)

    from helix.page.server.app import make_app
    from helix.page.server.request_checks import is_loopback
    from helix.page.server.serving import EVERY_ADDRESS, address_of, listening, open_browser, serve

    host = options.host.strip("[]")
    at, here = listening(host, port), is_loopback(host)
    address = address_of(host, at.getsockname()[1])
    opened = f"{address}#{fragment(tables)}" if tables else address
    if not here:
        complain(
            f"{host} is open to other machines: whoever reaches this one can use the page; "
            "there is no password and no encryption"
        )

    def ready() -> None:
        put(f"The page is at {opened}\nNothing leaves this machine. Ctrl-C ends it.\n" if here
            else f"The page is at {opened}\nCtrl-C ends it.\n")  # fmt: skip
        _flush()
        if not options.no_open:
            open_browser(opened)

    names = [] if host in EVERY_ADDRESS else [host]
    serve(make_app(hosts=names, anywhere=not here), at, ready)
    _tell("The page has ended.")
    return DONE


def _flush() -> None:
    import sys

    sys.stdout.flush()


def _port(text: str | None, faults: list[ValidationIssue]) -> int | None:
    if text is None:
        return None
    if re.fullmatch(r"[0-9]{1,5}", text) and int(text) <= 65535:
        return int(text)
    faults.append(
        ValidationIssue("--port", f"must be a whole number from 1 to 65535, or 0 for any free one; got {quoted(text)}")
    )
    return None


def _tables(path: str | None, units: str | None, faults: list[ValidationIssue]) -> dict[str, Any]:
    """The tables of the recipe to open; none where the page may show what it showed last."""
    if path is None and units is None:
        return {}
    from helix.page.answers.recipe_tables import in_units, tables_of_text

    if path is None:
        from helix.page.answers.joint_answer import START as tables
    else:
        from helix.model.recipe.recipe_file import recipe_text

        try:
            tables = tables_of_text(recipe_text(Path(path)), path)
        except ValidationError as found:
            faults.extend(found.faults)
            return {}
    return in_units(tables, "inch" if units == "inch" else "metric") if units else tables


def fragment(tables: Mapping[str, Any]) -> str:
    """A recipe as the end of an address, as source/page/address.js reads it.

    >>> fragment({"title": "5", "eye": {"pin": "6 mm"}, "twist": {"turns": 5}})
    'title=%225%22&eye.pin=6+mm&twist.turns=5'
    """
    return urlencode([(key, _said(value)) for key, value in _flat(tables, "")])


def _flat(tables: Mapping[str, Any], before: str) -> Iterator[tuple[str, Any]]:
    for key, value in tables.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{before}{key}.")
        else:
            yield before + key, value


def _said(value: object) -> str:
    if not isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    plain = not (_NUMBER.fullmatch(value) or re.match(r'["\[{]|(true|false)$', value))
    return value if plain else json.dumps(value, ensure_ascii=False)
