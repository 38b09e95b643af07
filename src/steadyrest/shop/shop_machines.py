"""The machines of the shop file: [machine.NAME] with its limits, and [[machine.NAME.tool]]."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Literal, cast

from steadyrest.shop.floor import (
    BenchLimits,
    BrakeLimits,
    GrinderLimits,
    LatheLimits,
    Limits,
    Machine,
    MachineKind,
    MillAxes,
    MillLimits,
    PowerCurve,
    SawLimits,
    Tool,
)
from steadyrest.shop.leaving_file import CONTROL_KEYS, LATHE_CONTROL_KEYS, leaving_machine
from steadyrest.shop.machine_hour import MachineHour
from steadyrest.shop.shop_cutters import cutter
from steadyrest.shop.shop_fields import Fields

COMMON = ("name", "kind", "may_run_alone", "set_up_s", "per_hour", "hour", "stands", "tool", "never_alone", "not_alone",
          "warm_up_s", "cold_after_s", "service_every_h", "service_s")  # fmt: skip
HOUR_KEYS = ("bought", "rest", "life_years", "interest", "upkeep", "room", "run_hours", "power_w", "per_kwh")
SPINDLE = (
    "min_rpm", "max_rpm", "power", "max_torque_nm", "max_force_n", "max_load_kg", "rapid_mm_min", "accel_mm_s2",
    "tool_change_s", "controlled", "repeat_mm", *CONTROL_KEYS,
)  # fmt: skip
CUTTER = (
    "table_mm", "max_thickness_mm", "max_load_kg", "strength", "max_feed_mm_min", "rapid_mm_min", "accel_mm_s2",
    "repeat_mm", "corner", "corner_mm", "slat_gap_mm", "water_table", "extraction", "supply_w", "air_l_min",
    "nozzle_price", "nozzle_starts", "nozzle_h", "gas_per_hour", "cut",
)  # fmt: skip
KEYS: Mapping[str, tuple[str, ...]] = {
    "lathe": (
        *SPINDLE, *LATHE_CONTROL_KEYS, "swing_mm", "swing_over_slide_mm", "between_centres_mm", "spindle_bore_mm",
        "chuck_max_rpm", "chuck_grip_n", "chuck_smallest_mm", "chuck_largest_mm", "tailstock", "steady_mm",
        "collet_mm", "collet_grip_n", "collet_max_rpm", "collet_run_out_mm", "four_jaw_mm", "driven_max_rpm",
        "driven_power_w", "driven_torque_nm", "c_axis", "y_mm", "second_spindle", "bar_feed_mm",
        "faceplate_mm",
    ),
    "mill": (
        *SPINDLE, "travel_mm", "table_mm", "max_feed_mm_min", "vise_opening_mm", "vise_grip_n", "axes", "vise_jaw_mm",
        "parallels_mm", "vacuum_mm", "vacuum_bar", "vacuum_switch", "tilt_deg", "turn_deg", "turn_step_deg", "turn_mm",
        "turn_load_kg", "turn_chuck_mm", "turn_chuck_n", "vises", "vise_pitch_mm", "chuck_mm", "chuck_grip_n",
        "chuck_jaw_mm", "v_block_mm", "lean_deg",
    ),
    "saw": (
        "largest_round_mm", "largest_width_mm", "largest_height_mm", "kerf_mm", "min_band_m_min", "max_band_m_min",
        "max_load_kg", "shortest_rest_mm", "feeds_itself", "blade_mm", "blade_teeth", "bundle", "dry",
    ),
    "grinder": ("table_mm", "height_mm", "max_load_kg", "repeat_mm"),
    "brake": ("bend_length_mm", "force_n", "max_thickness_mm"),
    "jet": ("table_mm", "max_thickness_mm", "max_load_kg"),
    "cutter": ("way", *CUTTER),
    "bench": ("max_load_kg",),
}  # fmt: skip
TOOL_KINDS = (
    "turning", "facing", "boring", "grooving", "part-off", "threading", "tap", "die", "drill", "centre drill",
    "reamer", "end mill", "slot drill", "ball mill", "face mill", "chamfer mill", "thread mill", "wheel", "blade",
    "knurl", "probe",
)  # fmt: skip
AXES = ("3", "3+1", "3+2", "5")
JAW_MM = (125.0, 40.0)
PARALLELS_MM = (15.0, 25.0, 32.0)
ROLES = ("rough", "finish", "face", "drill", "probe", "part-off")
TOOL_KEYS = (
    "number", "kind", "role", "diameter_mm", "length_mm", "made_of", "teeth", "edge_mm", "lead_deg", "max_depth_mm",
    "width_mm", "holder_max_rpm", "life_s", "used_s", "needs_coolant", "point_deg", "holder_mm", "stick_out_mm",
    "pitch_mm", "driven", "face_from_mm", "edge_price",
)  # fmt: skip


def machines(file: Fields) -> tuple[Machine, ...]:
    """Every machine of the file.

    Args:
        file: the whole file.
    Returns: at least one machine, in the file's order.
    Raises: BadInput: none, or one with something wrong.
    """
    found = tuple(_machine(name, fields) for name, fields in file.named("machine"))
    if not found:
        raise file.wrong(None, "there is no machine.", "Add one as [machine.NAME], a bench at least.")
    return found


def _machine(name: str, fields: Fields) -> Machine:
    kind = cast("MachineKind | Literal['jet']", fields.text("kind", among=tuple(KEYS)))
    fields.only((*COMMON, *KEYS[kind]))
    if kind in ("lathe", "mill"):
        leaving_machine(name, fields, planned=KEYS[kind])  # says what is wrong; the leaving check reads it again
    tools = tuple(_tool(tool) for tool in fields.each("tool"))
    numbers = [tool.number for tool in tools]
    for number in numbers:
        if numbers.count(number) > 1:
            raise fields.wrong("tool", f"tool number {number} stands twice.", "Give each tool its own number.")
    hour = _hour(fields)
    return Machine(
        id=name,
        name=fields.text("name", name),
        kind="cutter" if kind == "jet" else kind,
        limits=LIMITS[kind](fields),
        tools=tools,
        may_run_alone=fields.flag("may_run_alone"),
        set_up_s=fields.number("set_up_s", high=1e6),
        per_hour=fields.money("per_hour") if hour is None else hour.per_hour,
        hour=hour,
        stands=fields.spans("stands"),
        never_alone=fields.flag("never_alone", False),
        not_alone=fields.weekly("not_alone") if "not_alone" in fields.table else (),
        warm_up_s=fields.number("warm_up_s", 0.0, high=86_400),
        cold_after_s=fields.number("cold_after_s", 4 * 3600.0, high=1e6),
        service_every_h=fields.number("service_every_h", 0.0, high=1e5),
        service_s=fields.number("service_s", 7200.0, above=True, high=1e6),
    )


def _hour(fields: Fields) -> MachineHour | None:
    """What an hour costs, worked out; None where the file says it."""
    if "hour" not in fields.table:
        return None
    if "per_hour" in fields.table:
        raise fields.wrong("per_hour", "it stands beside [hour], which works it out.", "Keep one of the two.")
    hour = fields.inner("hour")
    hour.only(HOUR_KEYS)
    bought, rest = hour.money("bought"), hour.money("rest", "0")
    if rest > bought:
        raise hour.wrong("rest", f"{rest} at the end is more than the {bought} it cost.", "Correct one of the two.")
    return MachineHour(
        bought=bought,
        rest=rest,
        life_years=hour.number("life_years", above=True, high=100),
        interest=hour.number("interest", 0.0, high=1),
        upkeep=hour.money("upkeep", "0"),
        room=hour.money("room", "0"),
        hours=hour.number("run_hours", above=True, high=8784),
        power_w=hour.number("power_w", 0.0, high=1e6),
        per_kwh=hour.money("per_kwh", "0"),
    )


def _tool(fields: Fields) -> Tool:
    fields.only(TOOL_KEYS)
    return Tool(
        number=fields.whole("number", low=1, high=9999),
        kind=fields.text("kind", among=TOOL_KINDS),
        role=fields.text("role", among=ROLES),
        diameter_mm=fields.number("diameter_mm", 0.0, high=1000),
        length_mm=fields.number("length_mm", above=True, high=2000),
        made_of=fields.text("made_of", "carbide", among=("carbide", "hss")),
        teeth=fields.whole("teeth", 1, low=1, high=500),
        edge_mm=fields.number("edge_mm", 0.0, high=100),
        lead_rad=math.radians(fields.number("lead_deg", 90.0, above=True, high=120)),
        max_depth_mm=fields.number("max_depth_mm", above=True, high=1000),
        width_mm=fields.number("width_mm", 0.0, high=1000),
        holder_max_rpm=fields.number("holder_max_rpm", above=True, high=1e6),
        life_s=fields.number("life_s", above=True),
        used_s=fields.number("used_s", 0.0),
        needs_coolant=fields.flag("needs_coolant", False),
        pitch_mm=fields.number("pitch_mm", 0.0, high=100),
        holder_mm=fields.number("holder_mm", 0.0, high=1000),
        stick_out_mm=fields.number("stick_out_mm", 0.0, high=2000),
        driven=fields.flag("driven", False),
        face_from_mm=fields.number("face_from_mm", 0.0, high=1000),
        edge_money=fields.money("edge_price", "0"),
    )


def power_curve(fields: Fields) -> PowerCurve:
    """The spindle's power over speed from power = [[rpm, W], ...].

    Raises: BadInput: fewer than two points, speeds that do not rise, or a curve that stops short of max_rpm.
    """
    rows = fields.table.get("power")
    if not isinstance(rows, list) or len(cast(list[object], rows)) < 2:
        raise fields.wrong("power", f"{rows!r} is not a power curve.", "Write [[rpm, W], [rpm, W], ...].")
    points: list[tuple[float, float]] = []
    for row in cast(list[object], rows):
        pair = Fields({"power": row}, fields.path, fields.where, fields.lines, fields.after)
        rpm, power_w = pair.numbers("power", count=2, above=False)
        if points and rpm <= points[-1][0]:
            raise fields.wrong("power", f"{rpm:g} rpm does not rise above {points[-1][0]:g}.", "Let the speeds rise.")
        points.append((rpm, power_w))
    most = fields.number("max_rpm", above=True, high=1e6)
    least = fields.number("min_rpm", high=1e6)
    if least >= most:
        raise fields.wrong("max_rpm", f"{most:g} is not above min_rpm {least:g}.", "Give a larger speed.")
    if points[-1][0] < most or points[0][0] > least:
        reach = f"{points[0][0]:g} to {points[-1][0]:g} rpm"
        raise fields.wrong("power", f"the curve reaches from {reach} only.", f"Let it reach {least:g} to {most:g} rpm.")
    if all(power_w == 0 for _, power_w in points):
        raise fields.wrong("power", "the curve has no power anywhere.", "Give the power in W.")
    return PowerCurve(tuple(points))


def _lathe(fields: Fields) -> LatheLimits:
    smallest = fields.number("chuck_smallest_mm")
    largest = fields.number("chuck_largest_mm", above=True)
    if smallest >= largest:
        raise fields.wrong("chuck_smallest_mm", f"{smallest:g} is not below {largest:g}.", "Check the chuck's range.")
    return LatheLimits(
        swing_mm=fields.number("swing_mm", above=True),
        swing_over_slide_mm=fields.number("swing_over_slide_mm", above=True),
        between_centres_mm=fields.number("between_centres_mm", above=True),
        spindle_bore_mm=fields.number("spindle_bore_mm"),
        min_rpm=fields.number("min_rpm"),
        max_rpm=fields.number("max_rpm", above=True),
        power=power_curve(fields),
        max_torque_nm=fields.number("max_torque_nm", above=True),
        max_force_n=fields.number("max_force_n", above=True),
        max_load_kg=fields.number("max_load_kg", above=True),
        chuck_max_rpm=fields.number("chuck_max_rpm", above=True),
        chuck_grip_n=fields.number("chuck_grip_n", above=True),
        chuck_smallest_mm=smallest,
        chuck_largest_mm=largest,
        tailstock=fields.flag("tailstock"),
        rapid_mm_min=cast(tuple[float, float], fields.axes("rapid_mm_min", "xz")),
        accel_mm_s2=fields.number("accel_mm_s2", above=True),
        tool_change_s=fields.number("tool_change_s"),
        controlled=fields.flag("controlled"),
        repeat_mm=fields.number("repeat_mm", above=True, high=10),
        steady_mm=_range(fields, "steady_mm", "diameter"),
        collet_mm=_range(fields, "collet_mm", "diameter"),
        collet_grip_n=_beside(fields, "collet_mm", "collet_grip_n"),
        collet_max_rpm=_beside(fields, "collet_mm", "collet_max_rpm"),
        collet_run_out_mm=_beside(fields, "collet_mm", "collet_run_out_mm"),
        four_jaw_mm=_range(fields, "four_jaw_mm", "side"),
        driven_max_rpm=fields.number("driven_max_rpm", 0.0, high=1e6),
        driven_power_w=_beside(fields, "driven_max_rpm", "driven_power_w"),
        driven_torque_nm=_beside(fields, "driven_max_rpm", "driven_torque_nm"),
        c_axis=fields.flag("c_axis", False),
        y_mm=fields.number("y_mm", 0.0, high=1000),
        second_spindle=fields.flag("second_spindle", False),
        bar_feed_mm=_bar_feed(fields),
        faceplate_mm=fields.number("faceplate_mm", 0.0, high=10_000),
    )


def _range(fields: Fields, key: str, what: str) -> tuple[float, float] | None:
    """Smallest and largest that something holds, where there is one."""
    found = _pair(fields, key)
    if found is not None and found[0] >= found[1]:
        raise fields.wrong(key, f"{found[0]:g} is not below {found[1]:g}.", f"Give smallest, largest {what}.")
    return found


def _bar_feed(fields: Fields) -> tuple[float, float] | None:
    """The longest bar of a feeder and what it leaves, where there is one."""
    found = _pair(fields, "bar_feed_mm")
    if found is not None and found[1] >= found[0]:
        raise fields.wrong(
            "bar_feed_mm", f"a rest of {found[1]:g} is not below the bar's {found[0]:g}.", "Give longest bar, rest."
        )
    return found


def _beside(fields: Fields, with_key: str, key: str) -> float:
    """A number that stands together with another key, or not at all."""
    if with_key in fields.table:
        return fields.number(key, above=True)
    if key in fields.table:
        raise fields.wrong(key, f"it stands without {with_key}.", f"Give {with_key} too, or leave both out.")
    return 0.0


def _mill(fields: Fields) -> MillLimits:
    return MillLimits(
        travel_mm=cast(tuple[float, float, float], fields.travels("travel_mm", "xyz")),
        table_mm=cast(tuple[float, float], fields.numbers("table_mm", count=2)),
        max_load_kg=fields.number("max_load_kg", above=True),
        min_rpm=fields.number("min_rpm"),
        max_rpm=fields.number("max_rpm", above=True),
        power=power_curve(fields),
        max_torque_nm=fields.number("max_torque_nm", above=True),
        max_force_n=fields.number("max_force_n", above=True),
        max_feed_mm_min=fields.number("max_feed_mm_min", above=True),
        vise_opening_mm=fields.number("vise_opening_mm", above=True),
        vise_grip_n=fields.number("vise_grip_n", above=True),
        rapid_mm_min=cast(tuple[float, float, float], fields.axes("rapid_mm_min", "xyz")),
        accel_mm_s2=fields.number("accel_mm_s2", above=True),
        tool_change_s=fields.number("tool_change_s"),
        controlled=fields.flag("controlled"),
        repeat_mm=fields.number("repeat_mm", above=True, high=10),
        axes=cast(MillAxes, fields.text("axes", "3", among=AXES)),
        vise_jaw_mm=_pair(fields, "vise_jaw_mm") or JAW_MM,
        parallels_mm=_parallels(fields),
        vacuum_mm=_pair(fields, "vacuum_mm"),
        vacuum_bar=_vacuum_bar(fields),
        vacuum_switch=fields.flag("vacuum_switch", False),
        corner_mm=_corner_mm(fields),
        tilt_rad=_angles(fields, "tilt_deg", ("3+2", "5")) or (0.0, math.pi / 2.0),
        turn_rad=_angles(fields, "turn_deg", ("3+1", "3+2", "5")),
        turn_step_rad=math.radians(fields.number("turn_step_deg", 0.0, high=180)),
        turn_mm=_pair(fields, "turn_mm"),
        turn_load_kg=fields.number("turn_load_kg", 0.0),
        turn_chuck_mm=_range(fields, "turn_chuck_mm", "width"),
        turn_chuck_n=_beside(fields, "turn_chuck_mm", "turn_chuck_n"),
        vises=fields.whole("vises", 1, low=1, high=20),
        vise_pitch_mm=fields.number("vise_pitch_mm", 0.0, high=2000),
        chuck_mm=_range(fields, "chuck_mm", "diameter"),
        chuck_grip_n=_beside(fields, "chuck_mm", "chuck_grip_n"),
        chuck_jaw_mm=_beside(fields, "chuck_mm", "chuck_jaw_mm"),
        v_block_mm=_range(fields, "v_block_mm", "diameter"),
        lean_rad=math.radians(fields.number("lean_deg", 45.0, high=90)),
    )


def _angles(fields: Fields, key: str, among: tuple[str, ...]) -> tuple[float, float] | None:
    """How far an axis turns, from degrees; only on a machine that has it."""
    if key not in fields.table:
        return None
    if fields.text("axes", "3", among=AXES) not in among:
        wanted = ", ".join(among)
        raise fields.wrong(key, "this machine has no such axis.", f"Say axes = one of {wanted}, or leave {key} out.")
    low, high = fields.numbers(key, count=2, above=False, low=-360.0, high=360.0)
    if low >= high:
        raise fields.wrong(key, f"{low:g} is not below {high:g}.", "Give least, most, in degrees.")
    return math.radians(low), math.radians(high)


def _corner_mm(fields: Fields) -> float | None:
    """How far the control cuts corners short; None where it stops at them. leaving_machine has checked both keys."""
    rounded = fields.text("corner", "stop", among=("stop", "rounded")) == "rounded"
    return fields.number("corner_mm", 0.02, above=True, high=10) if rounded else None


def _pair(fields: Fields, key: str) -> tuple[float, float] | None:
    """Two lengths, where the file gives them."""
    return cast(tuple[float, float], fields.numbers(key, count=2)) if key in fields.table else None


def _vacuum_bar(fields: Fields) -> float | None:
    """What a vacuum plate pulls; it and the plate's size stand together or not at all."""
    pull_bar = fields.number("vacuum_bar", above=True, high=1) if "vacuum_bar" in fields.table else None
    if ("vacuum_mm" in fields.table) != (pull_bar is not None):
        there, lacks = ("vacuum_bar", "vacuum_mm") if pull_bar else ("vacuum_mm", "vacuum_bar")
        raise fields.wrong(there, f"it stands without {lacks}.", f"Give {lacks} too, or leave both out.")
    return pull_bar


