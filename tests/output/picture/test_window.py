"""A window that cannot be opened is said in one line."""

from __future__ import annotations

import ctypes.util
import sys

import pytest

from helix.output.picture.window import window_problem


def test_a_window_that_cannot_be_opened_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    said = window_problem()
    assert said is not None and "\n" not in said and "DISPLAY is not set" in said and "helix draw" in said
    monkeypatch.setenv("DISPLAY", ":9753")
    said = window_problem()
    assert said is not None and "\n" not in said and ("does not answer" in said or "libX11" in said)
    monkeypatch.setattr(ctypes.util, "find_library", lambda name: None)
    assert "libx11-6" in str(window_problem())
    monkeypatch.setattr(sys, "platform", "darwin")
    assert window_problem() is None
