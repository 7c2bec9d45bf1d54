"""Compile the rod's kernels where numba is installed; say what to install where it is not."""

from __future__ import annotations

import functools
import hashlib
import importlib.util
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

Kernel = TypeVar("Kernel", bound=Callable[..., Any])
PACKAGE = "numba"
MISSING = "the simulation needs the package numba, which is not installed: pip install helix[simulate]"


def compiled(function: Kernel) -> Kernel:
    """Compile a kernel for the machine at its first call, and keep what was compiled.

    Parameters
    ----------
    function : callable
        Plain arithmetic on arrays.

    Returns
    -------
    callable
        The compiled function; without numba the function itself, some hundred times slower.

    Notes
    -----
    numba looks at the file of a function, not at those it calls, to tell whether what it kept is still right. So it
    is kept in a folder named after all the sources of this package.
    """
    if not is_installed():
        return function
    import numba

    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(_kept_in())
    try:
        return numba.njit(function, cache=True, nogil=True, error_model="numpy", fastmath={"contract", "nsz", "arcp"})  # type: ignore[no-any-return]
    finally:
        numba.config.CACHE_DIR = before


@functools.cache
def is_installed() -> bool:
    """Return whether the kernels can be compiled here."""
    return importlib.util.find_spec(PACKAGE) is not None


def check_installed() -> None:
    """Stop where the kernels cannot be compiled.

    Raises
    ------
    ModuleNotFoundError
        With what to install.
    """
    if not is_installed():
        raise ModuleNotFoundError(MISSING, name=PACKAGE)


@functools.cache
def _kept_in() -> Path:
    sources = hashlib.sha256(sys.version.encode())
    for path in sorted(Path(__file__).parent.glob("*.py")):
        sources.update(path.read_bytes())
    return _cache_folder() / f"rod-{sources.hexdigest()[:16]}"


def _cache_folder() -> Path:
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "helix"
