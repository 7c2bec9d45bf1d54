"""How Sphinx sets the documentation; `python3 scripts/docs.py` calls it on a copy of the Markdown files."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import Any

import helix

project = "helix"
author = "the helix team"
version = release = helix.__version__
root_doc = "README"
language = "en"
extensions = ["myst_nb", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
myst_enable_extensions = ["colon_fence"]
myst_heading_anchors = 4
nb_execution_mode = "off"  # a test runs the notebook; the site shows the output it was saved with
html_theme = "furo"
html_title = f"helix {release}"
html_show_sphinx = False
html_copy_source = False
html_last_updated_fmt = None
autodoc_typehints = "none"
autodoc_member_order = "bysource"
napoleon_use_rtype = False
napoleon_use_ivar = True

SUBJECTS = {
    "helix.api": "What a joint is asked",
    "helix.model": "Recipes, joints and plans",
    "helix.studies": "Results",
    "helix": "Findings and errors",
}
"""The headings of the reference, by where a public name lives; the first that fits."""


def reference() -> str:
    """Return the page of the public names, each set from its docstring."""
    homes = {name: helix._HOMES[name] for name in helix.__all__ if name in helix._HOMES}
    lines = ["# Reference", "", "What `import helix` gives, from the docstrings of the code.", ""]
    for start, heading in SUBJECTS.items():
        names = [name for name, home in homes.items() if home.startswith(start)]
        lines += [f"## {heading}", ""]
        for name in sorted(names, key=str.lower):
            homes.pop(name)
            lines += [f"### {name}", "", "```{eval-rst}", *directive(name), "```", ""]
    return "\n".join(lines)


def directive(name: str) -> list[str]:
    """Return how autodoc is asked for a public name: a module, a class or a function."""
    thing = getattr(helix, name)
    if isinstance(thing, type):
        return [f".. autoclass:: helix.{name}", "   :members:"]
    if callable(thing):
        return [f".. autofunction:: helix.{name}"]
    return [f".. automodule:: {import_module(thing.__name__).__name__}", "   :members:"]


def setup(app: Any) -> None:
    """Write the reference beside the other pages before they are read."""
    Path(app.srcdir, "docs", "reference.md").write_text(reference(), encoding="utf-8")
