"""The clock's page from what the desk knows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import count

from steadyrest.desk.floor.clock import Offered, PersonNow, Work
from steadyrest.desk.wall_time import shown
from steadyrest.shop.floor import Shop
from steadyrest.units import show_time
from steadyrest.web.pages.clock import Ask, Besides, ClockPage, Did, Offer, On, OtherStep, Who
from steadyrest.web.pages.top import Top
from steadyrest.web.showing.revisions import stop_mark
from steadyrest.wording import moments

AT_ONCE = 12  # with a touch each; whoever looks for another chooses it from a list


def page(
    shop: Shop, people: Sequence[PersonNow], me: str, *, works: Sequence[Work], offered: Sequence[Offered],
    now: datetime, guard: str, touch: str, trouble: str = "", alone: bool = False, asked_for: int = 0,
) -> ClockPage:  # fmt: skip
    """The page.

    Args:
        shop: for names and time zone.
        people: who is on what.
        me: whose page it is, or "".
        works: that person's lately, oldest first.
        offered: jobs to switch to.
        now: aware moment.
        guard: the app's form token. touch: a mark of this page; each form makes its own of it.
        trouble: what went wrong, or "". alone: nobody else is in now, and nothing asks whether they are well.
        asked_for: the job to show first, with its steps; 0: none.
    Returns: the page.
    """
    numbers = count()

    def mark() -> str:
        return f"{touch}-{next(numbers)}"

    here = sorted(offered, key=lambda one: one.number != asked_for)
    mine = next((one for one in people if one.person == me), None)
    return ClockPage(
        top=Top("The clock", shop.name),
        guard=guard,
        people=tuple(Who(one.person, one.name, on_words(one, shop)) for one in people),
        me=me if mine else "",
        name=mine.name if mine else "",
        alone=alone,
        on=tuple(
            On(work.job, work.stretch.step or 0, words(work), since(work, shop, now), mark(), mark())
            for work in (mine.on if mine else ())
        ),
        asks=tuple(
            Ask(
                int(work.stretch.begun_by), work.job, work.stretch.step or 0,
                f"{words(work)}, since {moments.moment(work.stretch.start, shop.timezone)}",
                shown(work.asked.likely_end, shop.timezone), mark(), mark(),
            )
            for work in works if work.asked is not None
        ),
        offers=tuple(offer(one, shop, mark, opened=one.number == asked_for) for one in here[:AT_ONCE]) if mine else (),
        besides=tuple(
            Besides(one.number, f"{one.number} {one.what}, due {moments.moment(one.due, shop.timezone)}")
            for one in sorted(here[AT_ONCE:], key=lambda one: one.number)
        ),
        did=tuple(
            Did(
                words(work), when(work, shop), show_time(work.worked_s), int(work.stretch.begun_by),
                shown(work.stretch.start, shop.timezone), mark(), mark(),
            )
            for work in reversed(works)
        ),
        note=mark(),
        trouble=trouble,
    )  # fmt: skip


def offer(one: Offered, shop: Shop, mark: Callable[[], str], *, opened: bool) -> Offer:
    """A job to switch to, a mark for each of its forms."""
    names = dict(enumerate(one.steps, 1))
    return Offer(
        job=one.number,
        step=one.next_step or 0,
        what=one.what,
        says=f"{one.next_step} {names[one.next_step]}" if one.next_step else "",
        due=moments.moment(one.due, shop.timezone),
        touch=mark(),
        beside=mark(),
        others=tuple(OtherStep(k, f"{k} {name}", mark()) for k, name in names.items() if k != one.next_step),
        stop=stop_mark(one.number, one.stop, shop) if one.stop is not None else None,
        opened=opened,
    )


def words(work: Work) -> str:
    """A stretch in few words: "job 101, winch shaft, 2 turn on lathe"."""
    job = f"job {work.job}, {work.what}" if work.job else work.what
    return f"{job}, {work.step}" if work.step else job


def since(work: Work, shop: Shop, now: datetime) -> str:
    began = moments.moment(work.stretch.start, shop.timezone)
    passed = show_time((now - work.stretch.start).total_seconds())
    shared = ", time shared" if work.stretch.shared else ""
    return f"since {began}, {passed}{shared}"


def when(work: Work, shop: Shop) -> str:
    one = work.stretch
    if one.end is None:
        return f"since {moments.moment(one.start, shop.timezone)}"
    return moments.stretch(one.start, one.end, shop.timezone)


def on_words(one: PersonNow, shop: Shop) -> str:
    """What somebody is on, in one line."""
    if not one.on:
        return "on nothing"
    del shop
    return " and ".join(words(work) for work in one.on)
