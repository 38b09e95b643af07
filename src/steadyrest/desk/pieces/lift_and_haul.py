"""May it be lifted, hung, set on the table, towed: the typed words of a form, judged by the room `handling`."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Literal, cast

from steadyrest import units
from steadyrest.handling.lifting import Lift, may_lift
from steadyrest.handling.slings import G_M_S2, Hung, Point, legs
from steadyrest.handling.tables import OnTable, TableLimits, on_table
from steadyrest.handling.trailer import Laden, Trailer, towed
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.tables.lifting import Grip, Hours, LiftSystem
from steadyrest.trouble import BadInput

How = Literal["hand", "hook", "table", "trailer"]
HOURS: tuple[Hours, ...] = ("short", "moderate", "long")
GRIPS: tuple[Grip, ...] = ("good", "fair", "poor")
MOST_MM, MOST_KG = 100_000.0, 1e6
MOST_POINTS, MOST_LOADS = 8, 20


@dataclass(frozen=True, slots=True)
class Judged:
    """may: nothing here speaks against it. figures: what was reckoned, each with what it is called. cannot: why not.

    cautions: go with it always."""

    may: bool
    figures: tuple[tuple[str, Figure], ...]
    cannot: tuple[Reason, ...]
    cautions: tuple[Reason, ...]


def judge(how: str, words: Mapping[str, str], *, unit: str) -> Judged:
    """What is asked of a lift.

    Args:
        how: by hand, on a hook, on a table, on a trailer. words: as typed, by the form's names.
        unit: of lengths that name none, mm or in.
    Returns: figures, what speaks against it, cautions.
    Raises: BadInput: the first word that cannot be meant.
    """
    if how not in WAYS:
        raise BadInput(where="how", what=f"{how[:20]!r} is no way of lifting.", do=f"One of: {', '.join(WAYS)}.")
    return WAYS[how](Typed(words, unit))


@dataclass(frozen=True, slots=True)
class Typed:
    """A form's words. unit: of lengths that name none."""

    words: Mapping[str, str]
    unit: str

    def mm(self, name: str, default: str = "") -> float:
        text = self.words.get(name, "").strip() or default
        if text == "0":
            return 0.0
        found = units.parse_length(text, "in" if self.unit == "in" else "mm", name)
        return self._within(name, found, MOST_MM)

    def kg(self, name: str, default: float | None = None) -> float:
        """A mass in kg above 0; where nothing is typed, the default."""
        text = self.words.get(name, "").strip()
        if not text and default is not None:
            return default
        found = self.number(name, text)
        if found <= 0:
            raise BadInput(where=name, what=f"{text[:40]!r} is no mass.", do="Give one above 0, in kg.")
        return self._within(name, found, MOST_KG)

    def plain(self, name: str, default: float) -> float:
        text = self.words.get(name, "").strip()
        return self.number(name, text) if text else default

    def number(self, name: str, text: str) -> float:
        try:
            found = float(text.replace(",", "."))
        except ValueError:
            found = math.nan
        if not math.isfinite(found):
            raise BadInput(where=name, what=f"{text[:40]!r} is not a number.", do="Write a plain number.")
        return found

    def _within(self, name: str, found: float, most: float) -> float:
        if not 0 <= found <= most:
            raise BadInput(where=name, what=f"{found:g} is out of range.", do=f"Give 0 to {most:g}.")
        return found

    def rows(self, name: str, most: int) -> list[list[str]]:
        """Lines or parts between semicolons, each split at spaces."""
        text = self.words.get(name, "").replace("\n", ";")
        found = [row.split() for row in text.split(";") if row.strip()]
        if not 1 <= len(found) <= most:
            raise BadInput(where=name, what=f"{len(found)} rows.", do=f"Give 1 to {most}, a semicolon between them.")
        return found

    def point(self, name: str, row: list[str]) -> Point:
        if len(row) != 2:
            raise BadInput(where=name, what=f"{' '.join(row)[:40]!r} is no point.", do="Write two numbers, as 0 1200.")
        return self.number(name, row[0]), self.number(name, row[1])

    def one_of(self, name: str, among: tuple[str, ...]) -> str:
        found = self.words.get(name, among[0]) or among[0]
        if found not in among:
            raise BadInput(where=name, what=f"{found[:20]!r} is not known.", do=f"One of: {', '.join(among)}.")
        return found


