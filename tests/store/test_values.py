"""Values written as JSON text come back equal, and what does not fit is said, never guessed."""

from __future__ import annotations

import dataclasses
import json
import typing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.answer import Promise
from steadyrest.shop.chart import Term
from steadyrest.shop.draws import FloatArray
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.floor import Machine, PromisedWork, Shop
from steadyrest.shop.machine_hour import MachineHour
from steadyrest.shop.money import Money
from steadyrest.shop.part import Doubt, Feature, Part, UnitSaid
from steadyrest.shop.solid_grid import SolidGrid
from steadyrest.shop.work import Route, Step, Undone
from steadyrest.store import values
from steadyrest.store.values import from_json, to_json
from steadyrest.trouble import BadInput
from tests.store import sample

FLOATS = st.floats(allow_nan=False)
SHORT = st.text(max_size=4)
OFFSETS = st.integers(-12 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
PLAIN = {
    str: SHORT,
    int: st.integers(),
    bool: st.booleans(),
    float: FLOATS,
    type(None): st.none(),
    Decimal: st.decimals(allow_nan=False, allow_infinity=False),
    datetime: st.datetimes(timezones=st.just(UTC) | OFFSETS),
}
FLAT = st.builds(Reason, SHORT, st.lists(st.tuples(SHORT, FLOATS | SHORT), max_size=2).map(tuple), st.none() | SHORT)

# Values that check themselves and take not just any number.
AXIS = st.tuples(FLOATS, FLOATS, FLOATS)
CELLS = st.tuples(*(st.integers(1, 500),) * 3)
CHECKED = {
    SolidGrid: st.builds(SolidGrid, st.floats(0.01, 10), AXIS, st.tuples(AXIS, AXIS, AXIS), CELLS, SHORT),
    Term: st.builds(
        Term,
        st.sampled_from(["machine", "datum"]),
        st.floats(0, 5),
        st.sampled_from(["normal", "uniform"]),
        SHORT,
        SHORT,
    ),
    MachineHour: st.builds(
        MachineHour,
        bought=st.decimals(1, 9, places=2),
        rest=st.decimals(0, 1, places=2),
        life_years=st.floats(0.1, 50),
        interest=FLOATS,
        upkeep=PLAIN[Decimal],
        room=PLAIN[Decimal],
        hours=st.floats(1, 9000),
        power_w=FLOATS,
        per_kwh=PLAIN[Decimal],
    ),
}


@cache
def anything(hint):
    """Any value of a type, small but of every shape; a reason's figures have reasons, whose figures have none."""
    if hint in PLAIN:
        return PLAIN[hint]
    if hint is Figure:
        return st.builds(Figure, FLOATS, SHORT, st.lists(FLAT, min_size=1, max_size=2).map(tuple))
    if hint is Reason:
        given_ = st.tuples(SHORT, anything(Figure) | FLOATS | SHORT)
        return FLAT | st.builds(Reason, SHORT, given_.map(lambda one: (one,)), st.none() | SHORT)
    if hint in CHECKED:
        return CHECKED[hint]
    if dataclasses.is_dataclass(hint):
        return st.builds(hint, **{name: anything(kind) for name, kind in typing.get_type_hints(hint).items()})
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin is typing.Literal:
        return st.sampled_from(arguments)
    if origin is tuple and arguments[-1] is Ellipsis:
        return st.lists(anything(arguments[0]), max_size=1).map(tuple)
    if origin is tuple:
        return st.tuples(*map(anything, arguments))
    return st.one_of(*map(anything, arguments))


@pytest.mark.parametrize(
    "kind", [Part, Route, Step, Undone, Feature, Doubt, Machine, PromisedWork, Shop, Money, Promise]
)
@settings(deadline=None, max_examples=15)
@given(data=st.data())
def test_every_value_of_the_shop_comes_back_equal(kind, data):
    value = data.draw(anything(kind))
    text = to_json(value)
    assert from_json(text, kind, where="here") == value
    json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))


@dataclass(frozen=True, slots=True)
class Odd:
    """What the shop's values do not have yet but plans may."""

    row: FloatArray
    either: tuple[int, ...] | str | bool | float
    empty: tuple[()] = ()
    pair: tuple[int, str] = (1, "a")


@settings(deadline=None, max_examples=50)
@given(
    row=st.lists(st.floats(), max_size=6),
    either=st.lists(st.integers(), max_size=3).map(tuple) | SHORT | st.booleans() | FLOATS,
)
def test_rows_and_unions_come_back_as_the_type_they_were(row, either):
    back = from_json(to_json(Odd(np.array(row), either)), Odd, where="here")
    np.testing.assert_array_equal(back.row, np.array(row))
    assert not back.row.flags.writeable
    assert back.either == either
    assert type(back.either) is type(either)


