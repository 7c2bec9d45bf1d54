"""What stands behind a pane of the page, and behind a file that it hands out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeAlias, TypeVar

OnOutput = Callable[[str], None]
"""Takes one line in words: how far the work is."""
Reply = TypeVar("Reply")


@dataclass(frozen=True)
class Work(Generic[Reply]):
    """Answers a request: the JSON object that was sent, to what goes back.

    run: a function that can be imported by its module and name: what is slow runs in another process, which imports it.
    slow: whether it may take more than a fraction of a second.
    """

    run: Callable[[dict[str, Any], OnOutput], Reply]
    slow: bool


Pane: TypeAlias = Work[dict[str, Any]]
"""The answer to the question of a pane, as a JSON object."""
Download: TypeAlias = Work[tuple[str, str, bytes]]
"""A file to download: its name, its type and its bytes."""


def named_work(do: Callable[[str, dict[str, Any], OnOutput], Reply], name: str, slow: bool) -> Work[Reply]:
    """Work that is done by its name; its module has to give the function under that name."""

    def run(body: dict[str, Any], on_output: OnOutput) -> Reply:
        return do(name, body, on_output)

    run.__module__, run.__qualname__ = do.__module__, name.replace(".", "_")
    return Work(run, slow)
