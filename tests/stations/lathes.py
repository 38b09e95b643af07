"""What a lathe may have besides: driven tools, collets; for tests."""

from __future__ import annotations

from dataclasses import replace

from steadyrest.shop.floor import Machine, Tool

DRIVEN: dict[str, object] = {
    "driven_max_rpm": 4000.0, "driven_power_w": 2000.0, "driven_torque_nm": 12.0, "c_axis": True,
}  # fmt: skip
COLLETS: dict[str, object] = {
    "collet_mm": (4.0, 60.0), "collet_grip_n": 20000.0, "collet_max_rpm": 4000.0, "collet_run_out_mm": 0.01,
}  # fmt: skip


def driven_tools(machine: Machine) -> tuple[Tool, ...]:
    """A cutter and two drills that turn themselves, for a lathe."""
    one = next(tool for tool in machine.tools if tool.kind == "drill")
    made = {"made_of": "carbide", "holder_max_rpm": 6000.0, "driven": True, "max_depth_mm": 60.0}
    return (
        replace(one, number=91, kind="slot drill", role="finish", diameter_mm=8.0, length_mm=30.0, **made),
        replace(one, number=92, diameter_mm=5.0, length_mm=60.0, **made),
        replace(one, number=93, diameter_mm=6.0, length_mm=60.0, **made),
    )
