"""One side of the part, cut by cut: what it makes and refuses, how long each tool cuts and the machine travels."""

from __future__ import annotations

from dataclasses import dataclass, replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Tool
from steadyrest.shop.part import Feature, Stretch
from steadyrest.stations import sizes
from steadyrest.stations.answer import Ask, refusal
from steadyrest.stations.turn import bores, centre_hole, end_steady, knurl, passes
from steadyrest.stations.turn.booking import Side, SidePlan, count, make, rapid_s, refuse, too_fine, tool_of
from steadyrest.stations.turn.clamping import hole_mm, part_off_tool
from steadyrest.stations.turn.driven import book_driven, is_driven
from steadyrest.stations.turn.facing_grooves import book_face_groove, recess_of
from steadyrest.stations.turn.grooves import groove
from steadyrest.stations.turn.grooving import book_groove
from steadyrest.stations.turn.passes import Cut
from steadyrest.stations.turn.thread_choice import choose
from steadyrest.stock.blank import SAME_MM
from steadyrest.tables.practice import rule

EASE = ("chamfer", "fillet")


def plan(ask: Ask, side: Side) -> SidePlan:
    """Everything one clamping does, in the order it is done.

    Args:
        ask: what is asked.
        side: the clamping and what belongs to it.
    Returns: times, figures, features made, features refused, and what makes the whole side impossible.
    """
    done = SidePlan()
    _ends(side, done)
    _bored(ask, side, done)
    _turned(ask, side, done)
    for feature in side.others:
        _other(ask, side, done, feature)
    for feature in side.threads:
        _threaded(ask, side, done, feature)
    if side.part_off:
        _parted(ask, side, done)
    for _ in done.cut_s:
        done.travel_s += side.setting.limits.tool_change_s + 2.0 * rapid_s(side, rule("home_mm"))
    return done


def _ends(side: Side, done: SidePlan) -> None:
    """Face the end, and drill its centre if a centre is to hold it."""
    setting, clamping = side.setting, side.setting.clamping
    tool = tool_of(side, "facing", "turning")
    length = clamping.faced_mm + side.spare_mm
    if tool is None:
        done.impossible.append(because("turn.no_tool", machine=setting.machine.name, kind="facing"))
        return
    if length > 0:
        cut = passes.face(setting.with_tool(tool), diameter_mm=clamping.raw_mm, length_mm=length)
        if cut.refused:
            done.impossible.extend(cut.refused)
            return
        count(side, done, tool, cut, clamping.raw_mm / 2.0)
        done.figures.extend(cut.figures)
    if setting.hold.centre:
        centre = tool_of(side, "centre drill")
        assert centre is not None, "holding offers a centre only where there is a centre drill"
        cut = bores.drill(setting, centre, min(centre.max_depth_mm, 2.0 * centre.diameter_mm))
        if cut.refused:
            done.impossible.extend(cut.refused)
            return
        count(side, done, centre, cut, 0.0)


def _parted(ask: Ask, side: Side, done: SidePlan) -> None:
    """Cut off from the bar, through the solid or into its bore."""
    hole = hole_mm(ask)
    tool = part_off_tool(side.setting.machine.tools, side.setting.clamping.raw_mm, hole)
    assert tool is not None, "a side is parted off only where a part-off tool reaches"
    setting = side.setting.with_tool(tool)
    cut = passes.plunge(setting, from_mm=setting.clamping.raw_mm, to_mm=hole, width_mm=tool.width_mm)
    if cut.refused:
        done.impossible.extend(cut.refused)
        return
    count(side, done, tool, cut, 0.0)


def _opening_mm(bore: Stretch) -> float:
    """The narrowest that a drill passes in a bore; where it runs out to a point, that is the drill's own."""
    low, high = sorted((bore.diameter_from_mm, bore.diameter_to_mm))
    return low if low > bores.OPEN_MM else high


