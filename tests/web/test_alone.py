"""The pages of somebody alone, and who changed what: every screen says it, a hand answers, the owner sets it."""

# ruff: noqa: F401, F811  fixtures of another file, which pytest finds by their names

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from tests.web import workshop
from tests.web.test_signin import HAND, OWNER, Shop, guard, hand, owner, shop

RULES = {
    "contact": "Mara, 555 0101", "email": "mara@place.example", "every_min": "20", "answer_min": "5", "host": "",
    "port": "", "security": "", "user": "", "sender": "",
}  # fmt: skip


@pytest.fixture
def watch(shop: Shop, hand: TestClient) -> int:
    """A hand alone since now; its number."""
    token = guard(hand, "/alone")
    words = {"guard": token, "what": "begin", "person": HAND, "contact": "Mara", "every_min": "20"}
    assert hand.post("/alone", data={**words, "touch": f"alone-{shop.clock.at:%H%M%S%f}"}).status_code == 303
    found = re.search(r'name="watch" value="(\d+)"', hand.get("/alone").text)
    assert found is not None
    return int(found[1])


def test_a_question_stands_on_the_screens_of_who_is_alone_and_an_alarm_on_every_screen(
    shop: Shop,
    hand: TestClient,
    owner: TestClient,
    watch: int,
) -> None:
    stranger = shop.client()
    try:
        for minutes, asked, told in ((19, 0, 0), (21, 1, 0), (26, 1, 1)):
            shop.clock.at = workshop.NOW + timedelta(minutes=minutes)
            assert hand.get("/rules").text.count('class="alarm"') == asked
            assert owner.get("/rules").text.count('class="alarm"') == told
            assert stranger.get("/sign-in").text.count('class="alarm"') == told
            open_page = owner.get("/alone/now").json()
            assert (len(open_page["alarms"]), open_page["running"]) == (told, 1)
        assert "did not answer" in owner.get("/").text
        # The owner went and looked; the page goes on where it was.
        words = {"guard": guard(owner, "/rules"), "what": "here", "watch": str(watch), "next": "/rules"}
        got = owner.post("/alone", data={**words, "touch": "looked-0001"})
        assert (got.status_code, got.headers["location"]) == (303, "/rules")
        assert 'class="alarm"' not in hand.get("/rules").text
        ends = {"guard": guard(hand, "/alone"), "what": "end", "watch": str(watch), "touch": "ended-00001"}
        assert hand.post("/alone", data=ends).status_code == 303
        assert hand.get("/alone/now").json() == {"running": 0, "alarms": []}
    finally:
        shop.clock.at = workshop.NOW


def test_only_the_owner_says_who_is_told(hand: TestClient, owner: TestClient) -> None:
    assert hand.post("/alone/rules", data={"guard": guard(hand, "/alone"), **RULES}).status_code == 403
    assert "/alone/rules" not in hand.get("/alone").text
    assert owner.post("/alone/rules", data={"guard": guard(owner, "/alone"), **RULES}).status_code == 303
    assert "Mara, 555 0101" in hand.get("/alone").text
    tried = owner.post("/alone/rules", data={"guard": guard(owner, "/alone"), "what": "try"})
    assert (tried.status_code, "none is set" in tried.text) == (422, True)


def test_what_is_never_done_alone_and_that_it_is_no_rescue_service_stand_on_the_page(hand: TestClient) -> None:
    page = hand.get("/alone").text
    for words in ("no rescue service", "local codes", "tank, a pit", "Never alone"):
        assert words in page


def test_who_changed_what_is_told_newest_first_and_by_whom(shop: Shop, owner: TestClient) -> None:
    page = owner.get("/changes").text
    rows = re.findall(r'data-says="By">([^<]*)<.*?data-says="What">([^<]*)<', page)
    assert ("owner", "PIN given") in rows
    assert any(what == "Came in" for _, what in rows)
    only = owner.get(f"/changes?who={HAND}").text
    assert set(re.findall(r'data-says="By">([^<]*)<', only)) == {"Ines"}
    assert owner.get("/changes?before=2026-01-01T00:00:00%2B00:00").text.count("<tr>") == 0
    assert owner.get("/changes?before=yesterday").status_code == 422
    for secret in ("4711", "a long password"):
        assert secret not in page
    assert OWNER in owner.get("/people").text
