"""Ctrl-C and its like wait while VTK works: an interrupt inside it ends in a segmentation fault or half an import."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator
from types import FrameType


@contextlib.contextmanager
def undisturbed() -> Iterator[None]:
    """Hold SIGINT, SIGTERM and SIGHUP back until the block ends, then let the first of them act as it would have."""
    if threading.current_thread() is not threading.main_thread():
        yield  # signals reach the main thread alone
        return
    came: list[tuple[int, FrameType | None]] = []
    before = {}
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and callable(signal.getsignal(number)):
            before[number] = signal.signal(number, lambda number, frame: came.append((number, frame)))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    if came:
        number, frame = came[0]
        handler = before[number]
        if callable(handler):
            handler(number, frame)
