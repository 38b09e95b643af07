"""Single point threading: how fast the slide can follow, in how many passes, and whether there is room to stop."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import Tool
from steadyrest.stations import edge
from steadyrest.stations.turn import passes as cuts
from steadyrest.stations.turn.holding import grip_at
from steadyrest.stations.turn.passes import Cut, Setting
from steadyrest.stations.turn.threads import Thread
from steadyrest.tables.practice import rule
from steadyrest.tables.thread_passes import thread_passes


@dataclass(frozen=True, slots=True)
class Threaded:
    """A way of cutting a thread: its tool, the cut, the time between the passes; or every reason against it."""

    tool: Tool | None
    cut: Cut
    travel_s: float
    cautions: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """One pass along the thread. total_mm: run-in, thread and run-out; slide_mm_s: speed of the slide."""

    total_mm: float
    slide_mm_s: float
    time_s: float


def single_point(setting: Setting, tool: Tool, thread: Thread) -> Threaded:
    """A thread cut with a single point, outside or with a bar inside.

    Args:
        setting: where it cuts.
        tool: the threading tool.
        thread: what is to be cut.
    Returns: the way; refused with every limit that is missed.
    """
    at = setting.with_tool(tool)
    refused = [*_hand_and_starts(setting, thread), *_tool_fits(tool, thread)]
    rpm = speed(at, thread)
    if isinstance(rpm, tuple):
        return Threaded(None, cuts.no_cut(*refused, *rpm), 0.0)
    passes = _passes(at, thread, rpm.value)
    if isinstance(passes, tuple):
        return Threaded(None, cuts.no_cut(*refused, *passes), 0.0)
    if refused:
        return Threaded(None, cuts.no_cut(*refused), 0.0)
    way = one_way(at, thread, rpm.value)
    count = (round(passes.value) + round(rule("thread_spring_passes"))) * thread.starts
    cut = Cut(count, count * way.time_s, rpm.value, thread.lead_mm, (passes, rpm, *_run_out(thread)))
    return Threaded(tool, cut, count * _between_s(at, thread, way, rpm.value), _cautions(thread))


def speed(setting: Setting, thread: Thread) -> Figure | tuple[Reason, ...]:
    """Spindle speed of threading: the least of metal, machine, chuck, holder, slide and the room to start and stop in.

    Args:
        setting: with the threading tool.
        thread: what is to be cut.
    Returns: rpm with its reasons; or why even the slowest speed is too fast.
    """
    limits, tool = setting.limits, setting.tool
    band = setting.material.vc_carbide_m_min if tool.made_of == "carbide" else setting.material.vc_hss_m_min
    turning = min(setting.speed_m_min, math.sqrt(band[0] * band[1]))
    share = rule("thread_speed_share") * turning / setting.speed_m_min
    plain = cuts.spindle(setting, thread.diameter_mm, share)
    slide = limits.rapid_mm_min[1] / thread.lead_mm
    found = [
        Figure(
            slide, "rpm", (because("thread.rpm_slide", lead_mm=thread.lead_mm, slide_mm_min=limits.rapid_mm_min[1]),)
        )
    ]
    refused = [plain] if isinstance(plain, Reason) else []
    if slide < limits.min_rpm:
        refused.append(
            because(
                "thread.slide_slow", lead_mm=thread.lead_mm, min_rpm=limits.min_rpm,
                needs_mm_min=limits.min_rpm * thread.lead_mm, has_mm_min=limits.rapid_mm_min[1],
            )
        )  # fmt: skip
    for room_mm, key in _rooms(thread):
        beside_mm = tool.width_mm / 2.0 + rule("thread_clear_mm")
        most = 60.0 * _slide_for(setting, room_mm - beside_mm) / thread.lead_mm
        if most < max(limits.min_rpm, 1e-6):
            need = beside_mm + _stopping_mm(setting, limits.min_rpm * thread.lead_mm / 60.0)
            why = because(
                f"thread.no_{key}", feature=thread.feature, room_mm=room_mm, need_mm=need, min_rpm=limits.min_rpm
            )
            refused.append(why)
        elif math.isfinite(most):
            found.append(Figure(most, "rpm", (because(f"thread.rpm_{key}", room_mm=room_mm),)))
    if isinstance(plain, Reason) or refused:
        return tuple(refused)
    return least((plain, *found))


def _rooms(thread: Thread) -> tuple[tuple[float, str], tuple[float, str]]:
    """Room to stop in and to start in: a left hand thread is cut away from the jaws."""
    stop, start = thread.after_mm, thread.before_mm
    return ((start, "stop"), (stop, "start")) if thread.left else ((stop, "stop"), (start, "start"))


def _slide_for(setting: Setting, room_mm: float) -> float:
    """The fastest slide that stops (or starts) within a room, mm/s; by hand as quick as a hand is."""
    if room_mm <= 0:
        return 0.0
    if math.isinf(room_mm):
        return math.inf
    if setting.limits.controlled:
        return math.sqrt(2.0 * setting.limits.accel_mm_s2 * room_mm)
    return room_mm / rule("hand_reaction_s")


def _stopping_mm(setting: Setting, slide_mm_s: float) -> float:
    if setting.limits.controlled:
        return slide_mm_s**2 / (2.0 * setting.limits.accel_mm_s2)
    return slide_mm_s * rule("hand_reaction_s")


def one_way(setting: Setting, thread: Thread, rpm: float) -> Way:
    """One pass: run-in until the slide follows the spindle, thread, run-out until it stands.

    Args:
        setting: with the threading tool.
        thread: what is to be cut.
        rpm: of the spindle.
    Returns: its length, speed and time; from rest to rest on a controlled lathe.
    """
    slide = rpm * thread.lead_mm / 60.0
    end_mm = setting.tool.width_mm / 2.0 + _stopping_mm(setting, slide)
    start_mm = max(end_mm, min(rule("approach_mm"), thread.after_mm if thread.left else thread.before_mm))
    total = start_mm + thread.length_mm + end_mm
    if setting.limits.controlled:
        return Way(total, slide, edge.move_time_s(total, 60.0 * slide, setting.limits.accel_mm_s2))
    return Way(total, slide, total / slide)


def _between_s(setting: Setting, thread: Thread, way: Way, rpm: float) -> float:
    """Between two passes: out, back, in, and half a turn until the spindle stands right."""
    limits = setting.limits
    lift_mm = thread.height_mm + rule("retract_mm")
    lift_s = edge.move_time_s(lift_mm, limits.rapid_mm_min[0], limits.accel_mm_s2)
    back_s = edge.move_time_s(way.total_mm, limits.rapid_mm_min[1], limits.accel_mm_s2)
    by_hand_s = 0.0 if limits.controlled else rule("hand_thread_pass_s")
    return 2.0 * lift_s + back_s + 30.0 / rpm + by_hand_s


def _hand_and_starts(setting: Setting, thread: Thread) -> tuple[Reason, ...]:
    if setting.limits.controlled:
        return ()
    name = setting.machine.name
    many = (because("thread.starts_by_hand", machine=name, feature=thread.feature, starts=float(thread.starts)),)
    left = (because("thread.left_by_hand", machine=name, feature=thread.feature),)
    return (*(many if thread.starts > 1 else ()), *(left if thread.left else ()))


def _tool_fits(tool: Tool, thread: Thread) -> tuple[Reason, ...]:
    found: list[Reason] = []
    number = float(tool.number)
    if tool.pitch_mm > 0 and abs(tool.pitch_mm - thread.pitch_mm) > 0.01:
        found.append(because("thread.tool_pitch", tool=number, pitch_mm=thread.pitch_mm, has_mm=tool.pitch_mm))
    if thread.height_mm > tool.max_depth_mm:
        found.append(because("thread.tool_deep", tool=number, depth_mm=thread.height_mm, allowed_mm=tool.max_depth_mm))
    if thread.inside:
        hole = thread.diameter_mm - 2.0 * thread.height_mm
        over = tool.diameter_mm + thread.height_mm + rule("retract_mm")
        if over > hole:
            found.append(because("thread.bar_thick", tool=number, needs_mm=over, hole_mm=hole))
        if thread.reach_mm + tool.width_mm / 2.0 > tool.length_mm:
            found.append(because("thread.bar_short", tool=number, depth_mm=thread.reach_mm, allowed_mm=tool.length_mm))
    return tuple(found)


def _passes(setting: Setting, thread: Thread, rpm: float) -> Figure | tuple[Reason, ...]:
    """The usual number of passes, or more until each is light enough; or why no number of passes is."""
    metal = setting.material
    usual = thread_passes(thread.pitch_mm)
    allowed = _force(setting, thread, rpm)
    count = usual
    while True:
        depths = edge.thread_depths_mm(thread.height_mm, passes=count, first_share=rule("thread_first_share"))
        steps = [deep - before for before, deep in zip((0.0, *depths), depths, strict=False)]
        heaviest = max(
            edge.thread_force(metal.kc11_mpa, metal.mc, deep_mm=deep, infeed_mm=step)
            for deep, step in zip(depths, steps, strict=True)
        )
        if heaviest <= allowed.value:
            key = "thread.passes" if count == usual else "thread.passes_more"
            why = because(key, passes=float(count), usual=float(usual), force_n=heaviest, height_mm=thread.height_mm)
            return Figure(float(count), "", (why, *(() if count == usual else allowed.why)))
        count += 1
        if thread.height_mm * (1.0 - math.sqrt((count - 2.0) / (count - 1.0))) < rule("thread_least_mm"):
            why = because("thread.heavy", passes=float(count - 1), force_n=heaviest, allowed_n=allowed.value)
            return (why, *allowed.why)


def _force(setting: Setting, thread: Thread, rpm: float) -> Figure:
    """The heaviest main cutting force that power, torque, slide, grip and the spring of work or bar allow."""
    limits, tool = setting.limits, setting.tool
    power_w = limits.power.power_w(rpm)
    held = grip_at(setting.hold, limits, rpm)
    grip_n = held.value * setting.clamping.grip_mm / thread.diameter_mm
    reach = setting.clamping.reach_mm
    spring = setting.hold.beam.worst_mm_n(max(reach - thread.reach_mm, 0.0), max(reach - thread.start_mm, 0.0))
    if thread.inside:
        spring = edge.tool_bend_mm(
            1.0, length_mm=tool.length_mm, diameter_mm=max(tool.diameter_mm, 1e-3), e_mpa=rule("hss_e_mpa")
        )
    bend_mm = rule("rough_bend_mm")
    return least(
        (
            Figure(
                60.0 * power_w / edge.cutting_speed(rpm, thread.diameter_mm), "N",
                (because("thread.force_power", power_w=power_w, at_rpm=rpm),),
            ),
            Figure(
                2000.0 * limits.max_torque_nm / thread.diameter_mm, "N",
                (because("thread.force_torque", torque_nm=limits.max_torque_nm),),
            ),
            Figure(
                limits.max_force_n / rule("axial_share"), "N",
                (because("thread.force_slide", force_n=limits.max_force_n),),
            ),
            Figure(grip_n, "N", (because("thread.force_grip", force_n=grip_n), *held.why)),
            Figure(
                bend_mm / (rule("radial_share") * spring) if spring > 0 else math.inf, "N",
                (because("thread.force_bar" if thread.inside else "thread.force_spring", bend_mm=bend_mm),),
            ),
        )
    )  # fmt: skip


def _run_out(thread: Thread) -> tuple[Figure, ...]:
    """That the last turns run out on the shaft, where no relief takes the tool."""
    if thread.relieved or thread.left:
        return ()
    return (Figure(thread.pitch_mm, "mm", (because("thread.run_out", feature=thread.feature),)),)


def _cautions(thread: Thread) -> tuple[Reason, ...]:
    found = [because("caution.thread_fingers")]
    if math.isfinite(thread.after_mm):
        found.append(because("caution.thread_shoulder", room_mm=thread.after_mm))
    return tuple(found)
