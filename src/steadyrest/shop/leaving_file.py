"""The shop file as the leaving check reads it: [machine.NAME] of mills and lathes, and [program."FILE.nc"].

A file with nothing else in it will do; so will a whole shop file. What the check can do without may be left out: it
then judges less and says so. A key that says nothing here is no refusal but a doubt, because the same table also
carries what planning needs.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from pathlib import PurePath, PurePosixPath
from typing import cast, get_args

from steadyrest.shop.floor import MachineKind, PowerCurve
from steadyrest.shop.leaving import (
    AXES,
    Bar,
    BarFeed,
    Blank,
    BoxBlank,
    ControlledKind,
    Fixed,
    LeavingMachine,
    LeavingTool,
    ProgramSaid,
    RotaryAxis,
    RoundBlank,
    Vector,
)
from steadyrest.shop.shop_fields import Fields
from steadyrest.shop.shop_text import parsed
from steadyrest.trouble import BadInput

# What the control adds to a mill's or a lathe's table; planning reads none of it.
CONTROL_KEYS = (
    "unit_words", "offsets_mm", "corner", "corner_mm", "arc_tolerance_mm", "dwell", "peck_clear_mm",
    "optional_stop_switch", "hold_point_calls", "library", "extra_words",
    "watched_folder", "bin_litres", "fixed", "rotary", "compensation",
)  # fmt: skip
LATHE_CONTROL_KEYS = ("travel_mm", "x_is_diameter", "tool_word", "speed_clamp_words", "bar_feed")
MACHINE_KEYS = (
    *CONTROL_KEYS, *LATHE_CONTROL_KEYS, "name", "kind", "may_run_alone", "max_rpm", "rapid_mm_min", "accel_mm_s2",
    "tool_change_s", "chuck_max_rpm", "tool", "power", "max_force_n",
)  # fmt: skip
PROGRAM_KEYS = (
    "machine",
    "blank",
    "bar",
    "material",
    "coolant",
    "holding",
    "proved",
    "pressure_switch",
    "took_s",
    "fixed",
)
COOLANTS = ("water", "oil", "alcohol", "mist", "air", "none")
HOLDINGS = ("chuck", "vise", "clamps", "vacuum", "magnet")
WORK_ZEROS = ("G54", "G55", "G56", "G57", "G58", "G59")
CODE = re.compile(r"[A-Z]\d+(\.\d+)?")


def read_leaving(text: str, where: str) -> tuple[tuple[LeavingMachine, ...], tuple[ProgramSaid, ...]]:
    """The mills and lathes of a shop file, and what it says of programs.

    Args:
        text: the file's text, TOML.
        where: its name, for messages.
    Returns: machines and programs, in the file's order.
    Raises: BadInput: the first thing wrong in one of these tables.
    """
    file = parsed(text, where)
    whole = "shop" in file.table  # then planning reads it too, and refuses a key that nobody knows
    found = tuple(
        leaving_machine(name, fields, planned=tuple(fields.table) if whole else ())
        for name, fields in file.named("machine")
        if fields.text("kind", among=(*get_args(MachineKind), "jet")) in ("mill", "lathe")
    )
    return found, programs(file)


def leaving_machine(name: str, fields: Fields, *, planned: Sequence[str] = ()) -> LeavingMachine:
    """One mill or lathe.

    Args:
        name: as the file names it.
        fields: its table.
        planned: keys that planning reads, which are no doubt.
    Returns: the machine as the leaving check knows it.
    Raises: BadInput: a key with a value that cannot be meant.
    """
    kind = cast(ControlledKind, fields.text("kind", among=("mill", "lathe")))
    lathe = kind == "lathe"
    words = _inner(fields, "unit_words")
    corner = fields.text("corner", "stop", among=("stop", "rounded"))
    corner_mm = fields.number("corner_mm", 0.02, above=True, high=10)
    return LeavingMachine(
        name=name,
        kind=kind,
        may_run_alone=fields.flag("may_run_alone", False),
        inch_word=_code(words, "inch", "G20"),
        metric_word=_code(words, "metric", "G21"),
        travel_mm=_travel(fields),
        offsets_mm=_offsets(fields),
        max_rpm=_limit(fields, "max_rpm"),
        rapid_mm_min=_rapids(fields),
        accel_mm_s2=_limit(fields, "accel_mm_s2"),
        corner_mm=None if corner == "stop" else corner_mm,
        tool_change_s=fields.number("tool_change_s", 0.0, high=1e5),
        arc_tolerance_mm=fields.number("arc_tolerance_mm", 0.02, high=10),
        dwell=_dwell(fields),
        peck_clear_mm=fields.number("peck_clear_mm", 1.0, high=100),
        optional_stop_switch=fields.flag("optional_stop_switch", False),
        hold_point_calls=_numbers(fields, "hold_point_calls"),
        library=_numbers(fields, "library"),
        x_is_diameter=lathe and fields.flag("x_is_diameter", True),
        tool_word=fields.text("tool_word", "TTOO" if lathe else "T"),
        chuck_max_rpm=_limit(fields, "chuck_max_rpm") if lathe else math.inf,
        speed_clamp_words=_codes(fields, "speed_clamp_words", ("G50", "G92") if lathe else ()),
        extra_words=_codes(fields, "extra_words", ()),
        bar_feed=_bar_feed(fields),
        tools=tuple(_tool(tool) for tool in fields.each("tool")),
        watched_folder=fields.text("watched_folder", ""),
        power=_power(fields),
        max_force_n=_limit(fields, "max_force_n"),
        bin_litres=_limit(fields, "bin_litres"),
        fixed=_fixed(fields),
        rotary=_rotary(fields),
        compensation=fields.text("compensation", "", among=("", "radius", "wear")),
        doubts=tuple(_strange(fields, (*MACHINE_KEYS, *planned))),
    )


def programs(file: Fields) -> tuple[ProgramSaid, ...]:
    """What the file says of programs.

    Args:
        file: the whole file.
    Returns: one row for each [program."FILE.nc"]; none is allowed.
    Raises: BadInput: a blank or a bar that cannot be meant.
    """
    return tuple(_program(name, fields) for name, fields in file.named("program"))


def said_of(programs_said: Sequence[ProgramSaid], file: str) -> ProgramSaid | None:
    """What was said of a program: by its whole path as written, else by the file's name.

    Args:
        programs_said: all rows.
        file: the program's path or name.
    Returns: the row, or None.
    """
    whole = PurePath(file).as_posix()
    same = [one for one in programs_said if PurePath(one.file).as_posix() == whole]
    named = [one for one in programs_said if PurePosixPath(one.file.replace("\\", "/")).name == PurePath(file).name]
    return next(iter((*same, *named)), None)


def machine_called(machines: Sequence[LeavingMachine], name: str, where: str) -> LeavingMachine:
    """The machine of this name.

    Args:
        machines: those there are.
        name: the one asked for.
        where: the file's name, for messages.
    Returns: the machine.
    Raises: BadInput: there is none of this name; says which there are.
    """
    for machine in machines:
        if machine.name == name:
            return machine
    there = ", ".join(machine.name for machine in machines) or "none"
    raise BadInput(where=where, what=f"there is no mill or lathe {name!r}.", do=f"Those there are: {there}.")


def _strange(fields: Fields, known: Sequence[str]) -> list[str]:
    found: list[str] = []
    for key in fields.table:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
            found.append(f"{key} (did you mean {near[0]}?)" if near else key)
    return found


def _power(fields: Fields) -> PowerCurve | None:
    """The spindle's curve, where the file gives one that planning would take too."""
    rows = fields.table.get("power")
    if not isinstance(rows, list):
        return None
    points: list[tuple[float, float]] = []
    for row in cast(list[object], rows):
        rpm, power_w = Fields({"power": row}, fields.path, fields.where, fields.lines, fields.after).numbers(
            "power", count=2, above=False
        )
        points.append((rpm, power_w))
    return PowerCurve(tuple(points)) if points else None


