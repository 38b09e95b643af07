"""What to ask and try before the visitor leaves the site: a short list, in the order of what each answer decides.

Once the part has gone home, a size can be guessed at but its mate, its metal and its history cannot.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from steadyrest.part.metal.next_test import cautions as metal_cautions
from steadyrest.part.nominal.unknowns import is_worn
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Doubt, Feature, Part, Size
from steadyrest.tables.materials import find_material

About = Literal[
    "scale", "halves", "runs on it", "count and date", "mates", "thread", "reading", "metal", "thickness", "repairs",
    "temperature", "doubt",
]  # fmt: skip

MOST = 8
# How much hangs on each, by judgement (common practice, no source): a question answers for all that follows from it.
WORTH: dict[About, float] = {
    "scale": 60, "halves": 90, "runs on it": 85, "count and date": 80, "mates": 66, "thread": 72, "reading": 70,
    "thickness": 88, "metal": 68, "repairs": 50, "temperature": 45, "doubt": 30,
}  # fmt: skip
NO_UNIT_WORTH = 100.0
MENDED_WORTH = 74.0  # where something on the part hints at an earlier repair
SCALE_OFF = 1e-3  # of a length: what a scanner out of calibration is off, by judgement
EVEN_WORTH = 71.0  # of what runs on a seat that only its size makes suspect
WARM_K = 20.0  # between a cool room and a part warm to the hand, about
USUAL_METAL = "C45"
COLD_UM = 2.0  # below this a warm part is not worth a question
MOST_WORN = 3
HINTS = ("features.built_up_which", "doubt.built_or_worn", "doubt.mixed", "doubt.no_system")
THREAD_GAUGE = "threads.ask_pitch_gauge"
ASKED_ELSEWHERE = (
    "doubt.unit_size", "doubt.what_runs", "doubt.worn_all_over", "doubt.worn_evenly", "doubt.bearing_number",
    "doubt.k6_or_m6", *HINTS,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to ask, read or try while the part is still here.

    ask: what to do, as the visitor is told. why: what hangs on it, most telling first. cautions: what to mind.
    feature: which one it is about, or None. gauge: what to measure with, or "".
    """

    about: About
    ask: Reason
    why: tuple[Reason, ...]
    worth: float
    feature: str | None = None
    gauge: str = ""
    cautions: tuple[Reason, ...] = ()


COUNT_AND_DATE = Question(
    "count and date", because("before.count"), (because("before.count_why"),), WORTH["count and date"]
)


def before_leaving(part: Part, known: frozenset[tuple[About, str | None]] = frozenset()) -> tuple[Question, ...]:
    """The list for the phone, at most eight, the one that decides most first.

    Args:
        part: as read, with its sizes named.
        known: what somebody has answered already, by subject and feature; left out.
    Returns: questions.
    """
    asked = [COUNT_AND_DATE, *(question for ask in ASKERS for question in ask(part))]
    found = [question for question in asked if (question.about, question.feature) not in known]
    # By subject and feature after worth: equal worth must give the same list on every machine.
    found.sort(key=lambda question: (-question.worth, question.about, question.feature or ""))
    return tuple(found[:MOST])


def scale(part: Part) -> Iterator[Question]:
    """One size by hand: the unit where the file names none, else whether the scanner's scale is right."""
    if part.unit.state == "ask":
        asked = next((d for d in part.doubts if d.what.key == "doubt.unit_size"), None)
        ask = because("before.unit_edge") if asked is None else asked.ask
        yield Question("scale", ask, (part.unit.why, because("before.unit_why")), NO_UNIT_WORTH, gauge="caliper")
        return
    if part.kind != "scan" or any(size.reading is not None for f in part.features for size in f.sizes):
        return
    largest = unworn_shaft(part)
    if largest is not None:
        size = largest.sizes[0]
        ask = because("before.scale_feature", feature=largest.id, size_mm=round(size.measured, 1))
    else:
        ask = because("before.scale_edge", size_mm=round(max(part.size_mm), 1))
    off_um = 1000 * SCALE_OFF * (largest.sizes[0].measured if largest is not None else max(part.size_mm))
    why = because("before.scale_why", off_um=off_um)
    yield Question("scale", ask, (why,), WORTH["scale"], largest.id if largest else None, "caliper")


def halves(part: Part) -> Iterator[Question]:
    """Whether all the pieces are here, where the part is broken."""
    if part.broken:
        why = (because("before.halves_why"),)
        yield Question("halves", because("before.halves"), why, WORTH["halves"])


def runs_on_it(part: Part) -> Iterator[Question]:
    """What ran where it is worn: its size and limits hang on that, and so does whether it wears again."""
    worn = sorted((f for f in part.features if is_worn(part, f) and f.sizes), key=lambda f: -(f.wear_mm or 0.0))
    for rank, feature in enumerate(worn[:MOST_WORN]):
        why = [because("before.worn", wear_mm=round(feature.wear_mm or 0.0, 2))]
        if any(d.what.key == "doubt.worn_all_over" and named(d) == feature.id for d in part.doubts):
            why.insert(0, because("before.nothing_unworn"))
        ask = because("before.runs_on_it", feature=feature.id, size_mm=round(feature.sizes[0].measured, 1))
        yield Question("runs on it", ask, tuple(why), WORTH["runs on it"] - 8 * rank, feature.id)
    # A seat worn evenly shows nothing; only what runs on it, or its shoulder, can tell.
    for doubt in part.doubts:
        if doubt.what.key == "doubt.worn_evenly":
            yield Question("runs on it", doubt.ask, (doubt.what,), EVEN_WORTH, named(doubt), "micrometer")


