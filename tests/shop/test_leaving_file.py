"""The shop file as the leaving check reads it: the contract's file alone, a whole one, and what is wrong in either."""

from __future__ import annotations

import math

import pytest

from steadyrest.desk.which_shop import example_text
from steadyrest.shop.leaving import Bar, BarFeed, BoxBlank, Fixed, LeavingMachine, RotaryAxis, RoundBlank
from steadyrest.shop.leaving_file import machine_called, read_leaving, said_of
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput

MILL = """
[machine.M1]
kind = "mill"
may_run_alone = true
unit_words = {inch="G70", metric="G71"}
travel_mm = {x=[-10, 500.5], y=[0, 400], z=[-450, 0]}
offsets_mm.G54 = {x=-100, y=-50.25, z=-300}
offsets_mm.G59 = {x=1, y=2, z=3}
max_rpm = 8000
rapid_mm_min = {x=12000, y=12000, z=9000}
accel_mm_s2 = 900
corner = "stop"
tool_change_s = 6.5
arc_tolerance_mm = 0.01
dwell = {P="s", X="ms"}
peck_clear_mm = 0.5
optional_stop_switch = true
hold_point_calls = [9011]
library = [9011, 9020]
[[machine.M1.tool]]
number = 7
kind = "lollipop"
diameter_mm = 8
length_mm = 71.5
role = "rough"
holder_max_rpm = 9000
life_s = 1200
used_s = 300
needs_coolant = true
[program."A.nc"]
machine = "M1"
blank = {shape="box", min_mm=[0, 0, -20], max_mm=[80, 60, 0]}
"""
LATHE = """
[machine.L1]
kind = "lathe"
may_run_alone = false
travel_mm = {x=[-250, 10], z=[-600, 5]}
max_rpm = 4000
rapid_mm_min = {x=6000, z=9000}
x_is_diameter = true
tool_word = "TTOO"
chuck_max_rpm = 3000
speed_clamp_words = ["G50", "G92"]
bar_feed = {word="M70", rest_mm=80}
[program."sub/B.nc"]
blank = {shape="round", diameter_mm=40, z_mm=[-90, 1]}
bar = {length_mm=1000, per_part_mm=52.5}
"""


def one(text: str, name: str) -> LeavingMachine:
    return machine_called(read_leaving(text, "shop.toml")[0], name, "shop.toml")


def test_every_key_of_the_contract_for_a_mill_is_read() -> None:
    mill = one(MILL, "M1")
    assert (mill.kind, mill.may_run_alone, mill.inch_word, mill.metric_word) == ("mill", True, "G70", "G71")
    assert mill.travel_mm == {"x": (-10.0, 500.5), "y": (0.0, 400.0), "z": (-450.0, 0.0)}
    assert mill.offsets_mm == {"G54": (-100.0, -50.25, -300.0), "G59": (1.0, 2.0, 3.0)}
    assert (mill.max_rpm, mill.rapid_mm_min, mill.accel_mm_s2) == (8000.0, (12000.0, 12000.0, 9000.0), 900.0)
    assert (mill.corner_mm, mill.tool_change_s, mill.arc_tolerance_mm, mill.peck_clear_mm) == (None, 6.5, 0.01, 0.5)
    assert mill.dwell == {"P": "s", "X": "ms"}
    assert (mill.optional_stop_switch, mill.hold_point_calls, mill.library) == (True, (9011,), (9011, 9020))
    (tool,) = mill.tools
    assert (tool.number, tool.kind, tool.role, tool.diameter_mm, tool.length_mm) == (7, "lollipop", "rough", 8.0, 71.5)
    assert (tool.holder_max_rpm, tool.life_s, tool.used_s, tool.needs_coolant) == (9000.0, 1200.0, 300.0, True)
    assert mill.doubts == ()


def test_every_key_of_the_contract_for_a_lathe_is_read() -> None:
    lathe = one(LATHE, "L1")
    assert (lathe.kind, lathe.may_run_alone, lathe.x_is_diameter, lathe.tool_word) == ("lathe", False, True, "TTOO")
    assert (lathe.chuck_max_rpm, lathe.speed_clamp_words) == (3000.0, ("G50", "G92"))
    assert lathe.bar_feed == BarFeed("M70", 80.0)
    assert lathe.travel_mm == {"x": (-250.0, 10.0), "z": (-600.0, 5.0)}


def test_blank_and_bar_of_a_program_are_read() -> None:
    (a,) = read_leaving(MILL, "shop.toml")[1]
    (b,) = read_leaving(LATHE, "shop.toml")[1]
    assert (a.machine, a.blank) == ("M1", BoxBlank((0.0, 0.0, -20.0), (80.0, 60.0, 0.0)))
    assert (b.blank, b.bar) == (RoundBlank(40.0, (-90.0, 1.0)), Bar(1000.0, 52.5))


def test_what_is_left_out_is_not_judged() -> None:
    bare = one('[machine.m]\nkind = "mill"\n', "m")
    assert not bare.may_run_alone
    assert (bare.max_rpm, bare.accel_mm_s2, bare.rapid_mm_min) == (math.inf, math.inf, (math.inf,) * 3)
    assert (bare.travel_mm, bare.offsets_mm, bare.tools, bare.hold_point_calls) == ({}, {}, (), ())
    assert (bare.inch_word, bare.metric_word, bare.corner_mm) == ("G20", "G21", None)


@pytest.mark.parametrize("asked", ["A.nc", "/somewhere/else/A.nc", "jobs/A.nc"])
def test_a_program_is_known_by_its_name_wherever_it_lies(asked: str) -> None:
    said = said_of(read_leaving(MILL, "shop.toml")[1], asked)
    assert said is not None
    assert said.file == "A.nc"