def _parallels(fields: Fields) -> tuple[float, ...]:
    """Heights of the pairs of parallels, lowest first."""
    return tuple(sorted(fields.numbers("parallels_mm"))) if "parallels_mm" in fields.table else PARALLELS_MM


def _blade_teeth(fields: Fields) -> int:
    """Teeth of a cold saw's disc; it and its diameter stand together or not at all."""
    if "blade_mm" in fields.table:
        return fields.whole("blade_teeth", low=10, high=2000)
    if "blade_teeth" in fields.table:
        raise fields.wrong("blade_teeth", "it stands without blade_mm.", "Give blade_mm too, or leave both out.")
    return 0


def _saw(fields: Fields) -> SawLimits:
    least, most = fields.number("min_band_m_min", above=True), fields.number("max_band_m_min", above=True)
    if least > most:
        raise fields.wrong("max_band_m_min", f"{most:g} is below min_band_m_min {least:g}.", "Give a larger speed.")
    return SawLimits(
        largest_round_mm=fields.number("largest_round_mm", above=True),
        largest_width_mm=fields.number("largest_width_mm", above=True),
        largest_height_mm=fields.number("largest_height_mm", above=True),
        kerf_mm=fields.number("kerf_mm", high=50),
        min_band_m_min=least,
        max_band_m_min=most,
        max_load_kg=fields.number("max_load_kg", above=True),
        shortest_rest_mm=fields.number("shortest_rest_mm"),
        feeds_itself=fields.flag("feeds_itself"),
        blade_mm=fields.number("blade_mm", 0.0, high=2000),
        blade_teeth=_blade_teeth(fields),
        bundle=fields.whole("bundle", 1, low=1, high=1000),
        dry=fields.flag("dry", False),
    )


def _grinder(fields: Fields) -> GrinderLimits:
    return GrinderLimits(
        table_mm=cast(tuple[float, float], fields.numbers("table_mm", count=2)),
        height_mm=fields.number("height_mm", above=True),
        max_load_kg=fields.number("max_load_kg", above=True),
        repeat_mm=fields.number("repeat_mm", above=True, high=10),
    )


def _brake(fields: Fields) -> BrakeLimits:
    return BrakeLimits(
        bend_length_mm=fields.number("bend_length_mm", above=True),
        force_n=fields.number("force_n", above=True),
        max_thickness_mm=fields.number("max_thickness_mm", above=True),
    )


def _bench(fields: Fields) -> BenchLimits:
    return BenchLimits(max_load_kg=fields.number("max_load_kg", above=True))


LIMITS: Mapping[str, Callable[[Fields], Limits]] = {
    "lathe": _lathe,
    "mill": _mill,
    "saw": _saw,
    "grinder": _grinder,
    "brake": _brake,
    "jet": cutter,
    "cutter": cutter,
    "bench": _bench,
}
