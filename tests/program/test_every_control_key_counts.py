"""Changing any key of a control that docs/shop-file.md lists changes the leaving check: its time, findings or doubts.

Two small programs that use what each key is about; by the table of the page, so that a key added there is under it at
once. What the plan asks of a machine is in tests/route/test_every_limit_counts.py.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from steadyrest.desk.night.leave import ShopText, leave_bytes

PAGE = (Path(__file__).parents[2] / "docs" / "shop-file.md").read_text(encoding="utf-8")
MILL = """%
G21 G17 G90 G54
T1 M6
S1000 M3
G43 H1 Z50. M8
G0 X0. Y0.
Z5.
G1 Z-2. F200
G41 D1 X5. Y0.
X30.
G40 Y20. F1800
G2 X10.05 Y20. I-10. J0.
G1 X5. Y25.
X8. Y27.
X5. Y30.
G0 Z50.
G83 X40. Y5. R2. Z-12. Q3. F100
G80
G4 P500
M1
M29
G65 P9011 I9.9 K10.1
M98 P1234
A90.
G0 Z100.
M30
%
"""
LATHE = """%
G21 G18 G90 G54
T0101
G50 S2000
G96 S180 M3
G0 X60. Z2.
M8
G1 X0. F0.2
G0 X42. Z2.
G1 Z-30. F0.25
G0 X80. Z50.
M70
M30
%
"""
SHOP = """
[machine.mill]
kind = "mill"
may_run_alone = true
max_rpm = 4000
rapid_mm_min = {x = 4000, y = 4000, z = 2000}
accel_mm_s2 = 350
tool_change_s = 10
travel_mm = {x = [-500, 500], y = [-500, 500], z = [-500, 500]}
offsets_mm.G54 = {x = 10, y = 10, z = -100}
[[machine.mill.tool]]
number = 1
kind = "end mill"
diameter_mm = 10
length_mm = 60
life_s = 3000
[machine.lathe]
kind = "lathe"
may_run_alone = true
max_rpm = 3000
chuck_max_rpm = 2500
rapid_mm_min = {x = 5000, z = 8000}
accel_mm_s2 = 700
tool_change_s = 3
travel_mm = {x = [-50, 300], z = [-500, 500]}
offsets_mm.G54 = {x = 0, y = 0, z = 200}
[[machine.lathe.tool]]
number = 1
kind = "turning"
role = "rough"
length_mm = 30
life_s = 3000
[program."mill.nc"]
blank = {shape = "box", min_mm = [-10, -10, -30], max_mm = [60, 40, 0]}
material = "C45"
[program."lathe.nc"]
blank = {shape = "round", diameter_mm = 50, z_mm = [-60, 1]}
bar = {length_mm = 700, per_part_mm = 600}
"""
# Another value of each, and what must stand beside it so that it can count.
MILL_KEYS = {
    "unit_words": 'unit_words = {inch = "G70", metric = "G71"}',
    "offsets_mm": "offsets_mm.G54 = {x = 490, y = 10, z = -100}",
    "corner": 'corner = "rounded"',
    "corner_mm": 'corner = "rounded"\ncorner_mm = 2.0',
    "arc_tolerance_mm": "arc_tolerance_mm = 0.5",
    "dwell": 'dwell = {P = "s", X = "s"}',
    "peck_clear_mm": "peck_clear_mm = 3.0",
    "optional_stop_switch": "optional_stop_switch = true",
    "hold_point_calls": "library = [9011]\nhold_point_calls = [9011]",
    "library": "library = [1234]",
    "extra_words": 'extra_words = ["M29"]',
    "compensation": 'compensation = "radius"',
    "bin_litres": "bin_litres = 0.001",
    "fixed": 'fixed = [{name = "vise", shape = "box", min_mm = [-50, -50, -160], max_mm = [100, 100, -60]}]',
    "rotary": 'rotary = {A = {about = "x"}}',
}
LATHE_KEYS = {
    "travel_mm": "travel_mm = {x = [0, 20], z = [-500, 500]}",
    "x_is_diameter": "x_is_diameter = false",
    "tool_word": 'tool_word = "TT"',
    "speed_clamp_words": 'speed_clamp_words = ["G92"]',
    "bar_feed": 'bar_feed = {word = "M70", rest_mm = 200}',
}
BEFORE = {"corner_mm": 'corner = "rounded"', "hold_point_calls": "library = [9011]"}
ELSEWHERE = {
    "watched_folder": "tests/desk/night/test_releasing.py"
}  # where a checked program goes, not what is checked


def outcome(machine: str, line: str) -> str:
    """All that the check says, with one more line in the machine's table."""
    key, head = line.split(" ", 1)[0], f"[machine.{machine}]\n"
    before, own = SHOP.split(head)
    own, after = own.split("[[", 1)
    own = "\n".join(old for old in own.splitlines() if not key or not old.startswith(f"{key} "))
    text = f"{before}{head}{line}\n{own}\n[[{after}"
    source = {"mill": MILL, "lathe": LATHE}[machine]
    answer = leave_bytes(
        source.encode(), f"{machine}.nc", machine=machine, shop=ShopText(text, "shop.toml"),
        progress=lambda _what, _share: None, stop=lambda: False,
    )  # fmt: skip
    return repr((answer.time, answer.findings, answer.doubts, answer.may_leave, answer.hold_points))


def listed(heading: str, until: str) -> Iterator[str]:
    """The keys of one table of the page."""
    part = PAGE[PAGE.index(heading) :]
    yield from re.findall(r"(?m)^\| `([a-z_0-9]+)` \|", part[: part.index(until, len(heading))])


def test_the_keys_tried_are_those_that_the_page_lists() -> None:
    control = set(listed("What the leaving check needs besides", "### A lathe\n"))
    assert control == set(MILL_KEYS) | set(ELSEWHERE)
    lathe = list(listed("### A lathe\n", "### A mill\n"))
    assert set(lathe[lathe.index("travel_mm") :]) == set(LATHE_KEYS)


@pytest.mark.parametrize("key", MILL_KEYS)
def test_changing_a_control_s_key_changes_what_the_leaving_check_says_of_a_mill_program(key: str) -> None:
    before = outcome("mill", BEFORE.get(key, ""))
    assert outcome("mill", MILL_KEYS[key]) != before


@pytest.mark.parametrize("key", LATHE_KEYS)
def test_changing_a_control_s_key_changes_what_the_leaving_check_says_of_a_lathe_program(key: str) -> None:
    assert outcome("lathe", LATHE_KEYS[key]) != outcome("lathe", "")
