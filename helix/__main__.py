"""Lets `python -m helix` do what the command `helix` does."""

from __future__ import annotations

import sys

from helix.commands.main import main

if __name__ == "__main__":
    sys.exit(main())