def by_hand(said: Typed) -> Judged:
    """One person, both hands."""
    system = cast(LiftSystem, said.one_of("system", ("metric", "us")))
    hours, grip = cast(Hours, said.one_of("hours", HOURS)), cast(Grip, said.one_of("grip", GRIPS))
    start_mm, end_mm = said.mm("from", "750"), said.mm("to", "900")
    lift = Lift(
        load_kg=said.kg("mass"), out_mm=said.mm("out", "400"), hands_mm=start_mm, start_hands_mm=start_mm,
        travel_mm=abs(end_mm - start_mm), twist_deg=abs(said.plain("twist", 0.0)),
        per_min=max(said.plain("often", 0.2), 0.0), hours=hours, grip=grip,
    )  # fmt: skip
    ends = [may_lift(lift, system), may_lift(_at_end(lift, end_mm), system)]
    worst = max(ends, key=lambda one: one.index)
    cannot = () if worst.index <= 1 else (because("lifting.not_alone", mass_kg=lift.load_kg, limit=worst.limit),)
    return Judged(not cannot, (("one person may lift so", worst.limit),), cannot, worst.cautions)


def _at_end(lift: Lift, end_mm: float) -> Lift:
    """The same lift judged where it ends."""
    return replace(lift, hands_mm=end_mm)


def on_hook(said: Typed) -> Judged:
    """A load on sling legs."""
    points = tuple(said.point("points", row) for row in said.rows("points", MOST_POINTS))
    centre = said.point("centre", said.words.get("centre", "").split())
    rated_kg = said.kg("rated", math.inf)
    hook_mm = said.mm("hook")
    if len(points) < 2 or hook_mm <= 0 or len(set(points)) < len(points):
        raise BadInput(where="points", what="a sling needs two points or more, and a hook above.", do="Give them.")
    stiff = said.one_of("stiff", ("yes", "no")) == "yes"
    hung = Hung(said.kg("mass"), centre, points, hook_mm, rated_kg * G_M_S2, stiff)
    found = legs(hung)
    shown = tuple((f"leg {k}", pull) for k, pull in enumerate(found.pull, 1))
    return Judged(not found.cannot, shown, found.cannot, found.cautions)


def at_table(said: Typed) -> Judged:
    """Part, fixture and chuck on a table or a rotary axis."""
    loads = tuple(
        OnTable(" ".join(row[:-2]) or "load", _mass(said, row[-2]), abs(said.number("loads", row[-1])))
        for row in said.rows("loads", MOST_LOADS)
        if _three(row, "the part 24 0: what, its mass in kg, mm off the axis")
    )
    limits = TableLimits(said.kg("most", math.inf), said.plain("moment", math.inf))
    found = on_table(loads, limits)
    shown = (("on it", found.mass), ("about its axis", found.moment))
    return Judged(not found.cannot, shown, found.cannot, found.cautions)


def on_trailer(said: Typed) -> Judged:
    """A loaded trailer."""
    loads = tuple(
        Laden(" ".join(row[:-2]) or "load", _mass(said, row[-2]), said.number("loads", row[-1]))
        for row in said.rows("loads", MOST_LOADS)
        if _three(row, "the shaft 240 300: what, its mass in kg, mm ahead of the axle")
    )
    trailer = Trailer(
        said.kg("empty"), max(said.plain("tongue", 0.0), 0.0), said.mm("coupling"), said.kg("gross", math.inf),
        said.kg("axle", math.inf), said.kg("tongue_most", math.inf),
    )  # fmt: skip
    if trailer.coupling_mm <= 0:
        raise BadInput(where="coupling", what="it is not ahead of the axle.", do="Measure from axle to coupling.")
    found = towed(trailer, loads)
    shown = (("trailer and load", found.gross), ("on the coupling", found.tongue), ("on the axle", found.axle))
    return Judged(not found.cannot, shown, found.cannot, found.cautions)


def _three(row: list[str], like: str) -> bool:
    if len(row) < 2:
        raise BadInput(where="loads", what=f"{' '.join(row)[:40]!r} says too little.", do=f"Write it as: {like}.")
    return True


def _mass(said: Typed, text: str) -> float:
    found = said.number("loads", text)
    if not 0 < found <= MOST_KG:
        raise BadInput(where="loads", what=f"{text[:40]!r} is no mass.", do="Give one above 0, in kg.")
    return found


WAYS: Mapping[str, Callable[[Typed], Judged]] = {
    "hand": by_hand, "hook": on_hook, "table": at_table, "trailer": on_trailer,
}  # fmt: skip
