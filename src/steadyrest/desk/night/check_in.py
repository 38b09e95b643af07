"""Somebody alone in the shop: asked again and again whether they are well; who is told when nobody answers.

No rescue service: a reminder, and a word to the contact. Nothing here reads a clock; the door's is an argument.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal

from steadyrest.desk.again import Again
from steadyrest.desk.floor import clock as hours
from steadyrest.desk.floor.who import name_of
from steadyrest.desk.night import mail
from steadyrest.desk.night.mail import Letter, MailServer, Send
from steadyrest.promise import calendars
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.store import check_in, touches
from steadyrest.store.check_in import Watch, WatchId
from steadyrest.store.opening import Store
from steadyrest.tables.never_alone import never_alone
from steadyrest.trouble import BadInput
from steadyrest.wording.moments import moment

log = logging.getLogger("steadyrest.check_in")

VERB = "check-in"
EVERY_MIN, ANSWER_MIN = 30, 5
SHORTEST_MIN, LONGEST_MIN = 1, 240
LONGEST = 120
LOOK_EVERY_S = 5.0
# A letter that was not taken is tried again, ever more slowly, and no more than so often.
TRY_AGAIN = (timedelta(minutes=1), timedelta(minutes=3), timedelta(minutes=10))
MOST_TRIES = 12
State = Literal["well", "asks", "missed"]


@dataclass(frozen=True, slots=True)
class Rules:
    """What the owner said. contact: who is told, by name and number; email: where they are written to, or "".

    server: the owner's mail server; None: nobody is written to.
    """

    contact: str = ""
    email: str = ""
    every_min: int = EVERY_MIN
    answer_min: int = ANSWER_MIN
    server: MailServer | None = None


@dataclass(frozen=True, slots=True)
class WatchNow:
    """Somebody alone, now. well: not asked yet; asks: an answer is due; missed: nobody answered."""

    watch: Watch
    name: str
    state: State


def rules(store: Store) -> Rules:
    """What the owner said about it; the usual where they said nothing."""
    with store.reading() as session:
        kept = check_in.rules(session)
    if not kept:
        return Rules()
    server = None
    if kept["host"]:
        server = mail.checked_server(
            host=str(kept["host"]), port=str(kept["port"]), security=str(kept["security"]), user=str(kept["user"]),
            sender=str(kept["sender"]),
        )  # fmt: skip
    return Rules(str(kept["contact"]), str(kept["email"]), int(kept["every_min"]), int(kept["answer_min"]), server)


def set_rules(store: Store, typed: Mapping[str, str], *, by: str, now: datetime) -> Rules:
    """Say who is told, how often somebody is asked, and by which mail server.

    Args:
        store: an open data folder.
        typed: contact, email, every_min, answer_min, host, port, security, user, sender; and password, which is kept
            apart; an empty one leaves it as it is.
        by: who says so.
        now: aware moment.
    Returns: the rules from now on; whoever is alone already keeps theirs.
    Raises: BadInput: something of it cannot be.
    """

    def word(name: str) -> str:
        return " ".join(typed.get(name, "").split())

    contact, email, host = word("contact"), word("email"), word("host")
    if len(contact) > LONGEST or not contact.isprintable():
        raise BadInput(where="contact", what="it is too long.", do="A name and a number.")
    said = Rules(
        contact,
        mail.checked_address(email, "contact's e-mail") if email else "",
        minutes(word("every_min"), "asked every"),
        minutes(word("answer_min"), "time to answer"),
        mail.checked_server(
            host=host, port=word("port"), security=word("security"), user=word("user"), sender=word("sender")
        )
        if host
        else None,
    )
    if said.server is not None and not said.email:
        raise BadInput(where="contact's e-mail", what="there is none to write to.", do="Write it, or no mail server.")
    server = said.server or MailServer("", 0, "starttls", "", "")
    body = {
        "contact": said.contact, "email": said.email, "every_min": said.every_min, "answer_min": said.answer_min,
        "host": server.host, "port": server.port, "security": server.security, "user": server.user,
        "sender": server.sender,
    }  # fmt: skip
    if typed.get("password"):
        mail.keep_password(store.folder, typed["password"][: mail.LONGEST])
    with store.writing() as session:
        check_in.write(session, watch=None, kind="rules", person="", who=by, now=now, body=body)
    return said


def minutes(typed: str, where: str) -> int:
    """A number of minutes. Raises: BadInput: it is none, or out of bounds."""
    if not (typed.isascii() and typed.isdecimal() and SHORTEST_MIN <= int(typed[:6]) <= LONGEST_MIN):
        what = f"{typed[:20]!r} is not between {SHORTEST_MIN} and {LONGEST_MIN} minutes."
        raise BadInput(where=where, what=what, do=f"Usually {EVERY_MIN}, and {ANSWER_MIN} to answer.")
    return int(typed)


def begin(
    store: Store, shop: Shop, *, person: str, contact: str, by: str, now: datetime, every_min: str = "",
    touch: str = "",
) -> WatchId:  # fmt: skip
    """Somebody is alone from now on.

    Args:
        store: an open data folder.
        shop: who works there.
        person: who is alone. contact: who is told, by name and number; "" for the owner's.
        by: who says so.
        now: aware moment.
        every_min: asked every so many minutes, as typed; "" as the owner said.
        touch: the form's mark.
    Returns: the watch's number.
    Raises: BadInput: nobody of this name, nobody to tell, or it runs already.
    """
    if person not in {one.id for one in shop.people}:
        raise BadInput(where="alone", what="it is not said who.", do="Choose a person of the shop.")
    usual = rules(store)
    told = " ".join(contact.split())[:LONGEST] or usual.contact
    if not told:
        what = "nobody is named who is told when you do not answer."
        raise BadInput(where="contact", what=what, do="Write a name and a number.")
    every_s = 60 * (minutes(every_min, "asked every") if every_min else usual.every_min)
    with store.writing() as session:
        before = touches.answered(session, touch, verb=VERB)
        if before is not None:
            return WatchId(int(before))
        if any(one.person == person for one in check_in.running(session)):
            raise BadInput(where="alone", what="the check-in runs already.", do="Answer it, or end it.")
        body = {"every_s": every_s, "answer_s": 60 * usual.answer_min, "contact": told}
        due = now + timedelta(seconds=every_s)
        made = check_in.write(session, watch=None, kind="begun", person=person, who=by, now=now, due=due, body=body)
        touches.keep(session, touch, verb=VERB, answer=str(made), now=now)
    return WatchId(made)


def answer(store: Store, number: int, *, by: str, now: datetime, ends: bool, touch: str = "") -> None:
    """Somebody says that the one who is alone is well, or not alone any more.

    Args:
        store: an open data folder.
        number: the watch's. by: who says so.
        now: aware moment.
        ends: it is over.
        touch: the form's mark.
    Raises: BadInput: it does not run.
    """
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return
        found = check_in.watch(session, WatchId(number))
        if found is None:
            raise BadInput(where="alone", what="this check-in does not run any more.", do="Look at what runs now.")
        due = None if ends else now + timedelta(seconds=found.every_s)
        kind: check_in.Kind = "ended" if ends else "here"
        check_in.write(session, watch=found.id, kind=kind, person=found.person, who=by, now=now, due=due)
        touches.keep(session, touch, verb=VERB, answer=kind, now=now)


def watched(store: Store, shop: Shop, *, now: datetime) -> tuple[WatchNow, ...]:
    """Everybody who is alone now, and whether they answered.

    Args:
        store: an open data folder.
        shop: who works there.
        now: aware moment.
    Returns: the one begun first first.
    """
    with store.reading() as session:
        found = check_in.running(session)
    return tuple(WatchNow(one, name_of(shop, one.person), state_of(one, now)) for one in found)


def state_of(one: Watch, now: datetime) -> State:
    """Whether somebody answered. Once nobody did, that stays until an answer, whatever the clock does."""
    if one.missed or now >= one.late:
        return "missed"
    return "asks" if now >= one.due else "well"


def alone_by_the_clock(store: Store, shop: Shop, *, now: datetime) -> str | None:
    """Who seems to be alone and is not watched: their clock runs, nobody else's does, and nobody else is in now.

    Args:
        store: an open data folder.
        shop: who is in when.
        now: aware moment.
    Returns: the person's id, or None.
    """
    at_work = [one.person for one in hours.people_now(store, shop, now=now) if one.on]
    if len(at_work) != 1:
        return None
    me, soon = at_work[0], now + timedelta(minutes=1)
    others = [one for one in shop.people if one.id != me]
    if any(calendars.stretches(one, start=now, end=soon, timezone=shop.timezone) for one in others):
        return None
    return None if any(one.watch.person == me for one in watched(store, shop, now=now)) else me


def never(shop: Shop) -> tuple[Reason, ...]:
    """What is never done alone, in the list's order."""
    return tuple(because(f"never_alone.{key}", alone_kg=shop.habits.lift_alone_kg) for key in never_alone())


