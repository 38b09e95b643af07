"""Who is at the screen: open to the owner until somebody has a PIN, then to nobody without one; what a hand may do."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import text
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from steadyrest.desk.floor import who
from steadyrest.desk.place import Place, open_place
from steadyrest.store import database, people
from steadyrest.store.opening import open_store
from steadyrest.trouble import BadInput
from steadyrest.web import allowed, signin
from steadyrest.web.app import make_app
from tests.web import workshop
from tests.web.conftest import Open

OWNER, HAND = "ambra", "ines"
PINS = {OWNER: "4711", HAND: "a long password"}


@dataclass
class Clock:
    at: datetime

    def __call__(self) -> datetime:
        return self.at


@dataclass(frozen=True)
class Shop:
    place: Place
    goes: int
    no: int
    clock: Clock
    app: Starlette

    def client(self, *, at: str = "192.0.2.7", base: str = "http://testserver") -> TestClient:
        """A device that is not let in yet. at: its address; 192.0.2.0/24 is nobody's (RFC 5737)."""
        return TestClient(self.app, base_url=base, follow_redirects=False, client=(at, 50000))

    def come_in(self, person: str, pin: str | None = None, client: TestClient | None = None, **more: str):
        client = client or self.client()
        words = {"person": person, "pin": pin if pin is not None else PINS[person], "remember": "yes", **more}
        answer = client.post("/sign-in", data={"guard": guard(client), **words})
        return client, answer


def guard(client: TestClient, address: str = "/sign-in") -> str:
    found = re.search(r'name="guard" value="([^"]+)"', client.get(address).text)
    assert found is not None
    return found[1]


