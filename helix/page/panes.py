"""The panes of the page by their names: each does what a command does, by the same studies and the same words."""

from __future__ import annotations

from typing import Final

from helix.page.pane import Pane
from helix.page.pane_hold import form_pane, hold_pane, stretch_pane, why_pane

PANES: Final[dict[str, Pane]] = {
    "hold": Pane(hold_pane, slow=True),
    "why": Pane(why_pane, slow=True),
    "stretch": Pane(stretch_pane, slow=True),
    "form": Pane(form_pane, slow=False),
}
