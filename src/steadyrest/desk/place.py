"""The place where a shop's work is kept: its data folder, open, and the shop itself."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from steadyrest.desk.plan import in_short
from steadyrest.desk.which_shop import OWN, ShopSaid, which_shop
from steadyrest.store.opening import Store, open_store


@dataclass(frozen=True, slots=True)
class Place:
    store: Store
    said: ShopSaid

    def close(self) -> None:
        """Let go of the data folder; what was said to be kept is kept without this."""
        self.store.close()


def open_place(data: Path, shop_file: Path | None) -> Place:
    """Open a data folder with its shop.

    Args:
        data: the folder; made if there is none.
        shop_file: the shop file; else the folder's own, else the example, which is then put there.
    Returns: the open place.
    Raises: BadInput: the folder cannot be used, or the shop file is wrong.
    """
    said = which_shop(shop_file, data)
    store = open_store(data)
    in_short.catch_up(store)  # some: after years of work the rest takes minutes, and is the app's, beside its pages
    if not (data / OWN).exists():
        (data / OWN).write_text(said.text, encoding="utf-8")
    return Place(store, said)
