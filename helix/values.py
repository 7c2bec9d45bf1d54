"""Results as values: frozen, compared and hashed with the arrays inside them, shown short, written out by one walker."""

from __future__ import annotations

import enum
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields, is_dataclass
from functools import cache
from html import escape
from typing import Any, ClassVar, TypeVar, dataclass_transform, overload

import numpy as np

T = TypeVar("T")
Scalar = str | float | int | bool | None
_MOST_SHOWN = 60  # rows of a table in a notebook; to_frame() has all
Words = Mapping[type, Mapping[str, Callable[[Any], Any]]]


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
    if is_dataclass(value) and type(value).__hash__ is not _hash:
        return (type(value), *_keys(value))
    return value


def _keys(self: Any) -> tuple[object, ...]:
    return tuple(_key(getattr(self, part.name)) for part in fields(self) if part.compare)


def _equal(self: Any, other: object) -> bool:
    return NotImplemented if type(other) is not type(self) else self is other or _keys(self) == _keys(other)


def _hash(self: Any) -> int:
    return hash(_keys(self))


def _refuse(self: Any, name: str, value: object = None) -> None:
    raise FrozenInstanceError(f"cannot change {name!r} of a {type(self).__name__}")


def _repr(self: Any) -> str:
    """The class and its plain fields; what is long is left out."""
    shown = []
    for part in fields(self):
        value = getattr(self, part.name)
        if isinstance(value, float):
            shown.append(f"{part.name}={value:.6g}")
        elif value is None or isinstance(value, str | int | bool | enum.Enum) and len(str(value)) <= 60:
            shown.append(f"{part.name}={value!r}")
    return f"{type(self).__name__}({', '.join([*shown, *(['...'] if len(shown) < len(fields(self)) else [])])})"


def hidden(*, default: Any = MISSING) -> Any:
    """A field that JSON does not carry: arrays, inputs, what another field says already."""
    return field(default=default, metadata={"json": False})


def keyed(key: str, *, default: Any = MISSING) -> Any:
    """A field that JSON carries under another name."""
    return field(default=default, metadata={"key": key})


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(field, hidden, keyed))
def result(cls: type[T]) -> type[T]:
    """Make a class a result: a frozen, slotted, keyword-only dataclass whose equality and hash see into arrays."""
    made = dataclass(frozen=True, kw_only=True, slots=True, eq=False, repr=False)(cls)
    made.__setattr__ = made.__delattr__ = _refuse  # type: ignore[method-assign]
    for name, method in (("__eq__", _equal), ("__hash__", _hash), ("__repr__", _repr)):
        if name not in cls.__dict__:
            setattr(made, name, method)
    return made


@overload
def to_plain(value: Mapping[str, Any], words: Words | None = None) -> dict[str, Any]: ...
@overload
def to_plain(value: object, words: Words | None = None) -> Any: ...
def to_plain(value: object, words: Words | None = None) -> Any:
    """A value as what JSON holds, by one walk over its fields: results as dicts, arrays as lists, nan and inf as None.

    A class that names more in `also` has that carried too; one with a `to_dict` of its own says itself what
    stands for it. words: by class, keys that are made of a result of that class, such as a sentence.

    >>> to_plain(Values(load_n=float("inf"), size="MWG 12"))
    {'load_n': None, 'size': 'MWG 12'}
    """
    if is_dataclass(value) and not isinstance(value, type):
        if hasattr(value, "to_dict") and not isinstance(value, Result):
            return to_plain(value.to_dict(), words)
        data = {key: to_plain(_at(value, path), words) for key, path in carried(type(value)).items()}
        made = (words or {}).get(type(value), {})
        return data | {name: to_plain(make(value), words) for name, make in made.items()}
    if isinstance(value, Mapping):
        return {str(name): to_plain(item, words) for name, item in value.items()}
    if isinstance(value, enum.Enum):
        return value.name.lower()
    if isinstance(value, np.ndarray | np.generic):
        return to_plain(value.tolist(), words)
    if isinstance(value, tuple | list | set | frozenset):
        return [to_plain(item, words) for item in value]
    if isinstance(value, float):
        return value if np.isfinite(value) else None
    return value


def _at(value: object, path: str) -> object:
    """What a path of names leads to; None where it leads on from None."""
    for name in path.split("."):
        value = None if value is None else getattr(value, name)
    return value


@cache
def carried(cls: Any) -> dict[str, str]:
    """What JSON carries of a result class: by key, the field, or the property or the path of those that `also` names."""
    keys = {f.metadata.get("key", f.name): f.name for f in fields(cls) if f.metadata.get("json", True)}
    named = (entry.partition("=") for entry in getattr(cls, "also", ()))
    return keys | {key: path or key for key, _, path in named}


class Result:
    """What a study returns: a value that writes itself as JSON, as a table in a notebook and as a data frame.

    rows_in: name of the field that holds the rows, where the result is a table. also: what JSON carries beside the
    fields: names of properties, or "key=path" where the path leads into what the result holds (None
    where it leads on from None).
    """

    __slots__ = ()
    rows_in: ClassVar[str] = ""
    also: ClassVar[tuple[str, ...]] = ()

    def to_dict(self) -> dict[str, Any]:
        """The result as dicts, lists, numbers and text: mm, N, MPa and deg, None for what is not known."""
        return dict(to_plain(self))

    def to_rows(self) -> list[dict[str, Scalar]]:
        """One dict of plain values a row; the columns of nested values are joined with an underscore."""
        if not self.rows_in:
            raise TypeError(f"a {type(self).__name__} is no table; to_dict() gives all that is in it")
        return [flat(to_plain(row)) for row in getattr(self, self.rows_in)]

    def to_frame(self) -> Any:
        """The rows as a pandas data frame. Raises TypeError where the result is no table."""
        rows = self.to_rows()
        import pandas

        return pandas.DataFrame(rows)

    def _repr_html_(self) -> str:
        """A small table for a notebook: the first rows of a table, else the numbers and words of the answer."""
        rows = self.to_rows()[:_MOST_SHOWN] if self.rows_in else []
        if rows:
            heads = list(dict.fromkeys(name for row in rows for name in row))
            body = [[row.get(name) for name in heads] for row in rows]
        else:
            heads, body = ["", type(self).__name__], [list(pair) for pair in flat(self.to_dict()).items()]
        lines = [f"<tr>{''.join(f'<th>{escape(head)}</th>' for head in heads)}</tr>"]
        lines += [f"<tr>{''.join(f'<td>{escape(_cell(cell))}</td>' for cell in row)}</tr>" for row in body]
        return f"<table>{''.join(lines)}</table>"


def flat(data: Mapping[str, Any], before: str = "") -> dict[str, Scalar]:
    """The plain values of nested dicts by joined names; lists, the recipe and what tells of the program are left out.

    >>> flat({"hold_n": {"low": 1.0, "high": 2.0}, "bends": [], "verdict": "locks"})
    {'hold_n_low': 1.0, 'hold_n_high': 2.0, 'verdict': 'locks'}
    """
    values: dict[str, Scalar] = {}
    for name, item in data.items():
        if isinstance(item, Mapping):
            values |= {} if name == "recipe" else flat(item, f"{before}{name}_")
        elif not isinstance(item, list) and name not in ("schema", "version"):
            values[before + name] = item
    return values


def _cell(value: Scalar) -> str:
    return "-" if value is None else f"{value:.6g}" if isinstance(value, float) else str(value)
