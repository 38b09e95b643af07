"""A nest that is kept, and its plates cut: out of the book in one touch, what is left of them back into it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from steadyrest.desk.cutting.plate_out import PlateOut, cut_up
from steadyrest.shop.floor import Shop
from steadyrest.stock.nested import Nested, NestedSheet
from steadyrest.store import cut_lists, touches
from steadyrest.store.opening import Session, Store
from steadyrest.store.values import from_json
from steadyrest.trouble import BadInput

VERB = "nest cut"
MOST_SHOWN = 12


@dataclass(frozen=True, slots=True)
class PlateCut:
    """A plate that was cut. left: label of what came back, "" for nothing."""

    who: str
    happened: datetime
    left: str


@dataclass(frozen=True, slots=True)
class KeptNest:
    """A nest. cut: the plates that were cut by it, by label."""

    number: int
    name: str
    who: str
    told: datetime
    nest: Nested
    cut: Mapping[str, PlateCut]

    @property
    def open(self) -> tuple[str, ...]:
        """The plates that are still to be cut by it."""
        return tuple(one.label for one in self.nest.sheets if one.label not in self.cut)

    @property
    def jobs(self) -> tuple[int, ...]:
        """Jobs whose parts lie in it."""
        return tuple(dict.fromkeys(one.job for one in self.nest.lines if one.job))


def kept_nest(store: Store, number: int) -> KeptNest:
    """One nest.

    Args:
        store: an open data folder. number: its own.
    Returns: the nest, and what was cut by it.
    Raises: BadInput: there is none.
    """
    with store.reading() as session:
        return _kept(session, number)


def _kept(session: Session, number: int) -> KeptNest:
    one = cut_lists.kept(session, "plates", number=number)
    cut = {
        str(entry.body["piece"]): PlateCut(entry.who, entry.happened, str(entry.body["left"]))
        for entry in cut_lists.entries(session, one.id)
    }
    nest = from_json(one.text, Nested, where=f"nest {number}")
    return KeptNest(one.id, one.name, one.who, one.told, nest, cut)


def latest(store: Store) -> tuple[cut_lists.KeptList, ...]:
    """The nests that were made last, the newest first."""
    with store.reading() as session:
        return cut_lists.latest(session, "plates", most=MOST_SHOWN)


def book(
    store: Store, shop: Shop, number: int, labels: Iterable[str], *, who: str, now: datetime, place: str = "",
    touch: str = "",
) -> KeptNest:  # fmt: skip
    """Write down that plates were cut as a nest says: all of those named, or none.

    Args:
        store: an open data folder. shop: who works there.
        number: of the nest. labels: of its plates that were cut now.
        who: cut them. now: aware moment.
        place: where what is left of them lies; "": where the plate was.
        touch: the form's mark, so that it counts once.
    Returns: the nest, with these cut.
    Raises: BadInput: one of them is not as the nest saw it, with what happened to it last; nothing is written then.
    """
    with store.writing() as session:
        if touches.answered(session, touch, verb=VERB) is not None:
            return _kept(session, number)
        one = _kept(session, number)
        of = {sheet.label: sheet for sheet in one.nest.sheets}
        asked = tuple(dict.fromkeys(labels))
        if not asked:
            raise BadInput(where="the nest", what="all of it is written down already.", do="Look at the rack.")
        for label in asked:
            if label not in of:
                raise BadInput(where=f"piece {label[:40]}", what="is not cut by this nest.", do="Look at the nest.")
            if label in one.cut:
                before = one.cut[label]
                what = f"is written down as cut by this nest already ({before.who})."
                raise BadInput(where=f"piece {label}", what=what, do="Look at the nest again.")
            left = cut_up(session, shop, _out(one, of[label]), place=place, who=who, now=now)
            body = {"piece": label, "left": left}
            cut_lists.write_down(session, one.number, body, who=who, now=now)
        touches.keep(session, touch, verb=VERB, answer=",".join(asked), now=now)
        return _kept(session, number)


def _out(one: KeptNest, sheet: NestedSheet) -> PlateOut:
    """A plate of a nest as it goes out of the book."""
    cut, lines = sheet.cut, one.nest.lines
    per_job: dict[int, float] = {}
    for laid in cut.laid:
        line = lines[laid.body]
        per_job[line.job] = per_job.get(line.job, 0.0) + line.area_mm2
    return PlateOut(
        cut.name, sheet.seen, cut.outline_mm, cut.holes_mm, cut.rest_mm, sheet.rest_holes_mm, cut.area_mm2,
        cut.rest_mm2, tuple(per_job.items()), tuple(lines[laid.body].area_mm2 for laid in cut.laid),
        f"nest {one.number}",
    )  # fmt: skip