def test_numpy_scalars_are_kept_as_the_plain_numbers_their_fields_name():
    figure = Figure(np.float64(0.1), "mm", (Reason("a", (("x_mm", np.float32(0.5)),)),))
    back = from_json(to_json(figure), Figure, where="here")
    assert (back.value, type(back.value)) == (0.1, float)
    assert back.why[0].given == (("x_mm", 0.5),)


UNIT = UnitSaid("mm", "sure", Reason("unit.named"))


def changed(**more):
    return json.dumps({**json.loads(to_json(UNIT)), **more})


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "here: is not a value that steadyrest wrote."),
        ("[" * 200_000, "here: is not a value that steadyrest wrote."),
        ("{}", "here: is not a value that steadyrest wrote."),
        (changed(version=2), "here: was written as version 2 of the values; this steadyrest reads up to 1. Update"),
        (changed(version="1"), "here: has no version but '1'."),
        (changed(kind="Part"), "here: is a Part, not a UnitSaid."),
        (changed(value=3), "here, UnitSaid: is not a UnitSaid."),
        (changed(value={"name": "mm", "state": "sure"}), "here, UnitSaid: lacks why."),
        (changed(value={"name": 3, "state": "sure"}), "here, UnitSaid.name: is 3, which is no str."),
        (changed(value={"name": "mm", "state": "maybe"}), "here, UnitSaid.state: is 'maybe', not one of sure, likely,"),
        (changed(value={"colour": 1}), "here, UnitSaid: has colour, which no UnitSaid has."),
    ],
)
def test_text_that_does_not_fit_is_one_line_that_says_where(text, said):
    with pytest.raises(BadInput) as trouble:
        from_json(text, UnitSaid, where="here")
    assert trouble.value.line().startswith(said)


def test_a_figure_without_a_reason_is_refused_when_read_as_when_made():
    text = to_json(Figure(1.0, "mm", (Reason("a"),))).replace('[{"key":"a","given":[],"source":null}]', "[]")
    with pytest.raises(BadInput, match="a figure carries a reason"):
        from_json(text, Figure, where="here")


@pytest.mark.parametrize("number", ["true", '"12"', "null", "[]"])
def test_nothing_but_a_number_is_a_number(number):
    text = to_json(Figure(1.0, "mm", (Reason("a"),))).replace('"value":1.0', f'"value":{number}')
    with pytest.raises(BadInput, match=r"Figure\.value: is .*, which is no float"):
        from_json(text, Figure, where="here")


def test_a_value_that_does_not_fit_its_field_is_our_mistake_and_is_not_written():
    with pytest.raises(TypeError, match=r"UnitSaid\.state: 'maybe' does not fit"):
        to_json(UnitSaid("mm", "maybe", Reason("a")))
    with pytest.raises(TypeError, match="does not fit"):
        to_json(Money("12.00", "EUR"))


def test_an_older_version_is_brought_up_step_by_step(monkeypatch):
    monkeypatch.setattr(values, "VERSION", 3)
    monkeypatch.setattr(
        values,
        "UPGRADES",
        {2: lambda old: {**old, "state": "sure"}, 3: lambda old: {**old, "name": old["name"].lower()}},
    )
    old = json.dumps({"version": 1, "kind": "UnitSaid", "value": {"name": "MM", "why": {"key": "unit.named"}}})
    assert from_json(old, UnitSaid, where="here") == UNIT


def test_a_field_added_later_with_a_default_reads_from_older_text():
    older = json.dumps({"version": 1, "kind": "Reason", "value": {"key": "unit.named"}})
    assert from_json(older, Reason, where="here") == Reason("unit.named")


# ---- quick and slow ------------------------------------------------------------------------------------------------


def places(packed, path=()):
    """Every place in parsed JSON."""
    yield path
    inner = packed.items() if isinstance(packed, dict) else enumerate(packed) if isinstance(packed, list) else ()
    for key, value in inner:
        yield from places(value, (*path, key))


def took(read, packed):
    """What a reader makes of it; None where it refuses."""
    try:
        return read(packed)
    except (values.Misfit, TypeError, ValueError):
        return None


@settings(max_examples=60)
@given(data=st.data())
def test_the_quick_reader_takes_what_the_slow_one_takes_and_nothing_else(data):
    packed = json.loads(values.to_json(sample.shaft()))["value"]
    path = data.draw(st.sampled_from(sorted(places(packed), key=repr)))
    other = data.draw(st.sampled_from([None, 1, 1.5, "x", True, [], [1.0], {}, {"is": "str", "value": 1}, "NaN"]))
    harmed = json.loads(json.dumps(packed))
    if path:
        at = harmed
        for key in path[:-1]:
            at = at[key]
        at[path[-1]] = other
        if isinstance(at, dict) and data.draw(st.booleans()):
            del at[path[-1]]
    slow = took(lambda one: values.unpack(one, Part, "Part"), harmed)
    quick = took(values.reader(Part), harmed)
    assert repr(quick) == repr(slow)