def _bored(ask: Ask, side: Side, done: SidePlan) -> None:
    """Bores, nearest first: one drill for all of them, then boring to each size."""
    for stretch, reason in side.way.blocked:
        if not _is_groove(side, stretch):
            refuse(ask, side, done, stretch.feature, (reason,))
    if not side.way.bores:
        return
    wide_mm = centre_hole.countersink_mm(side)
    centred = centre_hole.drilled(side, wide_mm) if wide_mm else None
    if centred is not None:
        if not side.setting.hold.centre:  # else it is drilled for the centre that holds it
            count(side, done, centred[0], centred[1], 0.0)
        done.figures.append(centre_hole.told(centred[0], wide_mm))
        done.made.extend(s.feature for s, _ in side.way.bores if s.feature in side.features)
        return
    no = end_steady.not_bored(side)
    if no is not None:
        deep = max(depth for _, depth in side.way.bores)
        drills = [t for t in side.setting.machine.tools if t.kind == "drill" and not t.driven]
        longest = max(drills, key=lambda tool: tool.max_depth_mm, default=None)
        short = (
            (because("turn.drill_short", tool=float(longest.number), depth_mm=deep, allowed_mm=longest.max_depth_mm),)
            if longest is not None and deep > longest.max_depth_mm
            else ()
        )
        for stretch, _ in side.way.bores:
            refuse(ask, side, done, stretch.feature, (*no[0], *short), None if short else no[1])
        return
    if end_steady.centre_bears(side):
        done.bored_in_steady_mm = end_steady.end_mm(side)
    smallest = min(_opening_mm(s) for s, _ in side.way.bores)
    deepest = max(depth for _, depth in side.way.bores)
    drills = [tool for tool in side.setting.machine.tools if tool.kind == "drill" and not tool.driven]
    fitting = sorted((t for t in drills if t.diameter_mm <= smallest + bores.OPEN_MM), key=lambda t: -t.diameter_mm)
    if not fitting:
        why = because("turn.no_drill", machine=side.setting.machine.name, diameter_mm=smallest)
        buy = because("turn.buy_drill", diameter_mm=smallest, depth_mm=deepest)
        for stretch, _ in side.way.bores:
            refuse(ask, side, done, stretch.feature, (why,), buy)
        return
    tries = [(tool, bores.drill(side.setting, tool, deepest)) for tool in fitting]
    good = next(((tool, cut) for tool, cut in tries if not cut.refused), None)
    if good is None:
        reasons = tuple(reason for _, cut in tries for reason in cut.refused)
        short = all(reason.key == "turn.drill_short" for reason in reasons)
        longer = because("turn.buy_drill", diameter_mm=fitting[0].diameter_mm, depth_mm=deepest) if short else None
        for stretch, _ in side.way.bores:
            refuse(ask, side, done, stretch.feature, reasons, longer)
        return
    tool, cut = good
    count(side, done, tool, cut, deepest)
    done.figures.extend(cut.figures)
    for stretch, depth in side.way.bores:
        _bore_to_size(ask, side, done, stretch, depth, tool.diameter_mm)
    for stretch, _ in side.way.blocked:
        if _is_groove(side, stretch):
            book_groove(ask, side, done, side.features[stretch.feature or ""])


def _is_groove(side: Side, stretch: Stretch) -> bool:
    """Whether a wider stretch inside a bore is a groove that is asked for."""
    feature = side.features.get(stretch.feature or "")
    return feature is not None and feature.kind == "groove"