def _inner(fields: Fields, key: str) -> Fields:
    return fields.inner(key) if key in fields.table else Fields({}, fields.path, fields.where, fields.lines)


def _limit(fields: Fields, key: str) -> float:
    return fields.number(key, above=True) if key in fields.table else math.inf


def _code(fields: Fields, key: str, default: str) -> str:
    return _checked_code(fields, key, fields.text(key, default))


def _codes(fields: Fields, key: str, default: Sequence[str]) -> tuple[str, ...]:
    return tuple(_checked_code(fields, key, code) for code in fields.texts(key, default))


def _checked_code(fields: Fields, key: str, text: str) -> str:
    code = text.strip().upper()
    if not CODE.fullmatch(code):
        raise fields.wrong(key, f"{text!r} is no word of a program.", 'Write it as "G20" or "M70".')
    return code[0] + code[1:].lstrip("0").rjust(1, "0")


def _travel(fields: Fields) -> dict[str, tuple[float, float]]:
    inner = _inner(fields, "travel_mm")
    return {axis: _span(inner, axis) for axis in AXES if axis in inner.table}


def _span(fields: Fields, key: str) -> tuple[float, float]:
    fields.span(key)  # says what is wrong
    low, high = cast(list[float], fields.table[key])
    return float(low), float(high)


