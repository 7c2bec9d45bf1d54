"""Cases of which the test command runs some and the slow studies the rest."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def sampled(cases: Iterable[Any], every: int, first: int = 0) -> list[Any]:
    """The cases, all but every so manieth slow.

    >>> [bool(getattr(case, "marks", ())) for case in sampled("abcd", 3)]
    [False, True, True, False]
    """
    return [
        case if k % every == first else pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=pytest.mark.slow)
        for k, case in enumerate(cases)
    ]  # fmt: skip
