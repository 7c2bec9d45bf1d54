"""`helix page`: a page on this machine with the joint in 3-D beside its answer, and everything else."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from helix.commands.shared import DONE, complain, write_out
from helix.errors import quoted
from helix.tasks.options import TICK, Kind, Option, units
from helix.tasks.task import Given, Task

HERE = "127.0.0.1"
_NUMBER = re.compile(r"-?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?", re.IGNORECASE)


def _serve(given: Given) -> int:
    """Serve the page until Ctrl-C."""
    from helix.page.server.app import make_app
    from helix.page.server.request_checks import is_loopback
    from helix.page.server.serving import EVERY_ADDRESS, address_of, listening, open_browser, serve

    tables = _shown(given)
    host = given.host.strip("[]")
    at, here = listening(host, given.port), is_loopback(host)
    address = address_of(host, at.getsockname()[1])
    opened = f"{address}#{fragment(tables)}" if tables else address
    if not here:
        complain(
            f"{host} is open to other machines: whoever reaches this one can use the page; "
            "there is no password and no encryption"
        )

    def ready() -> None:
        write_out(f"The page is at {opened}\nNothing leaves this machine. Ctrl-C ends it.\n" if here
            else f"The page is at {opened}\nCtrl-C ends it.\n")  # fmt: skip
        sys.stdout.flush()
        if not given.no_open:
            open_browser(opened)

    names = [] if host in EVERY_ADDRESS else [host]
    serve(make_app(hosts=names, anywhere=not here), at, ready)
    given.on_output("The page has ended.")
    return DONE


def _port(text: str, recipe: object) -> int:
    if re.fullmatch(r"[0-9]{1,5}", text) and int(text) <= 65535:
        return int(text)
    raise ValueError(f"must be a whole number from 1 to 65535, or 0 for any free one; got {quoted(text)}")


def _tables(path: str, recipe: object = None) -> dict[str, Any]:
    """The tables of the recipe to open."""
    from helix.model.files.toml_file import recipe_text
    from helix.page.answers.recipe_tables import tables_of_text

    return tables_of_text(recipe_text(Path(path)), path)


def _shown(given: Given) -> dict[str, Any]:
    """The tables to show first; none where the page may show what it showed last."""
    if given.units is None:
        return given.recipe or {}
    from helix.page.answers.joint_answer import START, START_INCH
    from helix.page.answers.recipe_tables import in_units

    return in_units(given.recipe or (START_INCH if given.units == "inch" else START), given.units)


TASK = Task(
    options=(
        Option(
            "recipe", "recipe to open", Kind("text", _tables, "RECIPE"), place="optional", usual="the joint seen last"
        ),
        Option("port", "port to serve at", Kind("text", _port, "N"), usual="8474, or a free one"),
        Option("host", "address to serve at", default=HERE, letters="HOST"),
        Option("no_open", "do not open the browser", TICK),
        units(),
    ),
    run=_serve,
)


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
