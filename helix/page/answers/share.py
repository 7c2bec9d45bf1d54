"""The joint in hand for another screen: its address as a QR code."""

from __future__ import annotations

from typing import Any, Final
from urllib.parse import urlsplit

from helix.errors import ValidationError, argument_issue
from helix.output.canvas.qr_code import code_rows
from helix.page.server.serving import PORT

MOST_LETTERS: Final = 1_200
"""Of an address in a code: with more its dots are too small to be read off a screen."""
_LOOPBACK: Final = ("localhost", "127.0.0.1", "::1")


def code_record(body: dict[str, Any]) -> dict[str, Any]:
    """The answer to {"address": of the page, with the joint}: the address that is in the code, and the code's dots.

    A page that only this machine reaches is written as the one that helix opens on the machine which reads the code.
    size: dots along a side. path: of an SVG as large, a unit square a dot. Raises ValidationError for anything else.
    """
    given = body.get("address")
    if not isinstance(given, str) or not given.isascii() or not given.startswith(("http://", "https://")):
        raise ValidationError([argument_issue("address", "must be an address of this page")])
    parts = urlsplit(given)
    address = parts._replace(netloc=f"127.0.0.1:{PORT}").geturl() if parts.hostname in _LOOPBACK else given
    if len(address) > MOST_LETTERS:
        wanted = f"must have at most {MOST_LETTERS:,} letters to be read off a screen; got {len(address):,}; save the joint in place of it"
        raise ValidationError([argument_issue("address", wanted)])
    rows = code_rows(address)
    path = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark)
    return {"ok": True, "address": address, "size": len(rows), "path": path}
