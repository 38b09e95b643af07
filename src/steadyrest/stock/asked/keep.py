"""The request file of `steadyrest stock keep`."""

from __future__ import annotations

from steadyrest.stock.asked.fields import amount, currency, ids, request, unread
from steadyrest.stock.keep import Demand, KeepWanted, Remnant

KEYS = (
    "demands_per_year", "discount_per_year", "hold_per_year", "kerf_mm", "new_per_mm", "saved_each", "scrap_per_mm",
    "currency", "demand", "piece",
)  # fmt: skip
LONGEST_MM = 1e6


def read_keep(text: str, where: str) -> tuple[KeepWanted, tuple[str, ...]]:
    """Which pieces are to be judged, by which demand.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file = request(text, where)
    pieces = file.each("piece")
    names = ids(pieces, "piece")
    lengths = [piece.number("length_mm", high=LONGEST_MM) for piece in pieces]
    wanted = KeepWanted(
        demands_per_year=file.number("demands_per_year", high=1e6),
        discount_per_year=file.number("discount_per_year", low=1e-6, high=100),
        hold_per_year=amount(file, "hold_per_year"),
        kerf_mm=file.number("kerf_mm", high=1000),
        new_per_mm=amount(file, "new_per_mm"),
        saved_each=amount(file, "saved_each", 0.0),
        scrap_per_mm=amount(file, "scrap_per_mm", negative=True),
        demands=tuple(
            Demand(row.number("length_mm", above=True, high=LONGEST_MM), row.number("share", high=1.0))
            for row in file.each("demand")
        ),
        pieces=tuple(Remnant(name, length) for name, length in zip(names, lengths, strict=True)),
        currency=currency(file),
    )
    if sum(demand.share for demand in wanted.demands) > 1 + 1e-6:
        raise file.wrong("demand", "the shares add up to more than 1.", "Let them add up to 1 at most.")
    return wanted, unread(file, KEYS)