def _signed(fields: Fields, key: str, default: float | None = None) -> float:
    return fields.number(key, default, low=-1e6, high=1e6)


def _offsets(fields: Fields) -> dict[str, Vector]:
    inner = _inner(fields, "offsets_mm")
    found: dict[str, Vector] = {}
    for word in inner.table:
        zero = word.strip().upper()
        if zero not in WORK_ZEROS:
            raise inner.wrong(word, "there is no such work zero.", f"Allowed here: {', '.join(WORK_ZEROS)}.")
        axes = inner.inner(word)
        x, y, z = (_signed(axes, axis, 0.0) for axis in AXES)
        found[zero] = (x, y, z)
    return found


def _rapids(fields: Fields) -> Vector:
    inner = _inner(fields, "rapid_mm_min")
    x, y, z = (inner.number(axis, above=True) if axis in inner.table else math.inf for axis in AXES)
    return x, y, z


def _dwell(fields: Fields) -> dict[str, str]:
    if "dwell" not in fields.table:
        return {"P": "ms", "X": "s"}
    inner = fields.inner("dwell")
    for letter in inner.table:
        if not re.fullmatch("[A-Za-z]", letter):
            raise inner.wrong(letter, "it is not the letter of a dwell.", 'Write it as {P = "ms", X = "s"}.')
    return {letter.upper(): inner.text(letter, among=("ms", "s")) for letter in inner.table}


def _numbers(fields: Fields, key: str) -> tuple[int, ...]:
    if key not in fields.table:
        return ()
    found = fields.table[key]
    items = cast(list[object], found) if isinstance(found, list) else None
    if items is None or not all(isinstance(item, int) and not isinstance(item, bool) and item >= 0 for item in items):
        raise fields.wrong(key, f"{found!r} is not a list of program numbers.", "Write [9011, 9012].")
    return tuple(cast(list[int], items))


def _bar_feed(fields: Fields) -> BarFeed | None:
    if "bar_feed" not in fields.table:
        return None
    inner = fields.inner("bar_feed")
    inner.only(("word", "rest_mm"))
    return BarFeed(_code(inner, "word", ""), inner.number("rest_mm", 0.0))


