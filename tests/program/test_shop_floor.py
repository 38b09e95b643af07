"""Programs written by hand as small shops write them, each clean, and each with one fault: said once, where it stands.

What is right here follows from the programs by hand; no outside source. The shop and its programs are invented.
"""

from __future__ import annotations

from pathlib import Path

import manifold3d
import numpy as np
import pytest

from steadyrest.desk.night.leave import ShopText, leave_bytes
from steadyrest.program.leave import LeavingAnswer
from steadyrest.wording.say import say

HERE = Path(__file__).parent / "shop_floor"
SHOP = (HERE / "shop.toml").read_text()
MACHINES = {
    "plate": "mill", "inch": "mill", "macro": "mill", "sub": "mill", "contour": "mill", "bore": "mill", "hold": "mill",
    "probe": "mill", "rot": "rotarymill", "lathe": "lathe", "bushing": "lathe", "stud": "lathe",
}  # fmt: skip


def judged(name: str, was: str = "", now: str = "", shop: str = SHOP, **more) -> LeavingAnswer:
    text = (HERE / f"{name}.nc").read_text()
    assert was in text
    text = text.replace(was, now) if was else text
    return leave_bytes(
        text.encode(), f"{name}.nc", machine=MACHINES[name], shop=ShopText(shop, "shop.toml"),
        progress=lambda _what, _share: None, stop=lambda: False, **more,
    )  # fmt: skip


def told(answer: LeavingAnswer) -> list[tuple[str, int | None]]:
    return [(one.kind, one.line) for one in answer.findings]


def said(answer: LeavingAnswer) -> str:
    return " / ".join(say(one) for one in answer.doubts)


@pytest.mark.parametrize("name", MACHINES)
def test_a_clean_program_is_a_yes(name: str) -> None:
    answer = judged(name)
    assert told(answer) == []
    assert answer.may_leave == "yes"


@pytest.mark.parametrize(
    ("name", "was", "now", "expected"),
    [
        ("plate", "X50. Y30.\nZ2.\nG1 Z-6. F80", "X50. Y30.\nZ-6.\nG1 Z-6. F80", [("rapid", 35)]),
        ("plate", "G43 H5 Z50. M8", "G43 H5 Z50.", [("coolant", 60)]),
        ("plate", "M29 S500", "M31 S500", [("word", 69)]),
        ("plate", "G91 G28 Z0.\nG28 X0. Y0.", "M0\nG91 G28 Z0.\nG28 X0. Y0.", [("stop", 77)]),
        ("inch", "N60 G01 Z-.25 F20.\nN70 G01 X-.2362 F20.", "N60 G01 Z-.25\nN70 G01 X-.2362", [("feed", 8)]),
        ("inch", "G20 ", "", [("units", 5)]),
        ("macro", "#11=#11+1\n", "", [("loop", 19)]),
        ("macro", "G1 Z-2.5 F150", "G0 Z-2.5", [("rapid", 16)]),
        ("sub", "G0 X70. Y10.\nM98 P4100", "G0 X70. Y10.\nM98 P4200", [("subprogram", 11)]),
        ("sub", "S4000", "S9000", [("speed", 5)]),
        ("contour", "I0. J-.4", "I0. J-.46", [("arc", 13)]),
        ("bore", " S5000 M3", " S5000", [("dead spindle", 10)]),
        ("bore", "G53 G0 Z0", "G53 G0 Z50.", [("travel", 17)]),
        ("hold", "T1 M6", "T9 M6", [("tool missing", 20)]),
        ("rot", "A90.\nX-30. Y0\nZ21.", "A90.\nX0\nZ15.\nX-30.", [("rapid", 13)]),
        ("lathe", "G1 Z-24. F0.25", "G0 Z-24.", [("rapid", 11)]),
        ("lathe", "G0 X38. Z-25.\n", "G0 X38. Z-65.\n", [("collision", 39)]),
        ("lathe", "N1 G50 S3000", "N1 G50 S6000", [("speed", 8)]),
        ("bushing", "X1.3\nG1 Z-.5", "X1.3\nG0 Z-.5", [("rapid", 19)]),
        ("bushing", "T0101", "T1212", [("tool missing", 11)]),
        ("stud", "G96 S160 M3", "G96 S160 M5", [("dead spindle", 9)]),
    ],
)
def test_a_fault_is_said_once_at_its_line(
    name: str, was: str, now: str, expected: list[tuple[str, int | None]]
) -> None:
    answer = judged(name, was, now)
    assert told(answer) == expected
    assert answer.may_leave != "yes"


def with_jaw(top_mm: float) -> str:
    jaw = f'fixed = [{{name = "jaw", shape = "box", min_mm = [0, 61, -60], max_mm = [100, 90, {top_mm}]}}]'
    return SHOP.replace('[program."plate.nc"]', f'[program."plate.nc"]\n{jaw}')


