"""Results as values: frozen, compared and hashed with the arrays inside them, shown short, written out by one walker."""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, TypeVar, dataclass_transform

import numpy as np

T = TypeVar("T")
Scalar = str | float | int | bool | None


class Values(Mapping[str, Scalar]):
    """Named values that cannot change: a mapping that can be hashed and pickled.

    >>> angle = Values(angle_deg=105.0, limit_deg=90.0)
    >>> angle["angle_deg"], angle == Values(limit_deg=90.0, angle_deg=105.0), len({angle, angle})
    (105.0, True, 1)
    """

    __slots__ = ("_items",)

    def __init__(self, **items: Scalar) -> None:
        self._items = items

    def __getitem__(self, name: str) -> Scalar:
        return self._items[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __hash__(self) -> int:
        return hash(_key(self._items))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Values) and _key(self._items) == _key(other._items)

    def __repr__(self) -> str:
        return f"Values({', '.join(f'{name}={value!r}' for name, value in self._items.items())})"

    def __reduce__(self) -> tuple[Any, ...]:
        return (_values, (dict(self._items),))


def _values(items: dict[str, Scalar]) -> Values:
    return Values(**items)


def _key(value: object) -> object:
    """What stands for a value where results are compared and hashed: arrays by dtype, shape and bytes."""
    if isinstance(value, float) and np.isnan(value):
        return "nan"  # two results that do not know a number are alike in that
    if isinstance(value, np.ndarray):
        return (value.dtype.str, value.shape, value.tobytes())
    if isinstance(value, tuple | list):
        return tuple(_key(item) for item in value)
    if isinstance(value, Mapping) and not isinstance(value, Values):
        return frozenset((name, _key(item)) for name, item in value.items())
    return value


def _keys(self: Any) -> tuple[object, ...]:
    return tuple(_key(getattr(self, field.name)) for field in fields(self) if field.compare)


def _equal(self: Any, other: object) -> bool:
    return NotImplemented if type(other) is not type(self) else self is other or _keys(self) == _keys(other)


def _hash(self: Any) -> int:
    return hash(_keys(self))


def _repr(self: Any) -> str:
    """The class and its plain fields; what is long is left out."""
    shown = []
    for field in fields(self):
        value = getattr(self, field.name)
        if isinstance(value, float):
            shown.append(f"{field.name}={value:.6g}")
        elif value is None or isinstance(value, str | int | bool | enum.Enum) and len(str(value)) <= 60:
            shown.append(f"{field.name}={value!r}")
    return f"{type(self).__name__}({', '.join([*shown, *(['...'] if len(shown) < len(fields(self)) else [])])})"


@dataclass_transform(frozen_default=True, kw_only_default=True)
def result(cls: type[T]) -> type[T]:
    """Make a class a result: a frozen, slotted, keyword-only dataclass whose equality and hash see into arrays."""
    made = dataclass(frozen=True, kw_only=True, slots=True, eq=False, repr=False)(cls)
    for name, method in (("__eq__", _equal), ("__hash__", _hash), ("__repr__", _repr)):
        if name not in cls.__dict__:
            setattr(made, name, method)
    return made


def to_plain(value: object) -> Any:
    """A value as what JSON holds, by one walk over fields: results as dicts, arrays as lists, nan and inf as None.

    >>> to_plain(Values(load_n=float("inf"), size="MWG 12"))
    {'load_n': None, 'size': 'MWG 12'}
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value) if f.metadata.get("json", True)}
    if isinstance(value, Mapping):
        return {str(name): to_plain(item) for name, item in value.items()}
    if isinstance(value, enum.Enum):
        return value.name.lower()
    if isinstance(value, np.ndarray):
        return to_plain(value.tolist())
    if isinstance(value, np.generic):
        return to_plain(value.item())
    if isinstance(value, tuple | list | set | frozenset):
        return [to_plain(item) for item in value]
    if isinstance(value, float):
        return value if np.isfinite(value) else None
    return value
