"""Frozen dataclasses to JSON text and back, driven by their fields and type hints.

    text = to_json(part)
    part = from_json(text, Part, where="part 12")

Knows: dataclasses, tuples, str, int, float, bool, None, Decimal, aware datetimes, Literal, unions, read-only rows of
floats. In a union of several types each value carries its type's name. A field added later with a default reads from
older text; a field that is gone, or a changed meaning, needs a new VERSION and a step in UPGRADES.
"""

from __future__ import annotations

import dataclasses
import json
import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from functools import cache
from numbers import Integral, Real
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin

import numpy as np

from steadyrest.trouble import BadInput

T = TypeVar("T")
Json = Any

VERSION = 1
# From the version before to the version named: takes and gives the parsed "value".
UPGRADES: Mapping[int, Callable[[Json], Json]] = {}
ODD_FLOATS = {"NaN": math.nan, "Infinity": math.inf, "-Infinity": -math.inf}


@dataclass(frozen=True, slots=True)
class Misfit(Exception):  # noqa: N818  says what it is
    """Text that does not fit the type; `at` is the path to the place."""

    at: str
    what: str


def to_json(value: object) -> str:
    """A frozen dataclass as JSON text, with its kind and the version of this writing.

    Args:
        value: a dataclass of the kinds named above.
    Returns: one line of JSON without NaN or Infinity as bare words.
    Raises: TypeError: a value that does not fit its field's type hint; our own mistake.
    """
    kind = type(value)
    document = {"version": VERSION, "kind": kind.__name__, "value": pack(value, kind, kind.__name__)}
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def from_json(text: str, kind: type[T], *, where: str) -> T:
    """The dataclass that to_json wrote.

    Args:
        text: from to_json, of this or an earlier version.
        kind: the dataclass expected.
        where: begins the message, such as "part 12".
    Returns: a value equal to the one written.
    Raises: BadInput: a newer version, another kind, or text that does not fit; nothing is guessed.
    """
    repair = "Restore it from a backup; `steadyrest verify` lists what else is damaged."
    try:
        document = json.loads(text)
        version, name, packed = document["version"], document["kind"], document["value"]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise BadInput(where=where, what="is not a value that steadyrest wrote.", do=repair) from None
    if not isinstance(version, int) or version < 1:
        raise BadInput(where=where, what=f"has no version but {version!r}.", do=repair)
    if version > VERSION:
        what = f"was written as version {version} of the values; this steadyrest reads up to {VERSION}."
        raise BadInput(where=where, what=what, do="Update steadyrest, then open it again.")
    if name != kind.__name__:
        raise BadInput(where=where, what=f"is a {name}, not a {kind.__name__}.", do=repair)
    try:
        for later in range(version + 1, VERSION + 1):
            packed = UPGRADES[later](packed)
        try:
            return cast("T", reader(kind)(packed))
        except (Misfit, TypeError, ValueError, RecursionError):
            return cast("T", unpack(packed, kind, kind.__name__))  # once more, slowly: it knows where it does not fit
    except Misfit as misfit:
        raise BadInput(where=f"{where}, {misfit.at}", what=f"{misfit.what}.", do=repair) from None


@cache
def hints(kind: type) -> Mapping[str, Any]:
    """A dataclass's fields by name with their resolved types."""
    resolved = typing.get_type_hints(kind)
    return {field.name: resolved[field.name] for field in dataclasses.fields(kind) if field.init}


def is_array(hint: Any) -> bool:
    return hint is np.ndarray or get_origin(hint) is np.ndarray


def label(hint: Any) -> str:
    """The name that marks a value's type inside a union."""
    if is_array(hint):
        return "array"
    origin = get_origin(hint)
    return getattr(origin or hint, "__name__", str(hint))


def members(hint: Any) -> tuple[Any, ...] | None:
    """A union's members; None if the hint is no union."""
    return get_args(hint) if get_origin(hint) in (Union, types.UnionType) else None


def pack(value: Any, hint: Any, at: str) -> Json:
    """A value as parsed JSON, by its type hint."""
    union = members(hint)
    if union is not None:
        return pack_union(value, union, at)
    origin = get_origin(hint)
    if dataclasses.is_dataclass(hint) and type(value) is hint:
        return {
            name: pack(getattr(value, name), kind, f"{at}.{name}") for name, kind in hints(cast("type", hint)).items()
        }
    if origin is tuple and isinstance(value, tuple):
        kinds = tuple_kinds(hint, len(cast("tuple[Any, ...]", value)), at, TypeError)
        return [pack(one, kind, f"{at}[{i}]") for i, (one, kind) in enumerate(zip(value, kinds, strict=True))]
    if is_array(hint) and isinstance(value, np.ndarray) and value.dtype.kind == "f":
        return {"shape": list(value.shape), "row": [pack_float(float(one)) for one in value.ravel()]}
    if origin is Literal and value in get_args(hint):
        return value
    if fits_plainly(value, hint):
        return pack_plain(value, hint)
    raise TypeError(f"{at}: {value!r} does not fit {hint}")


