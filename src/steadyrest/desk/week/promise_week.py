"""Promise a week, from a request file or the shop's own: the plan, and the odds of each due time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from steadyrest.desk.request_file import asked
from steadyrest.promise.asked import AskedWeek, read_week
from steadyrest.promise.asked_plan import asked_plan
from steadyrest.promise.by_policy import WeekPlan, by_policy
from steadyrest.promise.own_week import own_week
from steadyrest.shop.floor import Shop
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class PromisedWeek:
    """A request and its plan. seed: of search and draws."""

    asked: AskedWeek
    plan: WeekPlan
    seed: int


def promise_week(
    file: Path, *, seed: int, progress: Callable[[str, float], None], stop: Callable[[], bool],
    enough: Callable[[], bool],
) -> PromisedWeek:  # fmt: skip
    """The plan of a week and how sure each due time is.

    Args:
        file: the request, TOML; docs/promise.md says what stands in it.
        seed: of search and draws.
        progress: told how far it is. stop: asked now and then. enough: as in asked_plan.
    Returns: the request and its plan.
    Raises: BadInput: the file cannot be read, or something in it cannot be meant.
    """
    wanted = asked(file, read_week)
    return PromisedWeek(wanted, asked_plan(wanted, seed=seed, progress=progress, stop=stop, enough=enough), seed)


def own(
    data: Path, *, now: datetime, seed: int, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> PromisedWeek:
    """The shop's own week: everything promised and taken, and how sure each due time is.

    Args:
        data: its data folder.
        now: aware.
        seed: of search and draws.
        progress: told how far it is. stop: asked now and then.
    Returns: the week and its plan.
    Raises: BadInput: there is no such folder, or nothing is promised.
    """
    _, week = own_asked(data, now=now, seed=seed, stop=stop)
    return PromisedWeek(week, by_policy(week, seed=seed, progress=progress, stop=stop), seed)


def own_asked(data: Path, *, now: datetime, seed: int, stop: Callable[[], bool]) -> tuple[Shop, AskedWeek]:
    """The shop as it stands, and its week with the order that its odds hold under.

    Args:
        data: its data folder.
        now: aware.
        seed: of the search.
        stop: asked now and then.
    Returns: both.
    Raises: BadInput: there is no such folder, or nothing is promised.
    """
    shop = of_own_folder(data, now=now)
    found = own_week(shop, now=now, seed=seed, stop=stop)
    if found is None:
        raise BadInput(where=str(data), what="nothing is promised yet.", do="Take a job first, or ask with --shop.")
    return shop, found.asked


def of_own_folder(data: Path, *, now: datetime) -> Shop:
    """The shop of a data folder as it stands.

    Args:
        data: its data folder.
        now: aware.
    Returns: the shop.
    Raises: BadInput: there is no such folder, or it cannot be used.
    """
    from steadyrest.desk import standing  # late: a request file needs no store
    from steadyrest.desk.which_shop import which_shop

    if not data.is_dir():
        raise BadInput(where=str(data), what="there is no such data folder.", do="Name the shop's.")
    return standing.of_folder(which_shop(None, data), data, now=now).shop
