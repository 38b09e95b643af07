"""Somebody alone: asked, heard, missed, told of; nothing of it lost when the server stops."""

from __future__ import annotations

import contextlib
import email
import email.policy
import logging
import socket
import threading
from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.desk.floor import clock
from steadyrest.desk.night import check_in, mail
from steadyrest.desk.night.mail import Letter, MailServer
from steadyrest.desk.which_shop import which_shop
from steadyrest.store.check_in import entries_of
from steadyrest.store.opening import Store, open_store
from steadyrest.trouble import BadInput
from tests.store import sample
from tests.web.workshop import NOW

SHOP = which_shop(None, None).shop
ME, OTHER = SHOP.people[0].id, SHOP.people[1].id
SAID = {
    "contact": "Mara, 555 0101", "email": "mara@place.example", "every_min": "20", "answer_min": "5",
    "host": "127.0.0.1", "port": "25", "security": "none", "user": "", "sender": "shop@place.example",
}  # fmt: skip


@pytest.fixture
def store(tmp_path) -> Iterator[Store]:
    opened = open_store(tmp_path)
    yield opened
    opened.close()


class Post:
    """A mail server of a few lines (RFC 5321), that keeps what it is sent. refuses: the recipient."""

    def __init__(self, *, refuses: bool = False) -> None:
        self.refuses = refuses
        self.got: list[str] = []
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.port = self.listening.getsockname()[1]
        self.thread = threading.Thread(target=self.work, daemon=True)
        self.thread.start()

    def work(self) -> None:
        while True:
            try:
                line, _ = self.listening.accept()
            except OSError:
                return
            with line, line.makefile("rwb") as both:
                self.talk(both)

    def talk(self, both) -> None:
        def say(words: str) -> None:
            both.write(words.encode() + b"\r\n")
            both.flush()

        say("220 here")
        while heard := both.readline():
            word = heard[:4].upper()
            if word == b"DATA":
                say("354 go on")
                text = b""
                while not text.endswith(b"\r\n.\r\n"):
                    text += both.readline()
                self.got.append(text.decode())
                say("250 kept")
            elif word == b"QUIT":
                say("221 bye")
                return
            else:
                say("550 5.1.1 nobody here, secret-of-the-server" if word == b"RCPT" and self.refuses else "250 yes")

    def close(self) -> None:
        self.listening.shutdown(socket.SHUT_RDWR)
        self.listening.close()
        self.thread.join(timeout=5)


def minutes(number: float) -> datetime:
    return NOW + timedelta(minutes=number)


def states(store: Store, at: datetime) -> list[str]:
    return [one.state for one in check_in.watched(store, SHOP, now=at)]


def begun(store: Store, person: str = ME, **more: str) -> int:
    return int(check_in.begin(store, SHOP, person=person, contact="Mara", by=person, now=NOW, every_min="20", **more))


def test_one_is_asked_when_it_is_time_and_missed_when_nobody_answers(store: Store) -> None:
    number = begun(store)
    edges = [(0, "well"), (19.99, "well"), (20, "asks"), (24.99, "asks"), (25, "missed"), (9999, "missed")]
    assert [states(store, minutes(at))[0] for at, _ in edges] == [state for _, state in edges]
    check_in.answer(store, number, by=ME, now=minutes(21), ends=False)
    assert [states(store, minutes(at))[0] for at in (25, 40.9, 41, 46)] == ["well", "well", "asks", "missed"]
    check_in.answer(store, number, by=OTHER, now=minutes(60), ends=True)
    assert states(store, minutes(99)) == []


def test_a_server_that_was_stopped_goes_on_where_it_was_and_tells_at_once(tmp_path) -> None:
    sent: list[Letter] = []
    first = open_store(tmp_path)
    check_in.set_rules(first, SAID, by="owner", now=NOW)
    begun(first)
    first.close()
    again = open_store(tmp_path)
    looks = check_in.CheckIns(again, SHOP, lambda: minutes(500), lambda _server, _secret, letter: sent.append(letter))
    looks.look()
    looks.look()
    again.close()
    third = open_store(tmp_path)
    check_in.CheckIns(third, SHOP, lambda: minutes(501), lambda _server, _secret, letter: sent.append(letter)).look()
    assert states(third, minutes(501)) == ["missed"]
    third.close()
    assert [one.to for one in sent] == ["mara@place.example"]  # once, however often it is looked


def test_the_letter_goes_through_the_owners_server_and_says_what_to_do(store: Store) -> None:
    post = Post()
    check_in.set_rules(store, {**SAID, "port": str(post.port)}, by="owner", now=NOW)
    number = begun(store)
    check_in.CheckIns(store, SHOP, lambda: minutes(24)).look()
    assert post.got == []
    check_in.CheckIns(store, SHOP, lambda: minutes(25)).look()
    post.close()
    (letter,) = post.got
    read = email.message_from_string(letter, policy=email.policy.default)
    assert read["To"] == "mara@place.example"
    assert read["Subject"].startswith(f"{SHOP.people[0].name} does not answer")
    assert "call the emergency number" in read.get_content()
    with store.reading() as session:
        kinds = [one.kind for one in entries_of(session, check_in.WatchId(number))]
    assert kinds == ["begun", "missed", "written"]