def pack_union(value: Any, union: tuple[Any, ...], at: str) -> Json:
    """A value of a union: None as null, the only other member bare, else marked with its type."""
    if value is None and type(None) in union:
        return None
    others = [member for member in union if member is not type(None)]
    if len(others) == 1:
        return pack(value, others[0], at)
    member = next((member for member in others if belongs(value, member)), None)
    if member is None:
        raise TypeError(f"{at}: {value!r} is none of {[label(member) for member in others]}")
    return {"is": label(member), "value": pack(value, member, at)}


def belongs(value: Any, member: Any) -> bool:
    """Whether a value is of this member of a union, as exactly as the member can tell."""
    if dataclasses.is_dataclass(member):
        return type(value) is member
    origin = get_origin(member)
    if origin is Literal:
        return value in get_args(member)
    if origin is tuple:
        return isinstance(value, tuple)
    if is_array(member):
        return isinstance(value, np.ndarray)
    return fits_plainly(value, member)


def fits_plainly(value: Any, hint: Any) -> bool:
    """Whether a value of no structure fits; a truth is never taken for a number."""
    truth = isinstance(value, bool | np.bool_)
    if hint is bool:
        return truth
    if hint is int:
        return isinstance(value, Integral) and not truth
    if hint is float:
        return isinstance(value, Real) and not truth
    if hint is datetime:
        return isinstance(value, datetime) and value.tzinfo is not None
    return hint in (str, Decimal) and isinstance(value, hint)


def pack_plain(value: Any, hint: Any) -> Json:
    if hint is float:
        return pack_float(float(value))
    if hint is datetime:
        return value.isoformat()
    if hint is Decimal:
        return str(value)
    return hint(value)


def pack_float(value: float) -> Json:
    """A float as JSON: a number, or its name where JSON has no number for it."""
    if math.isfinite(value):
        return value
    return "NaN" if math.isnan(value) else "Infinity" if value > 0 else "-Infinity"


def tuple_kinds(hint: Any, count: int, at: str, trouble: Callable[..., Exception]) -> tuple[Any, ...]:
    """The type of each of a tuple's `count` members."""
    kinds = get_args(hint)
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return (kinds[0],) * count
    kinds = () if kinds == ((),) else kinds
    if len(kinds) != count:
        what = f"has {count} members, not {len(kinds)}"
        raise trouble(at, what) if trouble is Misfit else trouble(f"{at}: {what}")
    return kinds


# ---- quick: the same as unpack, made once for each type, without the path to the place -----------------------------


@cache
def reader(hint: Any) -> Callable[[Json], Any]:
    """What makes a value of this type of parsed JSON.

    Args:
        hint: a type, as in the fields of a dataclass.
    Returns: a function that takes exactly what `unpack` takes, and raises Misfit, TypeError or ValueError for the rest.
    """
    union, origin = members(hint), get_origin(hint)
    if union is not None:
        return union_reader(union)
    if dataclasses.is_dataclass(hint):
        return fields_reader(cast("type", hint))
    if origin is tuple:
        return tuple_reader(get_args(hint))
    if origin is Literal or is_array(hint):
        return lambda packed: unpack(packed, hint, "")
    if hint is float:
        return lambda packed: packed if type(packed) is float else unpack_plain(packed, float, "")
    if hint is str:
        return lambda packed: packed if type(packed) is str else unpack_plain(packed, str, "")
    return lambda packed: unpack_plain(packed, hint, "")


def union_reader(union: tuple[Any, ...]) -> Callable[[Json], Any]:
    """The reader of a union's members: null, the only other one bare, or one marked with its type."""
    others = [member for member in union if member is not type(None)]
    may_be_none = len(others) < len(union)
    if len(others) == 1:
        read = reader(others[0])
        return lambda packed: None if packed is None and may_be_none else read(packed)
    # The first of one label, as `unpack` takes it.
    named = {label(member): reader(member) for member in reversed(others)}

    def marked(packed: Json) -> Any:
        if packed is None:
            if may_be_none:
                return None
            raise Misfit("", "is nothing")
        if len(packed) != 2:
            raise Misfit("", "does not say which of several types it is")
        return named[packed["is"]](packed["value"])

    def checked(packed: Json) -> Any:
        try:
            return marked(packed)
        except KeyError:
            raise Misfit("", "does not say which of several types it is") from None

    return checked


