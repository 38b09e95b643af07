"""The week as it is promised, and a change tried on it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from steadyrest.desk.standing import as_it_stands
from steadyrest.desk.step_program import ProgramUsed, programs_used
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.papers.drawing.night_sheet import night_sheet_svg
from steadyrest.promise.own_week import OwnWeek, own_week
from steadyrest.promise.suppose.change import Change
from steadyrest.promise.suppose.offers import Offers
from steadyrest.promise.suppose.supposed import Supposed, suppose
from steadyrest.promise.suppose.words import read_change
from steadyrest.shop.floor import Shop
from steadyrest.store import seals
from steadyrest.store.opening import Store

SEED = 1


@dataclass(frozen=True, slots=True)
class WeekNow:
    """week: None where nothing is promised. programs: of steps of the work taken, whose time is their program's."""

    shop: Shop
    now: datetime
    week: OwnWeek | None
    programs: tuple[ProgramUsed, ...] = ()


@dataclass(frozen=True, slots=True)
class Tried:
    """What was supposed, in words and as changes, and what comes of it."""

    said: tuple[str, ...]
    changes: tuple[Change, ...]
    answer: Supposed


@dataclass(slots=True)
class WeekShelf:
    """The last week counted, kept at hand for a minute: a page and its pictures ask for the same one."""

    kept: dict[tuple[Path, int, int, datetime], WeekNow] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def week(self, said: ShopSaid, store: Store, *, now: datetime) -> WeekNow:
        """The week as it is promised; counted once where several ask at one moment.

        Args:
            said: the shop as its file says.
            store: an open data folder.
            now: aware moment; the minute counts.
        Returns: the week.
        """
        minute = now.replace(second=0, microsecond=0)
        with self.lock:
            with store.reading() as session:
                key = (store.folder, id(said), seals.last(session), minute)
            if key not in self.kept:
                shop = as_it_stands(said, store, now=minute).shop
                before = next((one for one in self.kept.values() if one.now == minute), None)
                same = before is not None and before.shop == shop  # a row was added that the week does not hang on
                week = before if same and before is not None else week_now(shop, now=minute)
                self.kept = {key: replace(week, programs=programs_used(store))}
            return self.kept[key]


def week_now(shop: Shop, *, now: datetime, stop: Callable[[], bool] = lambda: False) -> WeekNow:
    """The week as it is promised.

    Args:
        shop: as it stands.
        now: aware moment.
        stop: asked during the search.
    Returns: the week.
    """
    return WeekNow(shop, now, own_week(shop, now=now, seed=SEED, stop=stop))


def tried(week: OwnWeek, said: tuple[str, ...], *, stop: Callable[[], bool] = lambda: False) -> Tried:
    """A change tried on the week.

    Args:
        week: as it is promised.
        said: each change as promise/suppose/words.py says.
        stop: asked between tries.
    Returns: what comes of it.
    Raises: BadInput: a change cannot be read, or names what is not there.
    """
    changes = tuple(read_change(one, week.asked) for one in said)
    order = week.asked.order or ()
    answer = suppose(week.asked, changes, Offers(), order, seed=SEED, progress=lambda _what, _share: None, stop=stop)
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
