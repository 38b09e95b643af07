"""Every key of the contract's plan is there and of its type, whatever the part: turned, milled, cut, or a no."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

import pytest

from steadyrest.cli.plan_answers import plan_answer
from steadyrest.desk.plan.plan_part import plan
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.shop.part import Part
from tests.stations.parts import demo_shop, pin, turned
from tests.stations.solids import Block

NOW, DUE = datetime.fromisoformat("2026-11-30T09:00+01:00"), datetime.fromisoformat("2026-12-18T12:00+01:00")
NUMBER, TEXT, TEXTS = (int, float), (str,), (list,)
ORNONE = type(None)
Types = tuple[type, ...]
TOP: Mapping[str, Types] = {
    "take": (dict,), "routes": (list,), "chosen": (int, ORNONE), "price": (dict,), "promise": (dict,),
    "measure": (list,), "handling": (list,), "seed": (int,),
}  # fmt: skip
TAKE: Mapping[str, Types] = {"answer": TEXT, "why": TEXTS, "nearest_yes": (str, ORNONE)}
ROUTE: Mapping[str, Types] = {
    "steps": (list,), "blank": (dict, ORNONE), "piece": (str, ORNONE), "buy": (list,), "cost": (dict,),
    "finish": (dict,), "cannot": (list,),
}  # fmt: skip
STEP: Mapping[str, Types] = {
    "station": TEXT, "machine": (str, ORNONE), "phases": (list,), "person_s": NUMBER, "machine_s": NUMBER,
    "unattended": (bool,), "limits": (list,), "cautions": TEXTS, "hold_points": (list,),
}  # fmt: skip
PHASE: Mapping[str, Types] = {
    "duration_s": NUMBER, "spread": NUMBER, "who": TEXTS, "interruptible": (bool,), "max_wait_s": (*NUMBER, ORNONE),
}  # fmt: skip
PRICE: Mapping[str, Types] = {
    "walk_away": (str, ORNONE), "offer": (str, ORNONE), "breaks": (list,), "currency": TEXT,
}  # fmt: skip
PROMISE: Mapping[str, Types] = {"finish": (str, ORNONE), "odds": NUMBER}


def huge() -> Part:
    """Larger than every machine."""
    return turned([(900.0, 4000.0, None)])


def plate() -> Part:
    return Block(80.0, 60.0, 20.0, pitch=1.0).hole(20.0, 30.0, 8.0).part()


def of_types(document: object, wanted: Mapping[str, Types]) -> None:
    assert isinstance(document, dict)
    for key, types in wanted.items():
        assert key in document, key
        assert isinstance(document[key], types), (key, document[key])
        assert isinstance(document[key], bool) is (types == (bool,)), (key, document[key])


@pytest.mark.parametrize("made", [pin, plate, huge])
def test_every_key_of_a_plan_is_there_and_of_its_type(made: Callable[[], Part]) -> None:
    shop = demo_shop()
    small = replace(shop, promised=())  # an empty week is simulated sooner, and has every key as well
    answer = plan(
        made(), said=ShopSaid(small, "", example=True), metal=small.material("C45"), quantity=1, due=DUE, now=NOW,
        seed=3, what="", progress=lambda _what, _share: None, stop=lambda: False,
    )  # fmt: skip
    document = plan_answer(answer)
    of_types(document, TOP)
    of_types(document["take"], TAKE)
    of_types(document["price"], PRICE)
    of_types(document["promise"], PROMISE)
    assert document["take"]["answer"] in ("yes", "no", "yes if")
    assert document["take"]["why"]
    assert document["routes"]
    for route in document["routes"]:
        of_types(route, ROUTE)
        assert route["steps"] or route["cannot"], "no route is empty without a reason"
        assert set(route["cost"]) >= {"p10", "p50", "p90"}
        assert set(route["finish"]) >= {"p50", "p90"}
        for step in route["steps"]:
            of_types(step, STEP)
            for phase in step["phases"]:
                of_types(phase, PHASE)
    if document["chosen"] is None:
        assert document["take"]["answer"] == "no"
    else:
        assert 0 <= document["chosen"] < len(document["routes"])
        assert all(document["price"][key] is not None for key in PRICE)