def cautions() -> tuple[Reason, ...]:
    """What the check-in is not."""
    return (
        because("check_in_caution.no_rescue"), because("check_in_caution.rules"), because("check_in_caution.phone")
    )  # fmt: skip


def letter(one: WatchNow, rules: Rules, shop: Shop) -> Letter:
    """What the contact is written."""
    zone = shop.timezone
    text = (
        f"{one.name} works alone in {shop.name} since {moment(one.watch.begun, zone)} and did not answer.\n\n"
        f"Last answer: {moment(one.watch.last, zone)}. Asked: {moment(one.watch.due, zone)}.\n"
        f"Named as contact: {one.watch.contact}.\n\n"
        "Call them. If nobody answers, go and look, and do not go alone; call the emergency number of your place\n"
        "where you cannot be there within minutes.\n\n"
        "This is a reminder by the shop's own computer and no rescue service. It is written once.\n"
    )
    return Letter(rules.email, f"{one.name} does not answer, alone in {shop.name}"[:LONGEST], text)


def try_letter(store: Store, shop: Shop, send: Send = mail.send) -> None:
    """Send a letter to try the settings. Raises: BadInput: there are none, or it was not taken."""
    said = rules(store)
    if said.server is None:
        raise BadInput(where="mail server", what="none is set.", do="Fill in the form and write it down first.")
    text = f"A letter to try the settings, from {shop.name}. Somebody who does not answer would be told of like this.\n"
    send(said.server, mail.password_of(store.folder), Letter(said.email, f"Only a try, from {shop.name}", text))