def fields_reader(kind: type) -> Callable[[Json], Any]:
    """The reader of a dataclass. Its fields' readers are made at the first value: types may hold one another."""
    readers: list[tuple[str, Callable[[Json], Any]]] = []

    def fields(packed: Json) -> Any:
        if not readers:
            readers.extend((name, reader(one)) for name, one in hints(kind).items())
        if type(packed) is not dict:
            raise Misfit("", f"is not a {kind.__name__}")
        given = {name: read(packed[name]) for name, read in readers if name in packed}
        if len(given) != len(cast("dict[str, Json]", packed)):
            raise Misfit("", "has what there is no field for")
        return kind(**given)

    return fields


def tuple_reader(kinds: tuple[Any, ...]) -> Callable[[Json], Any]:
    """The reader of a tuple: of any length of one kind, or of one kind for each place."""
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        read = reader(kinds[0])

        def row(packed: Json) -> Any:
            if type(packed) is not list:
                raise Misfit("", "is not a list")
            return tuple([read(one) for one in cast("list[Json]", packed)])

        return row
    places = [reader(one) for one in (() if kinds == ((),) else kinds)]

    def each(packed: Json) -> Any:
        if type(packed) is not list or len(cast("list[Json]", packed)) != len(places):
            raise Misfit("", "is not a list of that length")
        return tuple([read(one) for read, one in zip(places, cast("list[Json]", packed), strict=True)])

    return each


def unpack(packed: Json, hint: Any, at: str) -> Any:
    """The value that pack packed, by its type hint."""
    union = members(hint)
    if union is not None:
        return unpack_union(packed, union, at)
    origin = get_origin(hint)
    if dataclasses.is_dataclass(hint):
        return unpack_fields(packed, cast("type", hint), at)
    if origin is tuple:
        if not isinstance(packed, list):
            raise Misfit(at, "is not a list")
        row = cast("list[Json]", packed)
        kinds = tuple_kinds(hint, len(row), at, Misfit)
        return tuple(unpack(one, kind, f"{at}[{i}]") for i, (one, kind) in enumerate(zip(row, kinds, strict=True)))
    if is_array(hint):
        return unpack_array(packed, at)
    if origin is Literal:
        if packed not in get_args(hint):
            raise Misfit(at, f"is {packed!r}, not one of {', '.join(map(str, get_args(hint)))}")
        return packed
    return unpack_plain(packed, hint, at)


def unpack_union(packed: Json, union: tuple[Any, ...], at: str) -> Any:
    if packed is None and type(None) in union:
        return None
    others = [member for member in union if member is not type(None)]
    if len(others) == 1:
        return unpack(packed, others[0], at)
    if not isinstance(packed, dict) or set(cast("dict[str, Json]", packed)) != {"is", "value"}:
        raise Misfit(at, "does not say which of several types it is")
    marked = cast("dict[str, Json]", packed)
    member = next((member for member in others if label(member) == marked["is"]), None)
    if member is None:
        raise Misfit(at, f"is a {marked['is']!r}, not one of {', '.join(label(member) for member in others)}")
    return unpack(marked["value"], member, at)


def unpack_fields(packed: Json, kind: type, at: str) -> Any:
    if not isinstance(packed, dict):
        raise Misfit(at, f"is not a {kind.__name__}")
    row = cast("dict[str, Json]", packed)
    wanted = hints(kind)
    unknown = sorted(set(row) - set(wanted))
    if unknown:
        raise Misfit(at, f"has {', '.join(unknown)}, which no {kind.__name__} has")
    given = {name: unpack(row[name], hint, f"{at}.{name}") for name, hint in wanted.items() if name in row}
    for field in dataclasses.fields(kind):
        if field.init and field.name not in given and field.default is MISSING and field.default_factory is MISSING:
            raise Misfit(at, f"lacks {field.name}")
    try:
        return kind(**given)
    except ValueError as fault:
        raise Misfit(at, f"is not possible ({fault})") from None


def unpack_array(packed: Json, at: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    try:
        row = [ODD_FLOATS[one] if isinstance(one, str) else float(one) for one in packed["row"]]
        array = np.array(row, dtype=np.float64).reshape(packed["shape"])
    except (TypeError, KeyError, ValueError):
        raise Misfit(at, "is not a row of numbers with its shape") from None
    array.setflags(write=False)
    return array


def unpack_plain(packed: Json, hint: Any, at: str) -> Any:
    try:
        if hint is float and packed in ODD_FLOATS:
            return ODD_FLOATS[packed]
        if hint is float and isinstance(packed, int | float) and not isinstance(packed, bool):
            return float(packed)
        if hint is datetime and isinstance(packed, str):
            moment = datetime.fromisoformat(packed)
            if moment.tzinfo is not None:
                return moment
        if hint is Decimal and isinstance(packed, str):
            return Decimal(packed)
        if hint in (str, int, bool) and type(packed) is hint:
            return packed
    except (ValueError, InvalidOperation, TypeError, OverflowError):
        pass
    raise Misfit(at, f"is {packed!r}, which is no {label(hint)}")
