"""The request file of `steadyrest stock carry`."""

from __future__ import annotations

import math

from steadyrest.shop.shop_fields import Fields
from steadyrest.stock.asked.fields import amount, currency, ids, ranks, request, unread
from steadyrest.stock.carried_lot import DueLot
from steadyrest.stock.carry import CarryWanted, Section

KEYS = ("part", "material", "saw", "holding", "money", "piece", "currency", "due")
LONGEST_MM = 1e6


def read_carry(text: str, where: str) -> tuple[tuple[CarryWanted, tuple[DueLot, ...]], tuple[str, ...]]:
    """What is wanted of a carry blank.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: the values and the lots by due time, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file = request(text, where)
    part, material, saw = file.inner("part"), file.inner("material"), file.inner("saw")
    holding, money, pieces = file.inner("holding"), file.inner("money"), file.each("piece")
    ids(pieces, "piece")
    wanted = CarryWanted(
        length_mm=part.number("length_mm", above=True, high=LONGEST_MM),
        face_mm=part.number("face_mm", high=LONGEST_MM),
        part_off_mm=part.number("part_off_mm", high=LONGEST_MM),
        count=part.whole("count", low=1, high=1_000_000),
        section=_section(part.inner("section")),
        density_kg_m3=material.number("density_kg_m3", above=True, high=1e5),
        e_mpa=material.number("e_mpa", low=1e-3, high=1e7),
        price_per_kg=amount(material, "price_per_kg"),
        kerf_mm=saw.number("kerf_mm", high=1000),
        saw_s=saw.number("person_s"),
        grip_mm=holding.number("grip_mm", high=LONGEST_MM),
        holding_s=holding.number("person_s"),
        force_n=holding.number("force_n", high=1e7),
        tip_allowed_mm=holding.number("tip_allowed_mm", high=1000),
        max_mass_kg=_most(holding, "max_mass_kg"),
        max_length_mm=_most(holding, "max_length_mm"),
        person_per_hour=amount(money, "person_per_hour"),
        pieces_mm=tuple(piece.number("length_mm", above=True, high=LONGEST_MM) for piece in pieces),
        currency=currency(money) or currency(file),
    )
    return (wanted, _lots(file, wanted.count)), unread(file, KEYS)


def _lots(file: Fields, count: int) -> tuple[DueLot, ...]:
    """The lots, the first due first. Raises: BadInput: they are not as many parts as are wanted."""
    rows = file.each("due")
    if not rows:
        return ()
    names = [str(n) for n in range(len(rows))]
    for row in rows:
        if "at" not in row.table:
            raise row.wrong(None, "it is not said when.", "Write at = 2026-12-04.")
    at = dict(zip(names, (row.table["at"] for row in rows), strict=True))
    rank = ranks(at, dict(zip(names, rows, strict=True)))
    lots = [(rank[n], DueLot(str(at[n]), row.whole("count", low=1))) for n, row in zip(names, rows, strict=True)]
    total = sum(lot.count for _, lot in lots)
    if total != count:
        raise rows[0].wrong("count", f"{total} are due, {count} are wanted.", "Let them be as many.")
    return tuple(lot for _, lot in sorted(lots, key=lambda one: one[0]))


def _most(fields: Fields, key: str) -> float:
    """A limit that may be left out: nothing limits it then."""
    return fields.number(key, above=True) if key in fields.table else math.inf


def _section(fields: Fields) -> Section:
    if "d_mm" in fields.table:
        return Section(d_mm=fields.number("d_mm", low=1e-3, high=1e4))
    return Section(w_mm=fields.number("w_mm", low=1e-3, high=1e4), h_mm=fields.number("h_mm", low=1e-3, high=1e4))
