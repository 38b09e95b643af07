"""The page of somebody alone, filled, and what every screen says of them."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import timedelta

from steadyrest.desk.floor.who import name_of
from steadyrest.desk.night import check_in as desk
from steadyrest.desk.night.check_in import Rules, WatchNow
from steadyrest.shop.floor import Shop
from steadyrest.store.check_in import Entry
from steadyrest.units import show_time
from steadyrest.web.pages.alone import AlonePage, RulesForm, WatchRow
from steadyrest.web.pages.top import Top
from steadyrest.wording.moments import moment
from steadyrest.wording.say import Reader, say

AGAIN_S = 30
WAYS = (
    ("starttls", "STARTTLS, usually port 587"),
    ("tls", "TLS from the start, usually port 465"),
    ("none", "in the clear, only within the shop and without a user"),
)
SAYS = {
    "begun": "alone from then on", "here": "well", "missed": "did not answer", "written": "the contact was written to",
    "not written": "the contact could not be written to", "ended": "not alone any more", "rules": "",
}  # fmt: skip


def alarm(one: WatchNow, zone: str) -> str:
    """What a screen says of somebody who is asked or did not answer."""
    watch = one.watch
    if one.state == "asks":
        return f"{one.name}, are you well? Answer by {moment(watch.late, zone)}, or {watch.contact} is to be told."
    told = "They were written to." if watch.written else "Tell them now."
    return (
        f"{one.name} is alone and did not answer; last heard {moment(watch.last, zone)}. Go and look, not alone. "
        f"Contact: {watch.contact}. {told}"
    )


def page(
    shop: Shop, watched: Sequence[WatchNow], rules: Rules, *, guard: str, me: str, offered: str | None, owner: bool,
    has_password: bool, trouble: str = "", done: str = "",
) -> AlonePage:  # fmt: skip
    """The page.

    Args:
        shop: whose it is.
        watched: who is alone now. rules: what the owner said.
        guard: token for its forms.
        me: who looks, by id. offered: who seems to be alone, by the clock.
        owner: whether the rules may be changed. has_password: one is kept for the mail server.
        trouble, done: why the last thing was not done, or what was.
    Returns: the page.
    """
    reader = Reader("in" if shop.unit == "in" else "mm", shop.currency)
    writes = f"{rules.email} is written to, once, by {rules.server.host}." if rules.server is not None else ""
    return AlonePage(
        top=Top("Alone", shop.name, again_s=AGAIN_S if watched else 0),
        guard=guard,
        touch=secrets.token_urlsafe(12),
        trouble=trouble,
        done=done,
        watches=tuple(watch_row(one, shop) for one in watched),
        offered=name_of(shop, offered) if offered is not None else "",
        people=tuple((one.id, one.name) for one in shop.people),
        me=offered or me,
        contact=rules.contact,
        every_min=rules.every_min,
        writes=writes or "Nobody is written to: no mail server is set. Then only the screens of this app say so.",
        never=tuple(say(one, reader) for one in desk.never(shop)),
        cautions=tuple(say(one, reader) for one in desk.cautions()),
        rules=rules_form(rules, has_password=has_password) if owner else None,
    )


def watch_row(one: WatchNow, shop: Shop) -> WatchRow:
    """Somebody alone, in words."""
    watch, zone = one.watch, shop.timezone
    answered = show_time((watch.late - watch.due) / timedelta(seconds=1))
    says = (
        f"alone since {moment(watch.begun, zone)}, last heard {moment(watch.last, zone)}; asked at "
        f"{moment(watch.due, zone)}, with {answered} to answer"
    )
    trouble = f"The contact could not be written to: {watch.trouble}" if watch.tries and not watch.written else ""
    story = tuple(told(entry, shop) for entry in reversed(watch.entries))
    return WatchRow(int(watch.id), one.name, says, trouble, watch.contact, story, secrets.token_urlsafe(12))


def told(entry: Entry, shop: Shop) -> str:
    """One entry in words."""
    by = f", says {name_of(shop, entry.who)}" if entry.who != entry.person else ""
    why = f": {entry.body['why']}" if "why" in entry.body else ""
    return f"{moment(entry.happened, shop.timezone)}: {SAYS[entry.kind]}{why}{by}"


def rules_form(rules: Rules, *, has_password: bool) -> RulesForm:
    """What the owner said, as it stands in the form."""
    server = rules.server
    return RulesForm(
        contact=rules.contact,
        email=rules.email,
        every_min=rules.every_min,
        answer_min=rules.answer_min,
        host=server.host if server else "",
        port=str(server.port) if server else "587",
        security=server.security if server else "starttls",
        user=server.user if server else "",
        sender=server.sender if server else "",
        has_password=has_password,
        ways=WAYS,
    )
