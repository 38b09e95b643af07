"""The request file of `steadyrest stock haul`."""

from __future__ import annotations

from steadyrest.shop.shop_fields import Fields
from steadyrest.stock.asked.fields import amount, currency, ids, request, unread
from steadyrest.stock.scrap import HaulWanted, Heap
from steadyrest.tables.chips import chip_bulks

KEYS = ("haul_cost", "bin_m3", "bin_per_year", "discount_per_year", "currency", "heap")
HEAP_KEYS = ("id", "there_kg", "per_year_kg", "bulk_kg_m3", "metal", "form", "price_per_kg", "mixed_per_kg")


def read_haul(text: str, where: str) -> tuple[HaulWanted, tuple[str, ...]]:
    """Which heaps of scrap there are, and what fetching one costs.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file = request(text, where)
    rows = file.each("heap")
    if not rows:
        raise file.wrong("heap", "there is no heap.", "Write [[heap]] above each one.")
    names = ids(rows, "heap")
    wanted = HaulWanted(
        heaps=tuple(
            Heap(
                name,
                row.number("there_kg", 0.0, high=1e8),
                row.number("per_year_kg", 0.0, high=1e8),
                _bulk(row),
                amount(row, "price_per_kg", negative=True),
                amount(row, "mixed_per_kg", 0.0, negative=True),
            )
            for name, row in zip(names, rows, strict=True)
        ),
        haul_cost=amount(file, "haul_cost"),
        bin_m3=file.number("bin_m3", above=True, high=1e4),
        bin_per_year=amount(file, "bin_per_year", 0.0),
        discount_per_year=file.number("discount_per_year", 0.05, above=True, high=100),
        currency=currency(file),
    )
    beside = tuple(key for row in rows for key in unread(row, HEAP_KEYS))
    return wanted, (*unread(file, KEYS), *beside)


def _bulk(row: Fields) -> float:
    """As it lies in the bin: as written, or of chips by metal and form."""
    if "bulk_kg_m3" in row.table:
        return row.number("bulk_kg_m3", above=True, high=3e4)
    metals = tuple(dict.fromkeys(metal for metal, _ in chip_bulks()))
    metal, form = row.text("metal", among=metals), row.text("form", "broken", among=("broken", "long"))
    return chip_bulks()[metal, form]
