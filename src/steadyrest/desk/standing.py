"""The shop as it stands: what its file says, with the work taken since, the figures learned, the book of pieces."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from steadyrest.desk.floor.things import services, with_gauges
from steadyrest.desk.pieces.rack import with_rack
from steadyrest.desk.week.how_true import in_use, with_lessons
from steadyrest.desk.week.own_past import decided_quotes
from steadyrest.desk.week.taken import taken_work
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.promise.promise import dearest
from steadyrest.store.opening import DATABASE, Store, open_store


def as_it_stands(said: ShopSaid, store: Store, *, now: datetime, but: int | None = None) -> ShopSaid:
    """The shop file's shop, with what the data folder knows besides.

    Args:
        said: the shop as its file says.
        store: an open data folder.
        now: aware moment.
        but: number of a job that is planned anew, whose own promise must not stand in its way.
    Returns: the same with the work taken; a job of the file and of the folder with one number counts once, as taken.
    """
    shop = with_gauges(with_rack(said.shop, store), store)
    each = dearest(shop)
    taken = taken_work(store, shop, now=now, late_per_hour=each, but=but)
    here = {work.id for work in taken}
    promised = (*(work for work in shop.promised if work.id not in here), *taken)
    with store.reading() as session:
        learned = in_use(session)
    shop = with_lessons(shop, learned.body) if learned is not None else shop
    promised = (*promised, *services(store, shop, promised, now=now))
    return replace(said, shop=replace(shop, promised=promised), quotes=decided_quotes(store))


def of_folder(said: ShopSaid, folder: Path, *, now: datetime) -> ShopSaid:
    """The same for a data folder that is not open; one that is not there yet knows nothing besides.

    Args:
        said: the shop as its file says.
        folder: the data folder.
        now: aware moment.
    Returns: the shop as it stands.
    Raises: BadInput: the folder cannot be used.
    """
    if not (folder / DATABASE).exists():
        return said
    store = open_store(folder)
    try:
        return as_it_stands(said, store, now=now)
    finally:
        store.close()
