"""What stands behind a pane of the page, and behind a file that it hands out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Tell = Callable[[str], None]
"""Takes one line in words: how far the work is."""


@dataclass(frozen=True)
class Pane:
    """Answers the question of a pane: the JSON object that was sent, to the JSON object that goes back.

    run: a function at the top of a module: what is slow runs in another process, which imports it by name.
    slow: whether it may take more than a fraction of a second.
    """

    run: Callable[[dict[str, Any], Tell], dict[str, Any]]
    slow: bool


@dataclass(frozen=True)
class Download:
    """Makes a file to download: the JSON object that was sent, to the file's name, its type and its bytes.

    run, slow: as for `Pane`.
    """

    run: Callable[[dict[str, Any], Tell], tuple[str, str, bytes]]
    slow: bool
