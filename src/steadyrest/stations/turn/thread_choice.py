"""Which tool cuts a thread: a tap of its size, a single point outside or on a bar; else why not, and what would do."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, Shop, Tool
from steadyrest.shop.part import Feature
from steadyrest.stations.turn import tapping
from steadyrest.stations.turn.passes import Setting, no_cut
from steadyrest.stations.turn.threading import Threaded, single_point
from steadyrest.stations.turn.threads import Bench, Ends, Thread, asked
from steadyrest.tables.practice import rule

OF_THE_TOOL = (
    "thread.no_tool", "thread.no_tool_inside", "thread.tool_pitch", "thread.tool_deep", "thread.bar_thick",
    "thread.bar_short", "thread.tap_plain", "thread.tap_short", "thread.tap_metal",
)  # fmt: skip
NO_ROOM = ("thread.no_stop", "thread.no_start")


@dataclass(frozen=True, slots=True)
class Choice:
    """How a thread is cut. way.tool: None where it is not; nearest: then the cheapest change that makes it a yes."""

    way: Threaded
    nearest: Reason | None = None


def bench(shop: Shop) -> Bench:
    """What the shop's benches offer a thread: whether somebody works there, and which dies lie on them."""
    benches = [machine for machine in shop.machines if machine.kind == "bench"]
    dies = [(t.diameter_mm, t.pitch_mm) for machine in benches for t in machine.tools if t.kind == "die"]
    return Bench(bool(benches and shop.operators("hand")), tuple(dies))


def choose(setting: Setting, feature: Feature, ends: Ends) -> Choice:
    """The quickest way of cutting a thread on this lathe.

    Args:
        setting: where it cuts.
        feature: the thread.
        ends: the side that it lies on.
    Returns: the way, or every limit that each tool missed and the nearest yes.
    """
    thread = asked(feature, ends)
    if isinstance(thread, Reason):
        nearest = because("thread.ask_gauge") if thread.key in ("thread.unsettled", "thread.unknown") else None
        return Choice(Threaded(None, no_cut(thread), 0.0), nearest)
    tools = _tools(setting.machine, thread)
    ways = [
        tapping.tapped(setting, tool, thread) if tool.kind == "tap" else single_point(setting, tool, thread)
        for tool in tools
    ]
    good = [way for way in ways if way.tool is not None]
    if good:
        return Choice(min(good, key=lambda way: way.cut.cut_s + way.travel_s))
    reasons = list(dict.fromkeys(reason for way in ways for reason in way.cut.refused))
    if not tools:
        key = "thread.no_tool_inside" if thread.inside else "thread.no_tool"
        reasons.append(because(key, machine=setting.machine.name, name=thread.name))
    return Choice(Threaded(None, no_cut(*reasons), 0.0), _nearest(setting, thread, reasons, ends.bench))


def _tools(machine: Machine, thread: Thread) -> tuple[Tool, ...]:
    points = [t for t in machine.tools if t.kind == "threading" and (t.diameter_mm > 0) == thread.inside]
    taps = [t for t in machine.tools if t.kind == "tap" and thread.inside and tapping.fits(t, thread)]
    return (*taps, *points)


def _nearest(setting: Setting, thread: Thread, reasons: list[Reason], at_bench: Bench) -> Reason:
    """By what a shop would try first: a die that lies there, a relief, a die to buy, the tool to buy."""
    plain = not thread.inside and not thread.left and thread.starts == 1
    asks = tapping.torque_nm(setting, thread)
    by_hand = plain and at_bench.there and asks <= rule("die_torque_nm")
    if by_hand and any(
        abs(d - thread.diameter_mm) <= tapping.ALIKE_MM and abs(p - thread.pitch_mm) <= tapping.ALIKE_MM
        for d, p in at_bench.dies
    ):
        return because("thread.die_there", name=thread.name, torque_nm=asks)
    if any(reason.key in NO_ROOM for reason in reasons):
        relief = thread.relief
        if relief is not None:
            floor = thread.diameter_mm - relief.under_mm
            return because("thread.ask_relief", relief.source, width_mm=relief.width_mm[1], diameter_mm=floor)
        return because("thread.ask_room", need_mm=_widest_need(reasons))
    if by_hand:
        return because("thread.die", name=thread.name, torque_nm=asks)
    if any(reason.key == "thread.tap_blind" for reason in reasons):
        return because("thread.ask_room", need_mm=_widest_need(reasons))
    if all(reason.key in OF_THE_TOOL for reason in reasons):
        return because("thread.buy_inside" if thread.inside else "thread.buy", name=thread.name)
    return because("thread.elsewhere", name=thread.name, machine=setting.machine.name)


def _widest_need(reasons: list[Reason]) -> float:
    needs = [value for reason in reasons for name, value in reason.given if name == "need_mm"]
    return max((value for value in needs if isinstance(value, float)), default=0.0)
