"""Flat parts nested on plates of the rack: asked at a screen or a terminal, worked in the queue, kept, and cut.

What is asked waits as the work of files does; stopping it takes the best nest so far. What comes of it is kept with
the turn of each plate that it saw: whoever cuts one of them first wins, and the other is told.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from shapely.geometry import Point, Polygon

from steadyrest.desk.cutting.nest_asked import Asked, Plates, plates
from steadyrest.desk.cutting.nest_at_once import SIDE_BY_SIDE, at_once
from steadyrest.desk.cutting.nest_drawings import drawings
from steadyrest.desk.pieces.rack import pieces
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import SheetCut
from steadyrest.stations.plate.answering import too_narrow
from steadyrest.stations.plate.cut_up import Cutter, CutUp, SheetTimes, cut_up, cutters, kept_clear
from steadyrest.stations.plate.openings import opening_mm
from steadyrest.stock.nested import Drill, Line, Nested, NestedSheet, Spot
from steadyrest.stock.nested_lot import LaidLot, rest_rule, sheets_of, stock_of, together, wanted_of
from steadyrest.stock.nesting.opened import OpenedPlan, on_opened
from steadyrest.stock.nesting.pieces import wrong_with
from steadyrest.stock.nesting.plan import make_ready
from steadyrest.stock.nesting.wanted import Ring, turned
from steadyrest.stock.sheet_nests import Keep
from steadyrest.store import cut_lists
from steadyrest.store.opening import Store
from steadyrest.store.values import to_json
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stop, Workers

READING = 0.15  # of the bar
LOOK_S, TELL_S = 0.2, 0.7
SHARE_OF_TIME = 0.95  # the rest is for judging and writing


def work(
    store: Store, asked: Asked, *, shop: Shop, progress: Progress, stop: Stop,
    workers: Workers | None = None, clock_s: Callable[[], float] = time.monotonic,
) -> Nested:  # fmt: skip
    """Read the drawings, look for a nest, say how it is cut.

    Args:
        store: an open data folder. asked: as it was handed in. shop: as it stands.
        progress: told how far it is.
        stop: True: no longer than this; the best so far is the answer.
        workers: a process that stands ready for reading. clock_s: seconds that pass.
    Returns: the nest.
    Raises: BadInput: a file that is no flat drawing, a part that is none, plates that are gone or do not go together.
    """
    on = plates(pieces(store, shop), asked.plates, shop)
    given = drawings(
        store, asked, on.thickness_mm, progress=lambda w, s: progress(w, READING * s), stop=stop, workers=workers
    )
    lot = together(given, on.thickness_mm)
    _sound(lot)
    cutter, no = _cutter(shop, on, asked)
    gap, margin = distances(cutter, asked)
    keep = Keep(gap.value, margin.value)
    floor = on.as_floor
    progress("getting ready to nest", READING + 0.03)
    make_ready()
    left_s, told = _watch(asked.seconds, progress, stop, clock_s)
    wanted = wanted_of(lot, keep, asked.turns_deg, stock_of(floor)[0].sheet.outline_mm)
    rule = rest_rule(floor, shop.habits.keep_rest_mm)
    plan = on_opened(
        wanted, stock_of(floor), rule, left_s, seed=asked.seed, told=told, searches=SIDE_BY_SIDE, at_once=at_once
    )
    progress("the order of cutting, and what it takes", 1.0)
    laid = sheets_of(lot, plan, keep, on.metal.density_kg_m3)
    sheets = [one for one, _ in laid]
    done = cut_up(lot.part, sheets, cutter, shop) if cutter is not None and sheets else None
    made = _answer(lot, plan, on, asked, laid, cutter, done, shop)
    return replace(made, gap=gap, margin=margin, no_cutter=no, stopped=stop())


def _watch(
    seconds: float, progress: Progress, stop: Stop, clock_s: Callable[[], float]
) -> tuple[Callable[[], float], Callable[[str, float], None]]:
    """How much time is left, which also tells how far it is and asks whether to stop; and where words are told."""
    begun, lock = clock_s(), threading.Lock()
    state: dict[str, Any] = {"looked": begun, "told": begun, "stop": False, "words": "looking for a nest"}

    def left_s() -> float:
        now = clock_s()
        left = SHARE_OF_TIME * seconds - (now - begun)
        if now - state["looked"] < LOOK_S:
            return 0.0 if state["stop"] else left
        with lock:
            state["looked"] = now
            state["stop"] = state["stop"] or stop()
            if now - state["told"] >= TELL_S:
                state["told"] = now
                progress(str(state["words"]), READING + (1 - READING) * min((now - begun) / seconds, 0.99))
        return 0.0 if state["stop"] else left

    def told(words: str, lacks: float) -> None:
        state["words"] = f"nesting: {words}" + (f", {lacks:.1f} mm to go" if lacks > 0.05 else "")

    return left_s, told


def _sound(lot: LaidLot) -> None:
    """Raises: BadInput: an outline that crosses itself, or bounds nothing."""
    for body in lot.bodies:
        wrong = wrong_with(body.ring, body.holes)
        if wrong:
            raise BadInput(where=lot.name(body.number), what=wrong, do="Mend the drawing there.")


def _cutter(shop: Shop, on: Plates, asked: Asked) -> tuple[Cutter | None, tuple[Reason, ...]]:
    """The machine that cuts these plates: the one asked for, else the quickest; None where none does."""
    able, no = cutters(shop, on.metal, on.thickness_mm)
    if asked.machine:
        named = [one for one in able if one.machine.id == asked.machine]
        if not named:
            raise BadInput(
                where="machine", what=f"{asked.machine[:40]!r} does not cut this plate.", do="Choose another."
            )
        return named[0], ()
    return (able[0], ()) if able else (None, no)


def distances(cutter: Cutter | None, asked: Asked) -> tuple[Figure, Figure]:
    """What is kept from part to part and from the edge, with where it comes from.

    Args:
        cutter: that cuts it; None: nobody here. asked: what a person said of it.
    Returns: gap and margin.
    Raises: BadInput: nobody here cuts it, and no distances were said.
    """
    if cutter is not None:
        gap, margin = kept_clear(cutter.setting)
    elif asked.gap_mm is None or asked.margin_mm is None:
        what = "no machine here cuts this plate, so nothing says how far parts are kept apart."
        raise BadInput(where="gap and margin", what=what, do="Say both, as whoever cuts it wants them.")
    else:
        gap = margin = Figure(0.0, "mm", (because("nest.said"),))
    if asked.gap_mm is not None:
        gap = _said(asked.gap_mm, gap, cutter)
    if asked.margin_mm is not None:
        margin = _said(asked.margin_mm, margin, cutter)
    return gap, margin


def _said(mm: float, by_table: Figure, cutter: Cutter | None) -> Figure:
    if cutter is None:
        return Figure(mm, "mm", (because("nest.said"),))
    key = "nest.said_less" if mm < by_table.value - 1e-9 else "nest.said_more"
    return Figure(mm, "mm", (because(key, table_mm=by_table.value), *by_table.why))


def _answer(
    lot: LaidLot, plan: OpenedPlan, on: Plates, asked: Asked, laid: Sequence[tuple[SheetCut, tuple[Ring, ...]]],
    cutter: Cutter | None, done: CutUp | None, shop: Shop,
) -> Nested:  # fmt: skip
    placed = [0] * len(lot.bodies)
    for sheet, _ in laid:
        for each in sheet.laid:
            placed[each.body] += 1
    lines = tuple(
        Line(lot.name(body.number), lot.drawings[of].count, placed[body.number], lot.drawings[of].job,
             body.shape.area, body.shape.area * on.thickness_mm * 1e-9 * on.metal.density_kg_m3)
        for body, of in zip(lot.bodies, lot.of, strict=True)
    )  # fmt: skip
    kg_mm2 = on.thickness_mm * 1e-9 * on.metal.density_kg_m3
    times = done.sheets if done is not None else (None,) * len(laid)
    sheets = tuple(
        _sheet(lot, one, time, holes, on, kg_mm2, done) for (one, holes), time in zip(laid, times, strict=True)
    )
    cannot = tuple(why for _, why in done.opened.refused) if done is not None else ()
    if cutter is not None and lot.part.flat is not None:
        cannot += tuple(why for _, why in too_narrow(lot.part.flat, cutter.setting))
    lost = tuple(dict.fromkeys(one for each in lot.drawings for one in each.part.lost))
    return Nested(
        lines=lines, bodies=lot.bodies, sheets=sheets, material=on.metal.id, condition=on.condition,
        thickness_mm=on.thickness_mm, turns=asked.turns, machine=cutter.machine.name if cutter else "",
        shown=cutter.setting.shown if cutter else "", set_up_s=cutter.machine.set_up_s if cutter else 0.0,
        worn=done.worn if done else None, cash=done.cash if done else None, said=done.said if done else (),
        drilled=tuple(dict.fromkeys(why for _, why in done.opened.drilled)) if done else (),
        drilled_names=tuple(dict.fromkeys(name for name, _ in done.opened.drilled)) if done else (),
        notes=done.notes if done else (), cautions=(because("nest.caution_cut"), *(done.cautions if done else ())),
        cannot=tuple(dict.fromkeys(cannot)), doubts=(*plan.doubts, *lost), cost=plan.cost, least=plan.least,
        worth=plan.worth, currency=shop.currency, seconds=asked.seconds,
    )  # fmt: skip


def _sheet(
    lot: LaidLot, one: SheetCut, time: SheetTimes | None, holes: tuple[Ring, ...], on: Plates, kg_mm2: float,
    done: CutUp | None,
) -> NestedSheet:  # fmt: skip
    piece = next(each.piece for each in on.pieces if each.piece.label == one.name)
    cut = time.sheet if time is not None else one
    order = (
        tuple(Spot(place, *at, inside, *_onto(lot, cut, place, at)) for place, at, inside in time.order) if time else ()
    )
    return NestedSheet(
        cut=cut, lies=piece.place, seen=on.turn_of(one.name), rest_holes_mm=holes, order=order,
        drills=_drills(lot, cut, done) if done is not None else (), cut_s=time.cut_s if time else 0.0,
        way_s=time.way_s if time else 0.0, load_s=time.load_s if time else 0.0, hands_s=time.hands_s if time else 0.0,
        rest_kg=cut.rest_mm2 * kg_mm2,
    )  # fmt: skip


def _onto(lot: LaidLot, cut: SheetCut, place: int, at: tuple[float, float]) -> tuple[float, float]:
    """Where the torch, having pierced, first meets the outline: the point of it that is nearest."""
    laid = cut.laid[place]
    body = lot.bodies[laid.body]
    rings = [on_plate(laid.x_mm, laid.y_mm, laid.turn_deg, ring) for ring in (body.ring, *body.holes)]
    spot = Point(at)
    lines = [Polygon(ring).exterior for ring in rings]
    nearest = min(lines, key=lambda line: line.distance(spot))
    found = nearest.interpolate(nearest.project(spot))
    return float(found.x), float(found.y)


def on_plate(x_mm: float, y_mm: float, turn_deg: float, ring: Ring) -> Ring:
    """A ring of a drawing where it lies on a plate."""
    cos, sin = turned(turn_deg)
    return tuple((x_mm + cos * x - sin * y, y_mm + sin * x + cos * y) for x, y in ring)


def _drills(lot: LaidLot, cut: SheetCut, done: CutUp) -> tuple[Drill, ...]:
    """Where holes are drilled that are not cut, on the sheet."""
    flat = lot.part.flat
    assert flat is not None
    names = {name for name, _ in done.opened.drilled} - set(done.opened.small)
    mine: dict[int, list[tuple[float, float, float]]] = {}
    for k, outline in enumerate(flat.outlines):
        if outline.inside and k not in done.opened.cut and names & set(outline.features):
            ring = [edge.start for edge in outline.edges] + [edge.end for edge in outline.edges]
            xs, ys = [x for x, _ in ring], [y for _, y in ring]
            middle = ((min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0)
            centre = outline.edges[0].centre or middle
            mine.setdefault(outline.body, []).append((*centre, opening_mm(outline)))
    found = list[Drill]()
    for laid in cut.laid:
        for x, y, wide in mine.get(laid.body, ()):
            found.append(Drill(*on_plate(laid.x_mm, laid.y_mm, laid.turn_deg, ((x, y),))[0], wide))
    return tuple(found)


def keep_nest(store: Store, made: Nested, *, name: str, who: str, now: datetime) -> int:
    """Keep a nest.

    Args:
        store: an open data folder. made: the nest. name: what it is called. who: asked for it. now: aware moment.
    Returns: its number.
    """
    with store.writing() as session:
        return cut_lists.keep(
            session, secrets.token_urlsafe(9), "plates", name, to_json(made), who=who, now=now
        )  # fmt: skip
