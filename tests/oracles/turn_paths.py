"""A turning program written out: facing, roughing in layers along the whole side, finishing along the profile.

Written from the description alone, sharing nothing with the station whose times it judges: layers of one depth from the
blank inwards, each as far as the finished shape with its allowance lets it go, out, and back in rapid; then once along
the shape at roughing feed to take off the steps, and once along it at finishing feed. Surface speed is held.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass
class Turning:
    """How it is turned. rough, fine, face: (feed mm/rev, surface speed m/min, highest rpm). steps_mm: home and back."""

    raw_mm: float
    depth_mm: float
    allowance_mm: float
    faced_mm: float
    face_depth_mm: float
    rough: tuple[float, float, float]
    fine: tuple[float, float, float]
    face: tuple[float, float, float]
    home_mm: float
    approach_mm: float
    retract_mm: float
    controlled: bool


Steps = list[tuple[float, float, float]]  # length, diameter at its outer end, diameter at its inner end; from the end


def speed(how: tuple[float, float, float], diameter: float, controlled: bool) -> list[str]:
    """Surface speed held up to a cap; by hand the one speed of the largest diameter."""
    feed, surface, cap = how
    if controlled:
        return [f"G50 S{cap:.1f}", f"G96 S{surface:.3f} M3", f"G95 F{feed:.5f}"]
    rpm = min(cap, 1000.0 * surface / (3.14159265358979 * diameter))
    return [f"G97 S{rpm:.2f} M3", f"G95 F{feed:.5f}"]


def reach(steps: Steps, diameter: float, allowance: float) -> float:
    """How far in from the end a tool at this diameter comes before the shape with its allowance."""
    at = 0.0
    for length, outer, inner in steps:
        low, high = sorted((outer + allowance, inner + allowance))
        if high <= diameter + 1e-9:
            at += length
        elif low >= diameter - 1e-9:
            return at
        else:
            return at + length * (diameter - outer - allowance) / (inner - outer)
    return at


def side_program(steps: Steps, how: Turning) -> str:
    """The program of one side. Z0 is its finished end face, X a diameter, minus Z towards the jaws."""
    lines = ["%", "G21 G90 G18", f"G0 X{how.raw_mm + 2 * how.home_mm:.4f} Z{how.home_mm:.4f}"]
    home = f"G0 X{how.raw_mm + 2 * how.home_mm:.4f} Z{how.home_mm:.4f}"
    # The end: whole depths, and a thin one.
    lines += ["T0101", *speed(how.face, how.raw_mm, how.controlled)]
    passes = max(-(-how.faced_mm // how.face_depth_mm), 1) + 1 if how.faced_mm > 0 else 0
    for k in range(int(passes)):
        z = how.faced_mm * (1 - (k + 1) / passes)
        lines.append(f"G0 X{how.raw_mm + 2 * how.approach_mm:.4f} Z{z:.4f}")
        lines.append("G1 X0.")
        lines.append(f"G0 Z{z + how.retract_mm:.4f}")
    lines.append(home)
    # Layers.
    lines += ["T0202", *speed(how.rough, how.raw_mm, how.controlled)]
    least = min(min(outer, inner) for _, outer, inner in steps) + how.allowance_mm
    diameter = how.raw_mm - 2 * how.depth_mm
    while diameter > least + 1e-6:
        z = reach(steps, diameter, how.allowance_mm)
        if z > 0:
            lines.append(f"G0 X{diameter:.4f} Z{how.approach_mm:.4f}")
            lines.append(f"G1 Z{-z:.4f}")
            lines.append(f"G0 X{diameter + 2 * how.retract_mm:.4f} Z{-z + how.retract_mm:.4f}")
            lines.append(f"G0 Z{how.approach_mm:.4f}")
        diameter -= 2 * how.depth_mm
    lines += along(steps, how, how.allowance_mm)
    lines.append(home)
    lines += ["T0303", *speed(how.fine, max(d for _, _, d in steps), how.controlled)]
    lines += along(steps, how, 0.0)
    lines += [home, "M5", "M30", "%", ""]
    return "\n".join(lines)


def along(steps: Steps, how: Turning, allowance: float) -> list[str]:
    """Once along the shape, shoulders included."""
    lines = [f"G0 X{steps[0][1] + allowance:.4f} Z{how.approach_mm:.4f}"]
    at, before = 0.0, steps[0][1]
    for length, outer, inner in steps:
        if abs(outer - before) > 1e-9:
            lines.append(f"G1 X{outer + allowance:.4f}")
        at += length
        lines.append(f"G1 X{inner + allowance:.4f} Z{-at:.4f}")
        before = inner
    lines.append(f"G1 X{min(before + 2 * how.approach_mm, how.raw_mm + 1):.4f}")
    return lines
