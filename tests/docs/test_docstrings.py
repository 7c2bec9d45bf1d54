"""Docstrings of public functions: the folders that scripts/check.py names keep to numpydoc, and the check can fail."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts"))

import check

GOOD = '''def turn(angle, *rest, lay=4.0):
    """Return what is turned.

    Parameters
    ----------
    angle : float
        Angle [rad].
    *rest, lay
        More.

    Returns
    -------
    float
        What is turned.
    """
    return angle
'''


def test_the_folders_that_are_named_keep_to_it() -> None:
    assert check.docstrings() == 0


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        (GOOD, []),
        (GOOD.replace("    *rest, lay\n", "    rest\n"), ["turn: says nothing of lay"]),
        (
            GOOD.replace("angle : float", "angel : float"),
            ["turn: says nothing of angle", "turn: has no parameter angel"],
        ),
        (GOOD.replace("def turn", "def _turn").replace("angle : float", "angel : float"), []),
        ('def lay(d):\n    """Return the lay."""\n    return 4.0 * d\n', []),
        (
            'def lay(d):\n    """Return the lay.\n\n    d: of the wire.\n    """\n    return 4.0 * d\n',
            ["lay: says nothing of d"],
        ),
    ],
)
def test_parameters_are_compared(text: str, faults: list[str]) -> None:
    assert [fault for _, fault in check.undescribed(text)] == faults


def test_a_value_that_is_not_documented_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "documented.py"
    path.write_text(
        '"""A module."""\n\n' + GOOD.partition("    Returns")[0] + '    """\n    return angle\n', encoding="utf-8"
    )
    monkeypatch.setattr(check, "DOCUMENTED", (str(path),))
    assert check.docstrings() == 1
