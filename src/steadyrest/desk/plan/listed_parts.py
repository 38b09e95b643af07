"""Read the parts that a parts list names, each from its file, so that a plan can be made of them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from steadyrest.desk.incoming import read_part
from steadyrest.desk.plan.joined_lot import Listed
from steadyrest.desk.plan.plan_part import Progress, Stop, known_features, metal_of
from steadyrest.desk.which_shop import ShopSaid
from steadyrest.part.flat.thickness import with_thickness
from steadyrest.shop.finish import finishes
from steadyrest.shop.part import Part
from steadyrest.shop.parts_list import ListedPart, PartsList
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Workers

READING = 0.6


def read_all(
    asked: PartsList,
    where_is: Callable[[str], Path],
    *,
    said: ShopSaid,
    unit: str | None = None,
    progress: Progress,
    stop: Stop,
    workers: Workers | None = None,
) -> tuple[Listed, ...]:
    """Every part that is made here, read; a file that two parts name is read once.

    Args:
        asked: the list.
        where_is: the path of a file that it names.
        said: the shop.
        unit: for files that name none, where the list does not say it either.
        progress: told what is being done and how far it is, up to READING.
        stop: asked now and then; True ends it.
        workers: a process that stands ready; else fresh ones are started.
    Returns: the parts in the list's order.
    Raises: BadInput: nothing is made here; or, with the part's place in the list, a file, metal, unit or treatment is
        at fault.
    """
    if not asked.made:
        raise BadInput(where=asked.name, what="nothing on the list is made here.", do="List at least one such part.")
    count, found = len(asked.made), list[Listed]()
    first: dict[tuple[str, str | None, int | None], int] = {}

    @cache
    def read(file: str, of_unit: str | None, body: int | None) -> Part:
        at = first[file, of_unit, body]
        return read_part.read_part(
            where_is(file), unit=of_unit, body=body, grid=True, name=file,
            progress=lambda what, share: progress(f"{file}: {what}", READING * (at + share) / count), stop=stop,
            workers=workers,
        )  # fmt: skip

    for n, row in enumerate(asked.made):
        try:
            metal, wants = metal_of(row.material, said.shop), finishes(row.finishes)
            key = (row.file, row.unit or unit, row.body)
            first.setdefault(key, n)
            part = with_thickness(read(*key), row.thickness)
            known_features(part, wants)
        except BadInput as bad:
            raise BadInput(where=f"{row.where}, part {row.id}", what=f"{bad.where}: {bad.what}", do=bad.do) from None
        found.append(Listed(row, _plain(row, part), metal, wants))
    return tuple(found)


def _plain(row: ListedPart, part: Part) -> Part:
    """The part, if a plan can be made of it. Raises: BadInput: its unit is not known, or it is several bodies."""
    where = f"{row.where}, part {row.id}"
    if part.unit.state == "ask":
        what = f"{row.file} does not say its unit, and a plan needs it."
        raise BadInput(where=where, what=what, do='Add unit = "mm" or unit = "in" to the part.')
    if part.bodies:
        what = f"{row.file} holds {len(part.bodies)} bodies."
        do = f"Choose it with body = 1 to {len(part.bodies)}; `steadyrest read` lists their sizes."
        raise BadInput(where=where, what=what, do=do)
    return part