def _bore_to_size(ask: Ask, side: Side, done: SidePlan, stretch: Stretch, depth: float, drilled_mm: float) -> None:
    feature = side.features.get(stretch.feature or "")
    if feature is not None and too_fine(ask, side, done, feature):
        return
    wide = sizes.width_mm(feature) >= rule("match_mm") if feature else True
    if abs(stretch.largest_mm - drilled_mm) <= bores.OPEN_MM and wide:
        if feature is not None:
            done.made.append(feature.id)
        return
    reamer = bores.reamer_for(side.setting.machine.tools, stretch.largest_mm, drilled_mm, sizes.width_mm(feature))
    if reamer is not None and not (cut := bores.ream(side.setting, reamer, depth)).refused:
        count(side, done, reamer, cut, depth)
        done.figures.extend(cut.figures)
        make(side, done, feature)
        return
    buy = _to_buy(stretch, drilled_mm, depth, wide=wide)
    bars = [tool for tool in side.setting.machine.tools if tool.kind == "boring"]
    if not bars:
        why = because("turn.no_tool", machine=side.setting.machine.name, kind="boring")
        refuse(ask, side, done, stretch.feature, (why,), buy)
        return
    tries = [
        (bar, bores.bore(
            side.setting, bar, from_mm=drilled_mm, to_mm=stretch.largest_mm, depth_mm=depth,
            length_mm=stretch.length_mm, width_mm=sizes.width_mm(feature),
        ))
        for bar in bars
    ]  # fmt: skip
    good = next(((bar, cut) for bar, cut in tries if not cut.refused), None)
    if good is None:
        reasons = tuple(reason for _, cut in tries for reason in cut.refused)
        thick = any(reason.key == "turn.bar_thick" for reason in reasons)
        refuse(ask, side, done, stretch.feature, reasons, buy if thick else None)
        return
    count(side, done, good[0], good[1], depth)
    done.figures.extend(good[1].figures)
    make(side, done, feature)


def _to_buy(stretch: Stretch, drilled_mm: float, depth_mm: float, *, wide: bool) -> Reason:
    """The tool that brings a drilled hole to its size: a drill, a reamer; a thinner bar where it is large or tapers."""
    taper = abs(stretch.diameter_from_mm - stretch.diameter_to_mm) > SAME_MM
    if taper or stretch.largest_mm > rule("ream_most_mm"):
        return because("turn.buy_bar", diameter_mm=max(drilled_mm - 1.0, 1.0), depth_mm=depth_mm)
    key = "turn.buy_drill" if wide else "turn.buy_reamer"
    return because(key, diameter_mm=stretch.largest_mm, depth_mm=depth_mm)


def _turned(ask: Ask, side: Side, done: SidePlan) -> None:
    """The outside, from the end inwards: steps are turned; what dips narrowly behind a larger step is plunged."""
    before_mm = 0.0
    offset_mm = 0.0
    before: Before | None = None
    for stretch in side.stretches:
        small = min(stretch.diameter_from_mm, stretch.diameter_to_mm)
        reach = side.setting.clamping.reach_mm
        at = (reach - offset_mm - stretch.length_mm, reach - offset_mm)
        offset_mm += stretch.length_mm
        feature = side.features.get(stretch.feature or "")
        if side.as_stock and abs(small - side.setting.clamping.raw_mm) <= SAME_MM:
            done.left_as_stock = True
            if feature is not None:
                done.made.append(feature.id)
        elif feature is not None and too_fine(ask, side, done, feature):
            pass
        elif feature is not None and knurl.is_knurl(feature):
            before = _knurled(ask, side, done, stretch, feature, at, before)
        elif small < before_mm - SAME_MM and stretch.length_mm < rule("wide_dip_ratio") * (before_mm - small) / 2.0:
            _dip(ask, side, done, stretch, feature, before_mm, at)
        else:
            before = _step(ask, side, done, stretch, feature, at, before)
        before_mm = max(before_mm, stretch.largest_mm)


def _knurled(
    ask: Ask, side: Side, done: SidePlan, stretch: Stretch, feature: Feature, at: tuple[float, float],
    before: Before | None,
) -> Before | None:  # fmt: skip
    """Turned to its blank's size, then pressed; without a wheel it stays undone."""
    wheel = knurl.wheel(side, knurl.pitch_mm(feature, stretch.largest_mm))
    if wheel is None:
        knurl.no_wheel(ask, side, done, feature, stretch.largest_mm)
        return before
    smaller = knurl.blank(stretch, wheel.pitch_mm)
    after = _step(ask, side, done, smaller, feature, at, before)
    if feature.id in done.made:
        knurl.book_knurl(ask, side, done, feature, wheel, smaller, at)
    return after