def test_a_path_in_the_file_counts_by_its_end_and_exactly_first() -> None:
    text = LATHE + '[program."B.nc"]\nmachine = "other"\n'
    rows = read_leaving(text, "shop.toml")[1]
    both = [said_of(rows, asked) for asked in ("sub/B.nc", "B.nc")]
    assert [one.file if one else None for one in both] == ["sub/B.nc", "B.nc"]
    assert said_of(rows, "C.nc") is None


def test_a_whole_shop_file_will_do_and_saws_are_no_machines_for_a_program() -> None:
    machines, programs = read_leaving(example_text(), "shop.toml")
    assert {machine.kind for machine in machines} == {"mill", "lathe"}
    assert all(machine.doubts == () for machine in machines)
    assert programs


def test_the_keys_of_the_leaving_check_stand_in_a_whole_shop_file_and_are_checked_there() -> None:
    text = example_text()
    assert read_shop(text, "shop.toml").machine("lathe").kind == "lathe"
    assert one(text, "lathe").bar_feed is not None
    wrong = text.replace('bar_feed = {word = "M70"', 'bar_feed = {word = "bar"', 1)
    assert wrong != text
    with pytest.raises(BadInput, match="no word of a program"):
        read_shop(wrong, "shop.toml")


def test_a_key_that_says_nothing_is_a_doubt_with_the_nearest_name() -> None:
    (doubt,) = one(MILL.replace("peck_clear_mm", "peck_clear"), "M1").doubts
    assert "peck_clear" in doubt
    assert "peck_clear_mm" in doubt


def test_a_machine_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(BadInput, match=r"'M2'.*M1"):
        one(MILL, "M2")


@pytest.mark.parametrize(
    ("was", "is_", "told"),
    [
        ("max_rpm = 8000", "max_rpm = 0", "max_rpm"),
        ("max_rpm = 8000", 'max_rpm = "fast"', "not a number"),
        ('kind = "mill"', 'kind = "mil"', "mil"),
        ("x=[-10, 500.5]", "x=[500, -10]", "does not rise"),
        ("offsets_mm.G59", "offsets_mm.G60", "G60"),
        ('corner = "stop"', 'corner = "round"', "corner"),
        ('P="s"', 'P="min"', "min"),
        ("library = [9011, 9020]", 'library = ["O9011"]', "library"),
        ('inch="G70"', 'inch="inch"', "inch"),
        ("max_mm=[80, 60, 0]", "max_mm=[80, 60, -30]", "max_mm"),
        ("max_mm=[80, 60, 0]", "max_mm=[80, 60]", "max_mm"),
        ('shape="box"', 'shape="cone"', "cone"),
        ("number = 7", "number = 0", "number"),
        ("may_run_alone = true", "may_run_alone = 1", "may_run_alone"),
    ],
)
def test_a_value_that_cannot_be_meant_is_one_line(was: str, is_: str, told: str) -> None:
    assert was in MILL
    with pytest.raises(BadInput) as refused:
        read_leaving(MILL.replace(was, is_), "shop.toml")
    assert told in refused.value.line()
    assert "shop.toml" in refused.value.line()


def test_codes_are_read_with_or_without_a_nought() -> None:
    assert one(LATHE.replace('"M70"', '"M070"'), "L1").bar_feed == BarFeed("M70", 80.0)
    assert one(MILL.replace('"G70"', '"g070"'), "M1").inch_word == "G70"


BESIDE = """
bin_litres = 60
compensation = "wear"
fixed = [{name = "table", shape = "box", min_mm = [-9, -9, -9], max_mm = [9, 9, 0]}]
rotary = {a = {about = "-x", at_mm = [1, 2, 3]}}
"""


def test_what_stands_beside_the_work_and_what_turns_it() -> None:
    text = MILL.replace('corner = "stop"\n', f'corner = "stop"{BESIDE}', 1)
    text = text.replace(
        "holder_max_rpm = 9000", "holder_max_rpm = 9000\nholder_mm = 40\nstick_out_mm = 31\npoint_deg = 140", 1
    )
    (machine, *_), _ = read_leaving(text, "shop.toml")
    assert machine.bin_litres == 60.0
    assert machine.compensation == "wear"
    assert machine.fixed == (Fixed("table", BoxBlank((-9.0, -9.0, -9.0), (9.0, 9.0, 0.0))),)
    assert machine.rotary == {"A": RotaryAxis("x", backwards=True, at_mm=(1.0, 2.0, 3.0))}
    assert machine.doubts == ()
    tool = machine.tools[0]
    assert (tool.holder_mm, tool.stick_out_mm, math.degrees(tool.point_rad)) == (40.0, 31.0, pytest.approx(140.0))


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ('about = "-x"', 'about = "w"', "about"),
        ("rotary = {a", "rotary = {q", "rotary axis"),
        ("max_mm = [9, 9, 0]", "max_mm = [9, 9, -10]", "max_mm"),
        ("bin_litres = 60", "bin_litres = 0", "bin_litres"),
        ('compensation = "wear"', 'compensation = "both"', "compensation"),
    ],
)
def test_what_cannot_be_meant_beside_the_work_is_refused(was: str, now: str, said: str) -> None:
    text = MILL.replace('corner = "stop"\n', f'corner = "stop"{BESIDE.replace(was, now)}', 1)
    with pytest.raises(BadInput, match=said):
        read_leaving(text, "shop.toml")
