"""What happens at a cutting edge: speeds, forces, power, time, life, roughness, bending of the tool. Formulas only.

Every station that cuts uses these. Which limit decides is the station's business.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


def spindle_rpm(speed_m_min: float, diameter_mm: float) -> float:
    """Spindle speed for a cutting speed: 1000 v / (pi D).

    Args:
        speed_m_min: cutting speed; > 0.
        diameter_mm: where it cuts; > 0.
    Returns: rpm.
    Source: definition.
    """
    return 1000.0 * speed_m_min / (math.pi * diameter_mm)


def cutting_speed(rpm: float, diameter_mm: float) -> float:
    """Cutting speed at a spindle speed: pi D n / 1000.

    Args:
        rpm: spindle speed.
        diameter_mm: where it cuts.
    Returns: m/min.
    Source: definition.
    """
    return math.pi * diameter_mm * rpm / 1000.0


def specific_force(kc11_mpa: float, mc: float, chip_mm: float | FloatArray) -> float | FloatArray:
    """Specific cutting force at a chip thickness (Kienzle): kc11 h ** -mc.

    Args:
        kc11_mpa: specific cutting force at a chip of 1 x 1 mm; > 0.
        mc: how steeply it falls with chip thickness; 0 <= mc < 1.
        chip_mm: uncut chip thickness, one or (n,); > 0.
    Returns: MPa, of the shape of chip_mm.
    Source: Kienzle 1952. Checked in tests/checks/test_cutting_force.py.
    """
    return kc11_mpa * chip_mm**-mc


def cutting_force(kc11_mpa: float, mc: float, *, chip_mm: float, width_mm: float) -> float:
    """Main cutting force on an edge (Kienzle): kc11 b h ** (1 - mc).

    Args:
        kc11_mpa: specific cutting force at a chip of 1 x 1 mm; > 0.
        mc: how steeply it falls with chip thickness; 0 <= mc < 1.
        chip_mm: uncut chip thickness; > 0.
        width_mm: width of the chip along the edge; >= 0.
    Returns: force along the cutting speed, N.
    Raises: ValueError: an argument out of range.
    Source: Kienzle 1952. Checked in tests/checks/test_cutting_force.py.
    """
    if kc11_mpa <= 0 or not 0 <= mc < 1 or chip_mm <= 0 or width_mm < 0:
        raise ValueError(f"cutting_force: {kc11_mpa!r} MPa, mc {mc!r}, chip {chip_mm!r}, width {width_mm!r}")
    return kc11_mpa * width_mm * chip_mm ** (1.0 - mc)


def turning_force(kc11_mpa: float, mc: float, *, depth_mm: float, feed_mm_rev: float, lead_rad: float) -> float:
    """Main cutting force in turning: chip f sin k thick and a / sin k wide.

    Args:
        kc11_mpa, mc: of the material.
        depth_mm: depth of cut a; >= 0.
        feed_mm_rev: feed f; > 0.
        lead_rad: angle k between edge and feed; 0 < k < pi.
    Returns: N.
    Raises: ValueError: an argument out of range.
    Source: Kienzle 1952. Checked in tests/checks/test_cutting_force.py.
    """
    sin = math.sin(lead_rad)
    return cutting_force(kc11_mpa, mc, chip_mm=feed_mm_rev * sin, width_mm=depth_mm / sin)


def cutting_power_w(force_n: float, speed_m_min: float) -> float:
    """Power at the edge: F v / 60.

    Args:
        force_n: along the cutting speed.
        speed_m_min: cutting speed.
    Returns: W.
    Source: definition. Checked in tests/checks/test_turning.py.
    """
    return force_n * speed_m_min / 60.0


def spindle_torque_nm(power_w: float, rpm: float) -> float:
    """Torque at the spindle: 30 P / (pi n).

    Args:
        power_w: at the spindle.
        rpm: > 0.
    Returns: Nm.
    Source: definition (9549 P/n with P in kW).
    """
    return 30.0 * power_w / (math.pi * rpm)


def facing_time_s(
    *, from_radius_mm: float, to_radius_mm: float, speed_m_min: float, feed_mm_rev: float, max_rpm: float
) -> float:
    """Time to face from one radius in to another at constant surface speed, held at the top speed near the centre.

    Args:
        from_radius_mm, to_radius_mm: outside and inside, from > to >= 0.
        speed_m_min: cutting speed kept as long as the spindle can; > 0.
        feed_mm_rev: > 0.
        max_rpm: the spindle's cap; > 0.
    Returns: s.
    Raises: ValueError: the radii do not shrink.
    Source: t = integral of pi D / (f v) dD / 2 while n <= cap. Checked in tests/checks/test_css.py.
    """
    if not from_radius_mm > to_radius_mm >= 0:
        raise ValueError(
            f"facing_time_s: from {from_radius_mm!r} must be above to {to_radius_mm!r} and that not below 0"
        )
    cap_mm = 1000.0 * speed_m_min / (2.0 * math.pi * max_rpm)
    turn_mm = min(max(cap_mm, to_radius_mm), from_radius_mm)
    kept_min = math.pi * (from_radius_mm**2 - turn_mm**2) / (1000.0 * speed_m_min * feed_mm_rev)
    capped_min = (turn_mm - to_radius_mm) / (max_rpm * feed_mm_rev)
    return 60.0 * (kept_min + capped_min)


def move_time_s(length_mm: float, speed_mm_min: float, accel_mm_s2: float) -> float:
    """Time of one move from rest to rest: L/v + v/a, or 2 sqrt(L/a) where full speed is never reached.

    Args:
        length_mm: >= 0.
        speed_mm_min: > 0.
        accel_mm_s2: speeding up and slowing down alike; > 0.
    Returns: s.
    Source: uniform acceleration.
    """
    v = speed_mm_min / 60.0
    if length_mm >= v * v / accel_mm_s2:
        return length_mm / v + v / accel_mm_s2
    return 2.0 * math.sqrt(length_mm / accel_mm_s2)


def life_s(speed_m_min: float, *, known_life_s: float, known_speed_m_min: float, exponent: float) -> float:
    """Life of an edge at another speed (Taylor): T = T0 (v0 / v) ** (1 / n).

    Args:
        speed_m_min: the speed asked; > 0.
        known_life_s, known_speed_m_min: one known pair; > 0.
        exponent: Taylor's n; 0 < n < 1.
    Returns: s.
    Source: Taylor 1907. Checked in tests/checks/test_taylor.py.
    """
    return known_life_s * (known_speed_m_min / speed_m_min) ** (1.0 / exponent)


def taylor_exponent(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    """Taylor's n and C from two (speed m/min, life min) pairs: v T ** n = C.

    Args:
        one, two: (m/min, min) each; different lives.
    Returns: (n, C in m/min for a life of one minute).
    Source: Taylor 1907. Checked in tests/checks/test_taylor.py.
    """
    n = math.log(one[0] / two[0]) / math.log(two[1] / one[1])
    return n, one[0] * one[1] ** n


def fastest_speed(exponent: float, constant_m_min: float, *, change_min: float) -> float:
    """Cutting speed of greatest output, tool changes counted: (n C ** (1/n) / ((1 - n) tc)) ** n.

    Args:
        exponent: Taylor's n.
        constant_m_min: Taylor's C.
        change_min: minutes to change the tool.
    Returns: m/min.
    Source: Ghosh and Mallik, example 4.28. Checked in tests/checks/test_taylor.py.
    """
    n = exponent
    return (n * constant_m_min ** (1.0 / n) / ((1.0 - n) * change_min)) ** n


def roughness_ra_um(feed_mm_rev: float, nose_mm: float) -> float:
    """Mean roughness that a round nose leaves: f**2 / (32 r).

    Args:
        feed_mm_rev: > 0.
        nose_mm: nose radius; > 0.
    Returns: Ra, micrometres.
    Source: geometry of the parabola. Checked in tests/checks/test_turning.py.
    """
    return 1000.0 * feed_mm_rev**2 / (32.0 * nose_mm)


def feed_for_roughness(ra_um: float, nose_mm: float) -> float:
    """Largest feed that a roughness allows: sqrt(32 r Ra).

    Args:
        ra_um: wanted mean roughness; > 0.
        nose_mm: nose radius; > 0.
    Returns: mm/rev.
    Source: as roughness_ra_um.
    """
    return math.sqrt(32.0 * nose_mm * ra_um / 1000.0)


def mean_chip_mm(tooth_feed_mm: float, *, diameter_mm: float, width_mm: float) -> float:
    """Mean chip thickness of a milling tooth over its arc: fz ae / (R phi).

    Args:
        tooth_feed_mm: feed per tooth; > 0.
        diameter_mm: of the cutter.
        width_mm: radial engagement, at most the diameter.
    Returns: mm.
    Source: chip area over arc length. Checked in tests/checks/test_cutting_force.py.
    """
    arc_rad = math.acos(1.0 - 2.0 * width_mm / diameter_mm)
    return 2.0 * tooth_feed_mm * width_mm / (diameter_mm * arc_rad)


def milling_load(
    kc11_mpa: float, mc: float, *, diameter_mm: float, teeth: int, tooth_mm: float, width_mm: float
) -> tuple[float, float]:
    """What a millimetre of depth asks of a milling cutter: torque at its spindle, force across it.

    Args:
        kc11_mpa, mc: of the material.
        diameter_mm: of the cutter; > 0.
        teeth: of the cutter.
        tooth_mm: feed per tooth; > 0.
        width_mm: radial engagement; > 0, at most the diameter.
    Returns: (Nm, N), each per mm of depth.
    Source: Kienzle 1952 at the mean chip; teeth in cut by the arc. Checked in tests/checks/test_cutting_force.py.
    """
    width_mm = min(width_mm, diameter_mm)
    chip_mm = mean_chip_mm(tooth_mm, diameter_mm=diameter_mm, width_mm=width_mm)
    one_n = cutting_force(kc11_mpa, mc, chip_mm=chip_mm, width_mm=1.0)
    in_cut = teeth * math.acos(1.0 - 2.0 * width_mm / diameter_mm) / (2.0 * math.pi)
    return one_n * in_cut * diameter_mm / 2000.0, one_n * max(in_cut, 1.0)


def drilling(
    kc11_mpa: float, mc: float, *, diameter_mm: float, feed_mm_rev: float, point_rad: float
) -> tuple[float, float]:
    """Torque and thrust of a drill: kc f D**2 / 8000 and half of kc f D / 2 sin(point / 2).

    Args:
        kc11_mpa, mc: of the material.
        diameter_mm: > 0.
        feed_mm_rev: > 0.
        point_rad: full point angle.
    Returns: (Nm, N).
    Source: Kienzle 1952 on two lips; thrust: common practice. Checked in tests/checks/test_cutting_force.py.
    """
    sin = math.sin(point_rad / 2.0)
    kc = float(specific_force(kc11_mpa, mc, feed_mm_rev / 2.0 * sin))
    return kc * feed_mm_rev * diameter_mm**2 / 8000.0, 0.5 * kc * feed_mm_rev * diameter_mm / 2.0 * sin


def tool_bend_mm(force_n: float, *, length_mm: float, diameter_mm: float, e_mpa: float, core: float = 1.0) -> float:
    """How far a tool bends at its tip: F L**3 / (3 E I), with I = pi (core d)**4 / 64.

    Args:
        force_n: across the tool at its tip.
        length_mm: stick-out.
        diameter_mm: of the tool; > 0.
        e_mpa: of the tool's material.
        core: share of the diameter that carries (fluted tools about 0.8).
    Returns: mm.
    Source: beam fixed at one end. Checked in tests/checks/test_turning.py.
    """
    second_mm4 = math.pi * (core * diameter_mm) ** 4 / 64.0
    return force_n * length_mm**3 / (3.0 * e_mpa * second_mm4)


def thread_depths_mm(height_mm: float, *, passes: int, first_share: float) -> tuple[float, ...]:
    """How deep a thread is after each pass, so that the chip falls: H sqrt(k / (n - 1)), k = first share, 1, 2, ...

    Args:
        height_mm: whole depth of the thread on the radius; > 0.
        passes: n; >= 2.
        first_share: what the first pass counts as; 0 < first_share < 1.
    Returns: depth after each pass, mm; the last is the whole.
    Raises: ValueError: fewer than two passes.
    Source: insert makers' handbooks, from memory. Checked in tests/checks/test_threading.py.
    """
    if passes < 2:
        raise ValueError(f"thread_depths_mm: passes {passes!r} must be at least 2")
    return tuple(height_mm * math.sqrt((k or first_share) / (passes - 1)) for k in range(passes))


def thread_force(kc11_mpa: float, mc: float, *, deep_mm: float, infeed_mm: float) -> float:
    """Main cutting force of one radial pass in a 60 degree groove: both flanks cut, infeed / 2 thick.

    Args:
        kc11_mpa, mc: of the material.
        deep_mm: depth of the groove after the pass; > 0.
        infeed_mm: of the pass, on the radius; > 0.
    Returns: N.
    Raises: ValueError: an argument out of range.
    Source: Kienzle 1952 on the two flanks, each deep / cos 30 wide. Checked in tests/checks/test_threading.py.
    """
    half = math.radians(30.0)
    return cutting_force(
        kc11_mpa, mc, chip_mm=infeed_mm * math.sin(half), width_mm=2.0 * deep_mm / math.cos(half)
    )  # fmt: skip


def tapping_torque_nm(specific_mpa: float, *, diameter_mm: float, pitch_mm: float) -> float:
    """Torque of a sharp tap or die: P**2 D kc / 8000, about a quarter of P squared of metal at half the diameter.

    Args:
        specific_mpa: specific cutting force at the tap's chip.
        diameter_mm, pitch_mm: of the thread; > 0.
    Returns: Nm.
    Source: tap makers' handbooks, from memory. Checked in tests/checks/test_threading.py.
    """
    return pitch_mm**2 * diameter_mm * specific_mpa / 8000.0