@dataclass(frozen=True, slots=True)
class Before:
    """The stretch turned before, further out: its roughing passes run on into the next. diameter_mm: finished."""

    passes: int
    diameter_mm: float


def _step(
    ask: Ask,
    side: Side,
    done: SidePlan,
    stretch: Stretch,
    feature: Feature | None,
    at: tuple[float, float],
    before: Before | None,
) -> Before | None:
    """Turn one stretch: layers that continue those of the stretch before, then its part of the finishing pass."""
    setting = side.setting
    rough = tool_of(side, "turning", role="rough")
    fine = tool_of(side, "turning", role="finish")
    if rough is None or fine is None:
        kind = "rough turning" if rough is None else "finish turning"
        refuse(ask, side, done, stretch.feature, (because("turn.no_tool", machine=setting.machine.name, kind=kind),))
        return before
    taper = abs(stretch.diameter_from_mm - stretch.diameter_to_mm) > SAME_MM
    if taper and not setting.limits.controlled:
        refuse(ask, side, done, stretch.feature, (because("turn.taper_by_hand", machine=setting.machine.name),))
        return before
    small = min(stretch.diameter_from_mm, stretch.diameter_to_mm)
    stays_mm = small + setting.finish_mm
    raw_mm = setting.clamping.raw_mm
    layers = 0
    if raw_mm > stays_mm + 1e-6:
        cut = passes.rough(
            setting.with_tool(rough), from_mm=raw_mm, to_mm=stays_mm, length_mm=stretch.length_mm, at_mm=at
        )
        if cut.refused:
            refuse(ask, side, done, stretch.feature, cut.refused)
            return before
        starts = max(cut.passes - (before.passes if before else 0), 0)
        cut = replace(cut, cut_s=cut.cut_s + passes.air_s(cut, starts))
        count(side, done, rough, cut, stretch.length_mm, starts)
        done.figures.extend(cut.figures)
        done.roughs = True
        layers = cut.passes
        done.steps += 1
    shoulder_mm = abs(stretch.largest_mm - before.diameter_mm) / 2.0 if before else 0.0
    cut = passes.finish(
        setting.with_tool(fine), diameter_mm=stretch.largest_mm, length_mm=stretch.length_mm + shoulder_mm, at_mm=at,
        width_mm=sizes.width_mm(feature),
    )  # fmt: skip
    if cut.refused:
        refuse(ask, side, done, stretch.feature, cut.refused)
        return before
    starts = 0 if before else 1
    cut = replace(cut, cut_s=cut.cut_s + passes.air_s(cut, starts))
    count(side, done, fine, cut, stretch.length_mm, starts)
    done.figures.extend(cut.figures)
    make(side, done, feature)
    return Before(layers, stretch.largest_mm)


def _dip(
    ask: Ask, side: Side, done: SidePlan, stretch: Stretch, feature: Feature | None, before_mm: float,
    at: tuple[float, float],
) -> None:  # fmt: skip
    setting = side.setting
    small = min(stretch.diameter_from_mm, stretch.diameter_to_mm)
    way = groove(setting, from_mm=before_mm, to_mm=small, width_mm=stretch.length_mm)
    tool, cut = way.tool, way.cut
    if tool is None:
        refuse(ask, side, done, stretch.feature, cut.refused, way.nearest)
        return
    if feature is not None and sizes.limits_mm(feature) is not None:
        fine = passes.finish(
            setting.with_tool(tool), diameter_mm=stretch.largest_mm, length_mm=stretch.length_mm, at_mm=at,
            width_mm=sizes.width_mm(feature), share=rule("plunge_speed_share"),
        )  # fmt: skip
        fine_s = fine.cut_s + passes.air_s(fine, 1) if not fine.refused else 0.0
        cut = fine if fine.refused else Cut(cut.passes + 1, cut.cut_s + fine_s, cut.rpm, cut.feed_mm_rev, cut.figures)
    if cut.refused:
        refuse(ask, side, done, stretch.feature, cut.refused)
        return
    count(side, done, tool, cut, stretch.length_mm)
    done.figures.extend(cut.figures)
    make(side, done, feature)