class CheckIns(Again):
    """Looks every few seconds whether somebody did not answer, notes it, and writes to the contact, until closed.

    store: an open data folder. shop: who works there. clock: the door's clock. send: how a letter goes out.
    """

    def __init__(self, store: Store, shop: Shop, clock: Callable[[], datetime], send: Send = mail.send) -> None:
        self.store = store
        self.shop = shop
        self.clock = clock
        self.send = send
        super().__init__("check-in", LOOK_EVERY_S)

    def once(self) -> None:
        """One look."""
        try:
            self.look()
        except Exception:  # a fault of ours must not end the watch: the next look is tried all the same
            log.exception("check-in")

    def look(self) -> None:
        """Who did not answer is noted, and the contact written to."""
        now = self.clock()
        for one in watched(self.store, self.shop, now=now):
            if one.state != "missed":
                continue
            with self.store.writing() as session:
                still = check_in.watch(session, one.watch.id)
                if still is None or state_of(still, now) != "missed":
                    continue
                if not still.missed:
                    check_in.write(
                        session, watch=still.id, kind="missed", person=still.person, who=still.person, now=now
                    )
            self.tell(replace(one, watch=still), now)

    def tell(self, one: WatchNow, now: datetime) -> None:
        """Write to the contact, once; a letter that was not taken is tried again a little later."""
        said = rules(self.store)
        watch = one.watch
        if said.server is None or watch.written or watch.tries >= MOST_TRIES:
            return
        if watch.tried is not None and now - watch.tried < TRY_AGAIN[min(watch.tries, len(TRY_AGAIN)) - 1]:
            return
        kind: check_in.Kind = "written"
        body: dict[str, str | int] = {"to": said.email}
        try:
            self.send(said.server, mail.password_of(self.store.folder), letter(one, said, self.shop))
        except BadInput as trouble:
            kind, body = "not written", {"to": said.email, "why": trouble.what}
            log.warning("check-in: %s", trouble.what)
        with self.store.writing() as session:
            check_in.write(
                session, watch=watch.id, kind=kind, person=watch.person, who=watch.person, now=now, body=body
            )
