"""The panes of the page by their names: each does what a command does, by the same studies and the same words."""

from __future__ import annotations

from typing import Final

from helix.page.answers.pane import Pane
from helix.page.answers.pane_batch import choose_pane, cut_pane
from helix.page.answers.pane_hold import form_pane, hold_pane, stretch_pane, why_pane
from helix.page.answers.pane_inspect import inspect_pane, spread_pane
from helix.page.answers.pane_pulls import compare_pane as pulls_compare_pane
from helix.page.answers.pane_pulls import plan_pane as pulls_plan_pane
from helix.page.answers.pane_pulls import read_pane as pulls_read_pane
from helix.page.answers.pane_pulls import template_pane as pulls_template_pane
from helix.page.answers.pane_teach import compare_pane, steps_pane

PANES: Final[dict[str, Pane]] = {
    "hold": Pane(hold_pane, slow=True),
    "why": Pane(why_pane, slow=True),
    "stretch": Pane(stretch_pane, slow=True),
    "form": Pane(form_pane, slow=False),
    "choose": Pane(choose_pane, slow=True),
    "cut": Pane(cut_pane, slow=True),
    "inspect": Pane(inspect_pane, slow=True),
    "spread": Pane(spread_pane, slow=True),
    "pulls-template": Pane(pulls_template_pane, slow=False),
    "pulls-read": Pane(pulls_read_pane, slow=True),
    "pulls-compare": Pane(pulls_compare_pane, slow=True),
    "pulls-plan": Pane(pulls_plan_pane, slow=True),
    "steps": Pane(steps_pane, slow=True),
    "compare": Pane(compare_pane, slow=True),
}