def _tool(fields: Fields) -> LeavingTool:
    return LeavingTool(
        number=fields.whole("number", low=1, high=9999),
        kind=fields.text("kind", ""),
        role=fields.text("role", ""),
        diameter_mm=fields.number("diameter_mm", 0.0, high=1000),
        length_mm=fields.number("length_mm", 0.0, high=2000),
        holder_max_rpm=_limit(fields, "holder_max_rpm"),
        life_s=fields.number("life_s") if "life_s" in fields.table else math.inf,
        used_s=fields.number("used_s", 0.0),
        needs_coolant=fields.flag("needs_coolant", False),
        made_of=fields.text("made_of", "carbide"),
        teeth=fields.whole("teeth", 1, low=1, high=500),
        edge_mm=fields.number("edge_mm", 0.0, high=100),
        width_mm=fields.number("width_mm", 0.0, high=1000),
        lead_rad=math.radians(fields.number("lead_deg", 90.0, above=True, high=120)),
        max_depth_mm=fields.number("max_depth_mm", 0.0, high=1000),
        point_rad=math.radians(fields.number("point_deg", 0.0, high=179)),
        holder_mm=fields.number("holder_mm", 0.0, high=1000),
        stick_out_mm=fields.number("stick_out_mm", 0.0, high=2000),
    )


def _fixed(fields: Fields) -> tuple[Fixed, ...]:
    """What stands in the way: boxes, and rounds about Z."""
    found: list[Fixed] = []
    for one in fields.each("fixed"):
        rest = Fields({k: v for k, v in one.table.items() if k != "name"}, one.path, one.where, one.lines, one.after)
        found.append(Fixed(one.text("name"), _blank(rest)))
    return tuple(found)


def _rotary(fields: Fields) -> dict[str, RotaryAxis]:
    """What the rotary axes turn about."""
    inner = _inner(fields, "rotary")
    found: dict[str, RotaryAxis] = {}
    for letter in inner.table:
        if letter.upper() not in ("A", "B", "C"):
            raise inner.wrong(letter, "there is no such rotary axis.", "Write A, B or C.")
        axis = inner.inner(letter)
        axis.only(("about", "at_mm"))
        about = axis.text("about", among=("x", "y", "z", "-x", "-y", "-z"))
        at_mm = _vector(axis, "at_mm") if "at_mm" in axis.table else None
        found[letter.upper()] = RotaryAxis(about[-1], about[0] == "-", at_mm)
    return found


def _program(name: str, fields: Fields) -> ProgramSaid:
    fields.only(PROGRAM_KEYS)
    return ProgramSaid(
        file=name,
        machine=fields.text("machine", ""),
        blank=_blank(fields.inner("blank")) if "blank" in fields.table else None,
        bar=_bar(fields.inner("bar")) if "bar" in fields.table else None,
        material=fields.text("material", ""),
        coolant=fields.text("coolant", "", among=("", *COOLANTS)),
        holding=fields.text("holding", "", among=("", *HOLDINGS)),
        proved=fields.flag("proved", False),
        pressure_switch=fields.flag("pressure_switch", False),
        took_s=fields.numbers("took_s") if "took_s" in fields.table else (),
        fixed=_fixed(fields),
    )


def _blank(fields: Fields) -> Blank:
    if fields.text("shape", among=("box", "round")) == "box":
        fields.only(("shape", "min_mm", "max_mm"))
        low, high = (_vector(fields, key) for key in ("min_mm", "max_mm"))
        if not all(a < b for a, b in zip(low, high, strict=True)):
            raise fields.wrong("max_mm", f"{list(high)} is not above min_mm {list(low)}.", "Give the larger corner.")
        return BoxBlank(low, high)
    fields.only(("shape", "diameter_mm", "z_mm", "inside_mm"))
    diameter_mm = fields.number("diameter_mm", above=True, high=1e5)
    return RoundBlank(diameter_mm, _span(fields, "z_mm"), fields.number("inside_mm", 0.0, high=diameter_mm))


def _vector(fields: Fields, key: str) -> Vector:
    found = fields.table.get(key)
    if not isinstance(found, list) or len(cast(list[object], found)) != 3:
        raise fields.wrong(key, f"{found!r} is not a point.", "Write [x, y, z].")
    x, y, z = (
        _signed(Fields({key: item}, fields.path, fields.where, fields.lines, fields.after), key)
        for item in cast(list[object], found)
    )
    return x, y, z


def _bar(fields: Fields) -> Bar:
    fields.only(("length_mm", "per_part_mm"))
    return Bar(fields.number("length_mm", above=True), fields.number("per_part_mm", above=True))