def mates(part: Part) -> Iterator[Question]:
    """The parts that fit on or in it: bearing number, key, hub bore."""
    bearings = [f for d in part.doubts if d.what.key == "doubt.bearing_number" and (f := named(d)) is not None]
    keyed = [f for f in part.features if f.kind == "keyway"]
    if bearings:
        why = (because("before.bearing_why", feature=bearings[0]),)
        yield Question("mates", because("before.bearing"), why, WORTH["mates"] + 6, bearings[0])
    if keyed:
        ask = because("before.hub" if not keyed[0].inside else "before.shaft", feature=keyed[0].id)
        yield Question("mates", ask, (because("before.key_why"),), WORTH["mates"], keyed[0].id, "caliper")
    if not bearings and not keyed and part.kind == "scan":
        yield Question("mates", because("before.mates"), (because("before.mates_why"),), WORTH["mates"] - 10)


def threads(part: Part) -> Iterator[Question]:
    """A thread that the surface did not settle."""
    for doubt in part.doubts:
        if doubt.ask.key == THREAD_GAUGE:
            yield Question("thread", doubt.ask, (doubt.what,), WORTH["thread"], gauge="pitch gauge")


def reading(part: Part) -> Iterator[Question]:
    """The reading that tells most."""
    best = part.next_reading
    if best is None or part.kind != "scan":
        return
    feature = part.feature(best.feature)
    ask = because("before.reading", gauge=best.gauge, feature=best.feature, kind=feature.kind)
    yield Question("reading", ask, best.why, WORTH["reading"], best.feature, best.gauge)


def metal(part: Part) -> Iterator[Question]:
    """What it is made of: papers, then the tests in their order."""
    cautions = dict.fromkeys(c for test in ("magnet", "file", "spark") for c in metal_cautions(test))
    order = because("before.metal_order")
    if part.kind == "scan":
        yield Question("metal", order, (because("before.metal_why"),), WORTH["metal"], cautions=tuple(cautions))
    else:
        yield Question("metal", because("before.metal_drawing"), (because("before.metal_why"),), WORTH["metal"])


def thickness(part: Part) -> Iterator[Question]:
    """A flat drawing does not tell how thick."""
    if part.kind == "flat":
        why = (because("before.thickness_why"),)
        yield Question("thickness", because("before.thickness"), why, WORTH["thickness"], gauge="caliper")


def repairs(part: Part) -> Iterator[Question]:
    """Whether it was mended before: a sleeve, weld or turned-under seat is no drawing's size."""
    if part.kind != "scan":
        return
    hints = tuple(d.what for d in part.doubts if d.what.key in HINTS)
    odd = next((f for f in part.features if odd_seat(f.sizes)), None)
    if odd is not None:
        hints = (*hints, because("before.odd_size", feature=odd.id, size_mm=odd.sizes[0].measured))
    why = (*hints, because("before.repairs_why"))
    yield Question("repairs", because("before.repairs"), why, MENDED_WORTH if hints else WORTH["repairs"])


def temperature(part: Part) -> Iterator[Question]:
    """Whether it was warm when it was scanned."""
    if part.kind != "scan" or part.unit.state == "ask":
        return
    widest = max((f.sizes[0].measured for f in part.features if f.kind in ("shaft", "bore")), default=0.0)
    grown_um = 1000 * find_material(USUAL_METAL).expansion_per_k * WARM_K * widest
    if grown_um >= COLD_UM:
        why = because("before.warm_why", degrees=WARM_K, size_mm=round(widest, 1), grown_um=grown_um)
        yield Question("temperature", because("before.warm"), (why,), WORTH["temperature"], gauge="thermometer")


def what_else(part: Part) -> Iterator[Question]:
    """Doubts that nothing above asks about."""
    read = part.next_reading.feature if part.next_reading is not None else None
    for doubt in part.doubts:
        if doubt.what.key in ASKED_ELSEWHERE or doubt.ask.key == THREAD_GAUGE:
            continue
        if named(doubt) is None or named(doubt) != read:
            yield Question("doubt", doubt.ask, (doubt.what,), WORTH["doubt"], named(doubt))


ASKERS: tuple[Callable[[Part], Iterator[Question]], ...] = (
    scale, halves, runs_on_it, mates, threads, reading, metal, thickness, repairs, temperature,
    what_else,
)  # fmt: skip


def unworn_shaft(part: Part) -> Feature | None:
    """The largest outside diameter that a caliper finds unworn and well seen."""
    fit = [f for f in part.features if f.kind == "shaft" and f.sizes and f.seen > 0.5 and not is_worn(part, f)]
    return max(fit, key=lambda f: f.sizes[0].measured, default=None)


def odd_seat(sizes: tuple[Size, ...]) -> bool:
    """A diameter that no usual size fits, well seen: perhaps turned under once."""
    if not sizes or sizes[0].name != "diameter_mm" or sizes[0].nominal is None:
        return False
    return sizes[0].nominal.source == "as measured" and sizes[0].uncertainty < 0.03


def named(doubt: Doubt) -> str | None:
    """The feature that a doubt is about, or None."""
    feature = dict(doubt.what.given).get("feature")
    return feature if isinstance(feature, str) else None