@pytest.fixture(scope="module")
def shop(app: Open, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """A copy of the tests' data folder, in which two people have a PIN."""
    folder = tmp_path_factory.mktemp("signin") / "data"
    shutil.copytree(app.folder, folder, ignore=shutil.ignore_patterns("*.db*"))
    # By the library that holds it open: two libraries in one process undo one another's locks on a file.
    beside = database.library().connect(app.folder / "steadyrest.db")
    beside.execute("VACUUM INTO ?", (str(folder / "steadyrest.db"),))
    beside.close()
    place = open_place(folder, None)
    for person, role in ((OWNER, "owner"), (HAND, "hand")):
        who.give_pin(
            place.store, place.said.shop, person=person, pin=PINS[person], role=role, by="owner", now=workshop.NOW
        )
    clock = Clock(workshop.NOW)
    made = make_app(place, clock=clock, hosts=workshop.HOSTS, authority=folder / "shop.toml")
    yield Shop(place, app.goes, app.no, clock, made)
    made.state.house.queue.ready.close()
    place.close()


@pytest.fixture(scope="module")
def owner(shop: Shop) -> TestClient:
    return shop.come_in(OWNER)[0]


@pytest.fixture(scope="module")
def hand(shop: Shop) -> TestClient:
    return shop.come_in(HAND)[0]


def test_without_a_pin_the_app_is_the_owners_at_this_machine_and_nobodys_from_another(app) -> None:
    guarded = signin.SignIn(PlainTextResponse("in"), app.client.app.state.house, lan=True)
    for address, status in (("127.0.0.1", 200), ("::1", 200), ("192.0.2.7", 303)):
        client = TestClient(guarded, follow_redirects=False, client=(address, 50000))
        assert client.get("/").status_code == status, address
    assert "Nobody has to sign in" in app.client.get("/sign-in").text


def test_with_a_pin_every_page_asks_who_it_is_and_tells_nothing(shop: Shop) -> None:
    client = shop.client()
    asks = signin.SignIn(shop.app, shop.app.state.house, lan=True)
    for path in paths(shop):
        for method, status in (("GET", 303), ("HEAD", 303), ("POST", 401)):
            scope = {"method": method, "path": path, "query_string": b"a=%2F"}
            answer = asks.refused(scope, None)
            assert answer is not None, path
            assert answer.status_code == status, path
    for path in ("/", f"/jobs/{shop.goes}", f"/record/{shop.goes}.pdf"):
        got = client.get(path)
        assert (got.status_code, got.headers["location"]) == (303, f"/sign-in?next={path}")
        assert client.post(path).status_code == 401, path
    assert "winch" not in client.get("/sign-in").text


def paths(shop: Shop) -> list[str]:
    """Every address of the app but the one to come in by, with ones for what it names."""
    routes = [one.path for one in shop.app.routes if isinstance(one, Route)]
    return [re.sub(r"{[^}]*}", "1", path) for path in routes if not path.startswith((*signin.OPEN, signin.PAGE))]


def test_the_right_pin_lets_in_and_goes_on_where_it_was_asked(shop: Shop) -> None:
    client, answer = shop.come_in(OWNER, next="/rules?words=drill")
    assert (answer.status_code, answer.headers["location"]) == (303, "/rules?words=drill")
    cookie = answer.headers["set-cookie"]
    assert all(word in cookie for word in ("HttpOnly", "SameSite=lax", "Path=/"))
    assert client.get("/").status_code == 200
    assert "Ambra" in client.get("/").text


def test_under_tls_the_cookie_is_for_this_host_alone_and_never_sent_in_the_clear(shop: Shop) -> None:
    client = shop.client(base="https://testserver")
    _, answer = shop.come_in(OWNER, client=client)
    assert answer.headers["set-cookie"].startswith("__Host-steadyrest=")
    assert "Secure" in answer.headers["set-cookie"]
    assert "Domain" not in answer.headers["set-cookie"]


@given(
    typed=st.one_of(st.text(max_size=40), st.builds("".join, st.lists(st.sampled_from("/\\:.?a h\t\n"), max_size=9)))
)
@settings(max_examples=40, deadline=None)
def test_the_way_back_is_never_out_of_the_app(typed: str) -> None:
    way = signin.safe_way(typed)
    assert way.startswith("/")
    assert not way.startswith(("//", "/\\"))
    assert "\\" not in way
    assert way.isprintable()


def test_a_device_not_remembered_is_let_in_for_twelve_hours_and_one_remembered_for_thirty_days(shop: Shop) -> None:
    kept, answer = shop.come_in(OWNER)
    brief, other = shop.come_in(OWNER, remember="")
    assert "Max-Age=2592000" in answer.headers["set-cookie"]
    assert "Max-Age" not in other.headers["set-cookie"]
    try:
        shop.clock.at = workshop.NOW + timedelta(hours=12)
        assert (kept.get("/rules").status_code, brief.get("/rules").status_code) == (200, 303)
        shop.clock.at = workshop.NOW + timedelta(days=30)
        assert kept.get("/rules").status_code == 303
    finally:
        shop.clock.at = workshop.NOW


def test_a_thousand_wrong_pins_are_slowed_and_said_and_the_owner_at_the_machine_comes_in(shop: Shop) -> None:
    afar = shop.client()
    token = guard(afar)

    def tried(number: int) -> str:
        words = {"person": OWNER, "device": "", "remember": True, "here": False, "now": shop.clock()}
        return who.sign_in(shop.place.store, pin=f"{number:04}", **words).tried.answer  # type: ignore[arg-type]

    assert [tried(number) for number in range(1000)] == ["wrong"] * 3 + ["wait"] * 997
    slowed = afar.post("/sign-in", data={"guard": token, "person": OWNER, "pin": "0000"})
    assert slowed.status_code == 429
    assert "Too many wrong PINs" in slowed.text
    assert int(slowed.headers["retry-after"]) >= 1
    # Not even the right one is looked at from there, while at the machine itself it is.
    assert shop.come_in(OWNER, client=afar)[1].status_code == 429
    assert shop.come_in(OWNER, client=shop.client(at="127.0.0.1"))[1].status_code == 303
    with shop.place.store.reading() as session:
        noted = session.execute(text("SELECT count(*) FROM ledger WHERE kind = 'wrong PIN'")).scalar()
    assert noted == 1  # said once in the record, not a thousand times
    shop.clock.at = workshop.NOW + timedelta(seconds=2)
    assert shop.come_in(OWNER, client=afar)[1].status_code == 303
    shop.clock.at = workshop.NOW


def test_at_the_machine_the_wait_never_grows_beyond_half_a_minute(tmp_path) -> None:
    store, now, longest = open_store(tmp_path), workshop.NOW, {True: 0.0, False: 0.0}
    with store.writing() as session:
        people.set_pin(session, person=OWNER, pin="4711", owner=True, now=now)
        session.execute(text("UPDATE person_pin SET wrong_here = 500, wrong_afar = 500"))
        for here in longest:
            until = people.try_pin(session, person=OWNER, pin="0000", now=now, here=here).wait_until
            assert until is not None
            longest[here] = (until - now).total_seconds()
    store.close()
    assert longest == {True: 30.0, False: 900.0}


def test_neither_pin_nor_token_is_kept_as_it_is(shop: Shop) -> None:
    client, _ = shop.come_in(HAND)
    token = client.cookies["steadyrest"]
    held = b"".join(file.read_bytes() for file in shop.place.store.folder.rglob("*") if file.is_file())
    assert PINS[HAND].encode() not in held
    assert token.encode() not in held


def test_every_address_is_a_hands_or_the_owners_by_name(shop: Shop) -> None:
    routes = {one.path for one in shop.app.routes if isinstance(one, Route)} - {"/fonts/{font}"}
    assert sorted(routes - allowed.HAND.keys() - allowed.OWNER.keys()) == []
    assert not allowed.HAND.keys() & allowed.OWNER.keys()
    assert all(isinstance(one, Route | Mount) for one in shop.app.routes)


def test_a_hand_opens_nothing_of_the_owners_and_is_told_so(shop: Shop, hand: TestClient) -> None:
    for path, what in allowed.OWNER.items():
        asked = re.sub(r"{[^}]*}", "1", path.replace("{paper}", "quote"))
        assert not allowed.a_hand_may("GET", asked), asked
        assert not allowed.a_hand_may("POST", asked), asked
        assert allowed.what_it_is(asked) == what
    assert not allowed.a_hand_may("GET", "/not-listed")
    got = hand.get(f"/record/{shop.goes}")
    assert got.status_code == 403
    assert "Only the owner opens what a customer pays" in got.text
    token = guard(hand)
    for word in ("yes", "no"):
        assert hand.post(f"/jobs/{shop.goes}/answer", data={"guard": token, "answer": word}).status_code == 403


def test_no_page_that_a_hand_opens_says_an_amount_of_money(shop: Shop, hand: TestClient, owner: TestClient) -> None:
    pages = [re.sub(r"{job[^}]*}", str(shop.goes), path) for path in allowed.HAND]
    seen = 0
    for path in (*pages, f"/jobs/{shop.no}", f"/clock?person={HAND}"):
        if "{" in path or path.endswith((".pdf", ".svg")):
            continue
        got = hand.get(path)
        if got.headers.get("content-type", "").startswith("text/html"):
            seen += got.status_code == 200
            assert not re.search(r"\d\s*EUR\b|EUR\s*\d", got.text), path
            assert not re.search(r'href="[^"]*(quote|record)', got.text), path
    assert seen > 10
    assert re.search(r"\d EUR\b", owner.get(f"/jobs/{shop.goes}").text)


def test_what_is_done_is_written_down_under_who_did_it(shop: Shop, hand: TestClient) -> None:
    page = hand.get(f"/clock?person={OWNER}").text  # a hand may write for another, and it is seen who did
    found = re.search(r'name="guard" value="([^"]+)"', page)
    assert found is not None
    words = {"guard": found[1], "touch": "signin-who-1", "what": "note", "person": OWNER, "words": "heard a bearing"}
    assert hand.post("/clock", data=words).status_code == 303
    with shop.place.store.reading() as session:
        who_did = session.execute(text("SELECT person, who FROM clock ORDER BY id DESC LIMIT 1")).one()
    assert tuple(who_did) == (OWNER, HAND)


def test_who_came_in_stands_first_in_mind_where_a_form_asks_who_says_so(hand: TestClient) -> None:
    chosen = re.findall(r'<option value="([^"]*)" selected>', hand.get("/things").text)
    assert chosen == [HAND]


def test_a_form_of_another_session_is_refused(shop: Shop, hand: TestClient, owner: TestClient) -> None:
    words = {"touch": "signin-guard-1", "what": "note", "person": OWNER, "words": "x"}
    assert owner.post("/clock", data={"guard": guard(hand, "/clock"), **words}).status_code == 403
    assert owner.post("/clock", data={"guard": guard(shop.client()), **words}).status_code == 403


@pytest.mark.parametrize(
    "headers", [{"origin": "http://elsewhere"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"}]
)
def test_a_form_from_another_site_is_refused_though_its_token_fits(owner: TestClient, headers: dict[str, str]) -> None:
    words = {"guard": guard(owner, "/clock"), "what": "note", "person": OWNER, "words": "x"}
    assert owner.post("/clock", data=words, headers=headers).status_code == 403


def test_a_device_taken_back_is_out_at_once_and_so_is_every_device_of_a_new_pin(shop: Shop, owner: TestClient) -> None:
    phone, _ = shop.come_in(HAND, device="yard phone")
    page = owner.get("/people").text
    key = re.search(r"Yard phone.*?name=\"device\" value=\"([0-9a-f]+)\"", page, re.DOTALL)
    assert key is not None
    token = guard(owner, "/people")
    assert phone.get("/rules").status_code == 200
    assert owner.post("/people", data={"guard": token, "what": "device", "device": key[1]}).status_code == 303
    assert phone.get("/rules").status_code == 303
    other, _ = shop.come_in(HAND)
    words = {"guard": token, "what": "pin", "person": HAND, "pin": PINS[HAND], "again": PINS[HAND], "role": "hand"}
    assert owner.post("/people", data=words).status_code == 303
    assert other.get("/rules").status_code == 303


def test_a_calendar_s_address_reads_a_week_and_nothing_else_until_it_is_taken_back(shop: Shop) -> None:
    hand, _ = shop.come_in(HAND)
    page = hand.post("/sign-in", data={"guard": guard(hand), "what": "calendar"}).text
    found = re.search(r'<code class="long">http://testserver([^<]+)</code>', page)
    assert found is not None
    address, key = found[1], found[1].split("key=")[1]
    stranger = shop.client()
    assert stranger.get(address).text.startswith("BEGIN:VCALENDAR")
    assert stranger.get(f"/rules?key={key}").status_code == 303
    assert stranger.get(address[:-1]).status_code == 303
    stranger.cookies.set("steadyrest", key)
    assert stranger.get("/rules").status_code == 303
    stranger.cookies.clear()
    assert key not in hand.get("/sign-in").text
    taken = re.search(
        r"A calendar</strong>.*?name=\"device\" value=\"([0-9a-f]+)\"", hand.get("/sign-in").text, re.DOTALL
    )
    assert taken is not None
    hand.post("/sign-in", data={"guard": guard(hand), "what": "device", "device": taken[1]})
    assert stranger.get(address).status_code == 303


def test_signing_out_ends_the_token_itself(shop: Shop) -> None:
    client, _ = shop.come_in(OWNER)
    token = client.cookies["steadyrest"]
    assert client.post("/sign-in", data={"guard": guard(client), "what": "out"}).status_code == 303
    client.cookies.set("steadyrest", token)
    assert client.get("/").status_code == 303


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"what": "pin", "person": HAND, "pin": "12", "again": "12", "role": "hand"}, "four digits"),
        ({"what": "pin", "person": HAND, "pin": "1234", "again": "1235", "role": "hand"}, "twice alike"),
        ({"what": "pin", "person": "nobody", "pin": "1234", "again": "1234", "role": "hand"}, "nobody called"),
        ({"what": "pin", "person": OWNER, "pin": "1234", "again": "1234", "role": "hand"}, "nobody would be left"),
        ({"what": "take", "person": OWNER}, "nobody would be left"),
        ({"what": "take", "person": "nobody"}, "there is none"),
        ({"what": "device", "device": "00"}, "not in any more"),
        ({}, "says nothing"),
    ],
)
def test_what_cannot_be_done_about_people_is_said_in_one_line(
    owner: TestClient, words: dict[str, str], says: str
) -> None:
    got = owner.post("/people", data={"guard": guard(owner, "/people"), **words})
    assert got.status_code == 422
    assert says in got.text


def test_the_first_pin_has_to_be_an_owners(tmp_path) -> None:
    place = open_place(tmp_path, None)
    with pytest.raises(BadInput, match="nobody would be left"):
        who.give_pin(place.store, place.said.shop, person=HAND, pin="1234", role="hand", by="owner", now=workshop.NOW)
    who.give_pin(place.store, place.said.shop, person=OWNER, pin="1234", role="owner", by="owner", now=workshop.NOW)
    who.take_pin(place.store, person=OWNER, by=OWNER, now=workshop.NOW)  # the last one: nobody has to sign in again
    assert not who.pins_are_set(place.store)
    place.close()


@given(cookie=st.text(st.characters(max_codepoint=255, exclude_characters="\r\n\0"), max_size=60))
@settings(max_examples=30, deadline=None)
def test_a_strange_cookie_is_nobodys(cookie: str) -> None:
    scope = {"type": "http", "scheme": "http", "headers": [(b"cookie", cookie.encode("latin-1"))]}
    assert isinstance(signin.cookie_of(scope), str)
