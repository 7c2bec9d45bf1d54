"""What a plan is made of: pieces to make, their ends, stock on hand and how it is cut, in mm, N and kg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_parts import Recipe
from helix.units import UnitSystem
from helix.values import hidden, result


@dataclass(frozen=True)
class Cutting:
    """saw_loss_mm: wire lost at each cut. least_tail_mm: shortest offcut that is kept, None: the shortest
    piece of its wire. spare: share of joints that are spoiled. handle_give: share of a handle that the
    uncertainty of the cut may use up before a piece is cut long. minimise: what the list is best in.
    currency: the prices' own, for people."""

    saw_loss_mm: float
    least_tail_mm: float | None
    spare: float
    handle_give: float
    minimise: Literal["stock", "waste", "cost"] = hidden()
    currency: str = hidden()


@dataclass(frozen=True)
class End:
    """One end of a piece: its name in the plan, and its joint on this wire with what sits in its eye; None
    is a plain end."""

    name: str
    recipe: Recipe | None

    @property
    def plain(self) -> bool:
        """Whether there is no joint at this end."""
        return self.recipe is None


@dataclass(frozen=True)
class CutPiece:
    """Pieces that are alike. length_mm: between what bears in the eyes; a plain end counts to its tip.
    at_load_n: the load under which that length is wanted, None: free. wire: its name in the plan."""

    name: str
    count: int
    length_mm: float
    at_load_n: float | None
    wire: str
    ends: tuple[End, End]


@dataclass(frozen=True)
class Stock:
    """Lengths of stock that are alike. mass_kg: of one, where the plan gives a mass, else None. price: of
    one, None where the plan gives none. count: None where as many can be had as are needed."""

    name: str
    wire: str
    length_mm: float
    mass_kg: float | None
    count: int | None
    price: float | None


@result
class Plan:
    """What is to be made, and from what. wires: by the plan's own names. notes: remarks from reading."""

    title: str
    units: UnitSystem
    wires: dict[str, Wire]
    pieces: tuple[CutPiece, ...]
    stock: tuple[Stock, ...]
    cutting: Cutting
    notes: tuple[str, ...]
