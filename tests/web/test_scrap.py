"""The scrap bins: entries are added up, a haul empties a bin once, and money that came stays written down."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Open
from tests.web.test_rack import send, text

BIN = {"what": "bin", "name": "brass chips", "kind": "brass broken", "room": "0.8", "price": "3.40", "haul": "60"}


def seen(app: Open) -> str:
    found = re.search(r'value="hauled">.*?name="seen" value="(\d+)"', app.client.get("/scrap").text)
    assert found
    return found[1]


def test_what_went_in_adds_up_and_a_haul_empties_a_bin_once(app: Open) -> None:
    assert send(app, "/scrap", **BIN).status_code == 303
    for _ in range(2):  # one touch sent twice counts once
        assert send(app, "/scrap", what="in", name="brass chips", kg="12.5", touch="scrap-in-1").status_code == 303
    send(app, "/scrap", what="in", name="brass chips", kg="7,5", touch="scrap-in-2")
    assert "20 kg, 0.0" in text(app, "/scrap")
    turn = seen(app)
    haul = {"what": "hauled", "name": "brass chips", "kg": "21", "money": "70.00", "seen": turn}
    assert send(app, "/scrap", **haul, touch="scrap-out-1").status_code == 303
    told = send(app, "/scrap", **haul, touch="scrap-out-2")
    assert told.status_code == 422
    assert "is not as you saw it: hauled, Ines" in told.text
    page = text(app, "/scrap")
    assert "21 kg hauled until now, 70.00 EUR received" in page
    assert "Empty, room for 0.8 m³" in page


@pytest.mark.parametrize(
    "words",
    [
        BIN | {"room": "0"}, BIN | {"kind": "cheese old"}, BIN | {"name": ""}, BIN | {"bulk": "nan"},
        {"what": "in", "name": "no such", "kg": "1"}, {"what": "in", "name": "brass chips", "kg": "-1"},
        {"what": "burn", "name": "brass chips", "kg": "1"},
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_and_nothing_is_written(app: Open, words) -> None:
    send(app, "/scrap", **BIN)
    before = text(app, "/scrap").count("2026")
    assert send(app, "/scrap", **words).status_code == 422
    assert text(app, "/scrap").count("2026") == before