def test_a_jaw_that_stands_in_the_way_is_a_collision_and_one_below_the_cut_is_none() -> None:
    assert told(judged("plate", shop=with_jaw(-6.0))) == [("collision", 28)]
    assert told(judged("plate", shop=with_jaw(-8.0))) == []


def test_a_holder_that_goes_into_the_work_is_told_and_more_stick_out_cures_it() -> None:
    deep = SHOP.replace("min_mm = [-1, -1, -26]", "min_mm = [-1, -1, -61]")
    assert told(judged("plate", "G1 Z-6. F80", "G1 Z-48. F80", shop=deep)) == [("holder", 36)]
    longer = deep.replace("stick_out_mm = 40", "stick_out_mm = 60")
    assert told(judged("plate", "G1 Z-6. F80", "G1 Z-48. F80", shop=longer)) == []


def test_chips_fill_a_small_bin_and_not_a_large_one() -> None:
    small = SHOP.replace("bin_litres = 80", "bin_litres = 2")
    answer = judged("lathe", shop=small)
    assert told(answer) == [("chips", None)]
    assert "parts at most" in say(answer.findings[0].do)
    # 29 parts from a bar of 35: each a face 1 thick, the ring round 30, a hole of 8 whose tip is at -28, a groove of 3.
    assert answer.met is not None
    face, ring, hole = 35**2 * 1, (35**2 - 30**2) * 24, 8**2 * (28 - 1.6)
    groove = (30**2 - 8**2) * 2 + (35**2 - 8**2) * 1
    by_hand_mm3 = np.pi / 4 * (face + ring + hole + groove)
    assert answer.met.removed_mm3.sum() / 29 == pytest.approx(by_hand_mm3, rel=0.01)
    half = judged("lathe", shop=SHOP.replace("bin_litres = 80", "bin_litres = 4"))
    assert told(half) == []
    assert any("empty the chip bin" in say(one) for one in half.before_leaving)


def part(deep_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """The finished plate: its outside 8 deep, the pocket with what the circle in it takes, four holes."""
    base = manifold3d.Manifold.cube((102.0, 62.0, 18.0)).translate((-1.0, -1.0, -26.0))
    solid = base + manifold3d.Manifold.cube((100.0, 60.0, 9.0)).translate((0.0, 0.0, -9.0))
    solid -= manifold3d.Manifold.cube((34.0, 22.0, 10.0)).translate((33.0, 19.0, -deep_mm))
    for x in (12.0, 88.0):
        for y in (12.0, 48.0):
            solid -= manifold3d.Manifold.cylinder(40.0, 2.55, 2.55, 180).translate((x, y, -22.0))
    mesh = solid.to_mesh()
    return np.array(mesh.vert_properties[:, :3], dtype=np.float64), np.array(mesh.tri_verts, dtype=np.int64)


def test_a_program_that_keeps_to_the_part_gouges_nothing_and_one_that_goes_too_deep_does() -> None:
    right = judged("plate", part=part(6.0))
    assert told(right) == []
    assert "T4, T6: threads, chamfers and centres" in said(right)
    wrong = judged("plate", part=part(5.0))
    assert told(wrong) == [("gouge", 36)]
    assert "1 mm below" in say(wrong.findings[0].what)


def test_a_radius_that_nobody_knows_is_a_doubt_and_no_gouge() -> None:
    unknown = SHOP.replace('compensation = "radius"\n', "")
    answer = judged("plate", shop=unknown, part=part(6.0))
    assert told(answer) == []
    assert "T2: the radius under D is not known" in said(answer)


def test_what_a_probe_decides_is_a_doubt() -> None:
    assert "what is probed decides which way" in said(judged("probe"))
    assert "what is probed decides" not in said(judged("probe", "IF [#100 LT -1.] GOTO 90\n", ""))


def test_a_bar_of_many_parts_is_judged_part_by_part() -> None:
    answer = judged("lathe")
    assert answer.met is not None
    assert answer.good_parts is not None
    assert answer.good_parts.parts == 29
    by_part = np.array_split(answer.met.removed_mm3, 29)
    assert np.allclose([one.sum() for one in by_part], by_part[0].sum())


def test_too_many_rapids_into_the_work_are_one_finding_with_their_number() -> None:
    high = judged("plate", shop=SHOP.replace("max_mm = [101, 61, 1]", "max_mm = [101, 61, 6]"))
    assert {kind for kind, _ in told(high)} == {"rapid"}
    assert len(told(high)) <= 9


def test_a_loop_that_cuts_the_same_line_for_ever_is_told_at_once_and_one_that_goes_on_is_none() -> None:
    answer = judged("macro", "#11=#11+1\n", "")
    assert len(answer.run.moves) < 50
    counted = judged("macro", "#10=0\n", "#10=0\n#20=0\nWHILE [#20 LT 50] DO3\nG0 Z4.\nG0 Z5.\n#20=#20+1\nEND3\n")
    assert told(counted) == []
    assert len(counted.run.moves) > 100
