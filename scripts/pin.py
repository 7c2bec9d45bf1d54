"""Write constraints.txt anew: the newest versions that pyproject.toml allows, tried by a real install.

    python3 scripts/pin.py

Run it with the oldest Python that helix supports, so that the versions fit that one too. Takes a minute.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("pin.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import subprocess
import tempfile
from pathlib import Path

from _venv import CONSTRAINTS, ROOT, WHEELS_ONLY, ask, call, clean_environment, main_with, say, venv_python

HEADER = "# Every package that the scripts install, each at one version. Written by scripts/pin.py.\n"
ELSEWHERE = ("colorama==0.4.6",)
"""Packages needed on Windows only, which an install on another system does not see."""


def job() -> int:
    with tempfile.TemporaryDirectory(prefix="helix-pin-") as folder:
        say(f"Installing the newest versions into {folder} ...")
        subprocess.run([sys.executable, "-m", "venv", folder], check=True, env=clean_environment())
        python = venv_python(Path(folder))
        pip = ("-m", "pip", "install", "--disable-pip-version-check", *WHEELS_ONLY)
        if call(python, *pip, "setuptools>=77") or call(
            python, *pip, "--no-build-isolation", "-e", f"{ROOT}[test,docs]"
        ):
            return 1
        lines = ask(python, "-m", "pip", "freeze", "--all").stdout.splitlines()
    kept = [line for line in lines if "==" in line and not line.lower().startswith(("pip==", "helix=="))]
    CONSTRAINTS.write_text(HEADER + "\n".join(sorted([*kept, *ELSEWHERE], key=str.lower)) + "\n", encoding="utf-8")
    say(f"{len(kept)} versions are now in {CONSTRAINTS}; run scripts/test.py before you commit them.")
    return 0


if __name__ == "__main__":
    main_with(job)