def _other(ask: Ask, side: Side, done: SidePlan, feature: Feature) -> None:
    """A face, chamfer, fillet or a groove that no stretch stands for."""
    recess = recess_of(side.ends.profile, feature)
    if recess is not None:
        book_face_groove(ask, side, done, feature, recess)
        return
    if feature.kind == "groove":
        book_groove(ask, side, done, feature)
        return
    if ask.part.profile is not None and is_driven(feature, ask.part.profile):
        book_driven(ask, side, done, feature)
        return
    fine = tool_of(side, "turning", role="finish")
    if fine is None:
        why = because("turn.no_tool", machine=side.setting.machine.name, kind="finish turning")
        done.undone.append(refusal(ask, "turn", (feature.id,), (why,)))
        return
    if feature.kind == "fillet" and feature.inside:
        small = nose_for(side, feature)
        if not isinstance(small, Tool):
            done.undone.append(
                refusal(
                    ask,
                    "turn",
                    (feature.id,),
                    small,
                    because("turn.nose_wanted", radius_mm=sizes.value_mm(feature, "radius_mm") or 0.0),
                )
            )
            return
        fine = small
    if feature.kind in EASE:
        done.cut_s[fine.number] = done.cut_s.get(fine.number, 0.0) + rule("chamfer_s")
    done.made.append(feature.id)


def nose_for(side: Side, fillet: Feature) -> Tool | tuple[Reason, ...]:
    """The finishing tool for a corner that is rounded: its nose must be no larger than the corner.

    Args:
        side: the clamping, with its machine.
        fillet: with its radius.
    Returns: the tool with the largest nose that fits; or why none does.
    """
    machine = side.setting.machine
    tools = [tool for tool in machine.tools if tool.kind == "turning" and tool.role == "finish"]
    radius = sizes.value_mm(fillet, "radius_mm")
    if radius is None:
        return tools[0]
    fitting = [tool for tool in tools if tool.edge_mm <= radius + rule("nose_over_mm")]
    if not fitting:
        nose_mm = min(tool.edge_mm for tool in tools)
        return (because("turn.nose_large", machine=machine.name, feature=fillet.id, nose_mm=nose_mm, radius_mm=radius),)
    best = max(fitting, key=lambda tool: tool.edge_mm)
    if not side.setting.limits.controlled and abs(best.edge_mm - radius) > rule("nose_alike_mm"):
        return (
            because("turn.nose_by_hand", machine=machine.name, feature=fillet.id, nose_mm=best.edge_mm,
                    radius_mm=radius),
        )  # fmt: skip
    return best


def _threaded(ask: Ask, side: Side, done: SidePlan, feature: Feature) -> None:
    if any(feature.id in no.features for no in done.undone):
        return  # what it is cut on could not be turned
    choice = choose(side.setting, feature, side.ends)
    way = choice.way
    if way.tool is None:
        done.undone.append(refusal(ask, "turn", (feature.id,), way.cut.refused, choice.nearest))
        return
    done.cut_s[way.tool.number] = done.cut_s.get(way.tool.number, 0.0) + way.cut.cut_s
    done.travel_s += way.travel_s
    done.figures.extend(way.cut.figures)
    done.cautions.extend(way.cautions)
    done.roughs = True  # chips of a thread are as long as those of roughing: not left alone unproved in stringy metal
    done.made.append(feature.id)