def test_a_letter_that_is_not_taken_is_tried_again_and_no_secret_is_logged(store: Store, caplog) -> None:
    caplog.set_level(logging.DEBUG)
    post = Post(refuses=True)
    check_in.set_rules(store, {**SAID, "port": str(post.port), "password": "hush-hush"}, by="owner", now=NOW)
    number = begun(store)
    for at in (25, 25.5, 26, 27, 29):  # after one minute, then after three
        check_in.CheckIns(store, SHOP, lambda at=at: minutes(at)).look()
    post.close()
    (watch,) = check_in.watched(store, SHOP, now=minutes(29))
    assert (watch.watch.tries, watch.watch.written) == (3, False)
    assert "does not take letters for this address" in watch.watch.trouble
    with store.reading() as session:
        said = repr(entries_of(session, check_in.WatchId(number)))
    for hidden in ("hush-hush", "secret-of-the-server"):
        assert hidden not in caplog.text + said
    check_in.answer(store, number, by=ME, now=minutes(30), ends=False)
    assert states(store, minutes(31)) == ["well"]


@pytest.mark.parametrize("port", [1, 9])
def test_a_server_that_cannot_be_reached_is_said_in_one_line(port: int) -> None:
    server = MailServer("127.0.0.1", port, "starttls", "user", "a@b.example")
    with pytest.raises(BadInput, match="cannot be reached") as said:
        mail.send(server, "hush-hush", Letter("c@d.example", "s", "t"))
    assert "hush-hush" not in said.value.line()


def test_the_password_is_a_file_for_one_user_and_no_entry(store: Store) -> None:
    check_in.set_rules(store, {**SAID, "security": "tls", "user": "u", "password": "hush-hush"}, by="owner", now=NOW)
    file = store.folder / mail.PASSWORD
    assert file.stat().st_mode & 0o777 == 0o600
    assert mail.password_of(store.folder) == "hush-hush"
    check_in.set_rules(store, {**SAID, "security": "tls", "user": "u", "password": ""}, by="owner", now=NOW)
    assert mail.password_of(store.folder) == "hush-hush"
    held = b"".join(one.read_bytes() for one in store.folder.glob("steadyrest.db*"))
    assert b"hush-hush" not in held


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"email": "nobody"}, "no address"),
        ({"email": "a@b.example\nBcc: all@b.example"}, "no address"),
        ({"sender": "a@b.example>\r\nX: y"}, "no address"),
        ({"every_min": "0"}, "not between"),
        ({"answer_min": "9" * 40}, "not between"),
        ({"port": "70000"}, "is none"),
        ({"host": "a b"}, "no name"),
        ({"security": "none", "user": "u"}, "for all to read"),
        ({"security": "hope"}, "no way"),
        ({"email": ""}, "none to write to"),
    ],
)
def test_settings_that_cannot_be_are_refused_and_nothing_is_kept(store: Store, changed, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        check_in.set_rules(store, {**SAID, **changed, "password": "hush"}, by="owner", now=NOW)
    assert check_in.rules(store) == check_in.Rules()
    assert mail.password_of(store.folder) == ""


@given(typed=st.fixed_dictionaries({name: st.text(max_size=30) for name in SAID}))
@settings(max_examples=20, deadline=None)
def test_whatever_is_typed_is_a_server_or_refused_in_one_line(typed: dict[str, str]) -> None:
    words = {name: typed[name] for name in ("host", "port", "security", "user", "sender")}
    found: object = None
    with contextlib.suppress(BadInput):
        found = mail.checked_server(**words)
    assert found is None or (words["user"].isprintable() and "\n" not in words["host"] + words["sender"])


def test_a_touch_counts_once_and_nobody_is_watched_twice(store: Store) -> None:
    number = begun(store, touch="begin-0001")
    assert begun(store, touch="begin-0001") == number
    with pytest.raises(BadInput, match="runs already"):
        begun(store)
    begun(store, person=OTHER)
    check_in.answer(store, number, by=ME, now=minutes(5), ends=False, touch="here-00001")
    check_in.answer(store, number, by=ME, now=minutes(15), ends=False, touch="here-00001")
    assert next(one for one in check_in.watched(store, SHOP, now=minutes(16))).watch.last == minutes(5)
    with pytest.raises(BadInput, match="does not run"):
        check_in.answer(store, 999, by=ME, now=NOW, ends=True)
    with pytest.raises(BadInput, match="nobody is named"):
        check_in.begin(store, SHOP, person=SHOP.people[2].id, contact=" ", by=ME, now=NOW)


def test_it_is_offered_when_ones_clock_alone_runs_and_nobody_else_is_in(store: Store) -> None:
    night = NOW.replace(hour=23) + timedelta(days=2)  # Sunday, when nobody is in
    assert check_in.alone_by_the_clock(store, SHOP, now=night) is None
    clock.tell(store, SHOP, clock.Said("note", ME, words="x"), now=NOW)
    with store.writing() as session:
        job = sample.job(session).number
    clock.tell(store, SHOP, clock.Said("start", ME, job=job, at=night), now=night)
    assert check_in.alone_by_the_clock(store, SHOP, now=night) == ME
    at_noon = night + timedelta(hours=11)  # Monday, ten past ten: another's hours
    assert check_in.alone_by_the_clock(store, SHOP, now=at_noon) is None
    clock.tell(store, SHOP, clock.Said("start", OTHER, job=job, at=night), now=night)
    assert check_in.alone_by_the_clock(store, SHOP, now=night) is None
    clock.tell(store, SHOP, clock.Said("stop", OTHER, at=night), now=night + timedelta(minutes=1))
    check_in.begin(store, SHOP, person=ME, contact="Mara", by=ME, now=night)
    assert check_in.alone_by_the_clock(store, SHOP, now=night + timedelta(minutes=2)) is None


def test_each_line_of_what_is_never_done_alone_is_said_and_so_is_what_this_is_not() -> None:
    from steadyrest.wording.say import say

    lines = [say(one) for one in (*check_in.never(SHOP), *check_in.cautions())]
    assert len(set(lines)) == len(lines) >= 10
    assert any("no rescue service" in line for line in lines)
    assert any("local codes" in line for line in lines)
