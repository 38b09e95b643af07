"""The week as it is promised, and a change tried on it."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

from steadyrest.desk.night.step_program import ProgramUsed, programs_used
from steadyrest.desk.standing import as_it_stands
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.papers.drawing.night_sheet import night_sheet_svg
from steadyrest.promise.own_week import OwnWeek, own_week
from steadyrest.promise.suppose.change import Change
from steadyrest.promise.suppose.offers import own_offers
from steadyrest.promise.suppose.supposed import Supposed, suppose
from steadyrest.promise.suppose.words import read_change
from steadyrest.shop.floor import Shop
from steadyrest.store import seals
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput

log = logging.getLogger("steadyrest.desk")

SEED = 1
FRESH, STALE = timedelta(minutes=5), timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class WeekNow:
    """week: None where nothing is promised. programs: of steps of the work taken, whose time is their program's.

    trouble: why it could not be counted anew since `now`; "" where it could.
    """

    shop: Shop
    now: datetime
    week: OwnWeek | None
    programs: tuple[ProgramUsed, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Tried:
    """What was supposed, in words and as changes, and what comes of it."""

    said: tuple[str, ...]
    changes: tuple[Change, ...]
    answer: Supposed


@dataclass(frozen=True, slots=True)
class Counted:
    """A week and the rows it was counted from: folder, shop file as read, last seal."""

    of: tuple[Path, int, int]
    week: WeekNow

    def age(self, minute: datetime) -> timedelta:
        """How long ago it was counted."""
        return minute - self.week.now


@dataclass(slots=True)
class WeekShelf:
    """The last week counted, kept at hand: counting is long, and what nobody told of changes slowly.

    As long as no row is added it stands: it is counted anew beside the requests once it is FRESH no more, and only
    one that is STALE is waited for. A row that the week hangs on is counted at once. Where a count beside the requests
    goes wrong, the next request counts; if it cannot either, it shows the last week, and says that and why.

    wrong: what went wrong beside, until a count went well.
    """

    kept: Counted | None = None
    wrong: Exception | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)
    beside: threading.Lock = field(default_factory=threading.Lock)

    def week(self, said: ShopSaid, store: Store, *, now: datetime) -> WeekNow:
        """The week as it is promised; counted once where several ask at one moment.

        Args:
            said: the shop as its file says.
            store: an open data folder.
            now: aware moment; the minute counts.
        Returns: the week.
        """
        minute = now.replace(second=0, microsecond=0)
        found = self._standing(said, store, minute)
        if found is None:
            with self.lock:
                found = self._standing(said, store, minute) or self._count(said, store, minute)
        elif self.wrong is not None:
            return self._counted_again(said, store, minute, found)
        elif found.age(minute) >= FRESH and self.beside.acquire(blocking=False):
            threading.Thread(target=self._count_beside, args=(said, store, minute), daemon=True).start()
        return found.week

    def _counted_again(self, said: ShopSaid, store: Store, minute: datetime, last: Counted) -> WeekNow:
        """A week whose count went wrong beside the requests, counted here; the last one and why, if it cannot be."""
        with self.lock:
            if self.wrong is None:  # another request did it
                return self.kept.week if self.kept is not None else last.week
            try:
                return self._count(said, store, minute).week
            except Exception as wrong:
                self._went_wrong(wrong)
                return replace(last.week, trouble=_says(wrong))

    def _standing(self, said: ShopSaid, store: Store, minute: datetime) -> Counted | None:
        """What is at hand, if no row was added since and it is not STALE."""
        kept = self.kept
        if kept is None or kept.of != _rows_of(said, store) or not timedelta(0) <= kept.age(minute) < STALE:
            return None
        return kept

    def _count(self, said: ShopSaid, store: Store, minute: datetime) -> Counted:
        of, kept = _rows_of(said, store), self.kept
        shop = as_it_stands(said, store, now=minute).shop
        same = kept is not None and timedelta(0) <= kept.age(minute) < FRESH and kept.week.shop == shop
        # a row was added that the week does not hang on
        week = kept.week if same and kept is not None else week_now(shop, now=minute)
        self.kept, self.wrong = Counted(of, replace(week, programs=programs_used(store))), None
        return self.kept

    def _count_beside(self, said: ShopSaid, store: Store, minute: datetime) -> None:
        """Count while the last one is still shown. What goes wrong with it stays until a request has counted."""
        try:
            self._count(said, store, minute)
        except Exception as wrong:
            self._went_wrong(wrong)
        finally:
            self.beside.release()

    def _went_wrong(self, wrong: Exception) -> None:
        log.error("the week cannot be counted anew", exc_info=wrong)
        self.wrong = wrong


def _says(wrong: Exception) -> str:
    """What went wrong, for the page."""
    if isinstance(wrong, BadInput):
        return f"{wrong.where}: {wrong.what} {wrong.do}"
    return "a fault of the program; the log says which"


def _rows_of(said: ShopSaid, store: Store) -> tuple[Path, int, int]:
    with store.reading() as session:
        return store.folder, id(said), seals.last(session)


def week_now(shop: Shop, *, now: datetime, stop: Callable[[], bool] = lambda: False) -> WeekNow:
    """The week as it is promised.

    Args:
        shop: as it stands.
        now: aware moment.
        stop: asked during the search.
    Returns: the week.
    """
    return WeekNow(shop, now, own_week(shop, now=now, seed=SEED, stop=stop))


def tried(shop: Shop, week: OwnWeek, said: tuple[str, ...], *, stop: Callable[[], bool] = lambda: False) -> Tried:
    """A change tried on the week.

    Args:
        shop: whose week it is.
        week: as it is promised.
        said: each change as promise/suppose/words.py says.
        stop: asked between tries.
    Returns: what comes of it.
    Raises: BadInput: a change cannot be read, or names what is not there.
    """
    changes = tuple(read_change(one, week.asked) for one in said)
    order = week.asked.order or ()
    offers = own_offers(shop)
    answer = suppose(week.asked, changes, offers, order, seed=SEED, progress=lambda _what, _share: None, stop=stop)
    return Tried(said, changes, answer)


def night_picture(now: WeekNow, *, width_mm: float, height_mm: float | None, dark: bool) -> str:
    """The night sheet of the week, as SVG text; empty where nothing is promised.

    Args:
        now: the week.
        width_mm: of the drawing.
        height_mm: the most it may take; None: as long as it needs.
        dark: for a dark page.
    Returns: SVG text.
    """
    if now.week is None:
        return ""
    return night_sheet_svg(
        now.week.rows, now.shop.people, now.shop.machines, now=now.now, due=max(job.due for job in now.week.jobs),
        timezone=now.shop.timezone, width_mm=width_mm, height_mm=height_mm, dark=dark,
    )  # fmt: skip
