"""What --strict asks of a joint: the one place."""

from __future__ import annotations

from helix.findings import Judgement

STRICT = "when the verdict on the joint is sharp or a fault"


def is_ok(result: object) -> bool:
    """Whether the one verdict on what was found asks for no more than a caution."""
    judgement: Judgement = result.judgement  # type: ignore[attr-defined]
    return judgement.is_ok
