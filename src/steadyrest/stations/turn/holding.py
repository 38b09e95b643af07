"""How one side is held: in the chuck alone, or between chuck and centre; and all that the lathe says about its size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.shop.part import Stretch
from steadyrest.stations.answer import Ask
from steadyrest.stations.turn.beam import Beam
from steadyrest.stations.turn.clamping import Clamping
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Hold:
    """How it is held, why, which cautions go with it, how it springs.

    grip_n: at rest. steady: one in its middle. most_rpm: what turns with it allows no more; None: as what holds it.
    """

    centre: bool
    beam: Beam
    why: Reason
    cautions: tuple[Reason, ...]
    grip_n: Figure
    steady: bool = False
    collet: bool = False
    most_rpm: Figure | None = None

    def rpm_limit(self, limits: LatheLimits) -> Figure:
        """The fastest that what holds it may turn, and what turns with it."""
        if self.most_rpm is not None:
            return self.most_rpm
        if self.collet:
            return Figure(limits.collet_max_rpm, "rpm", (because("turn.rpm_collet"),))
        return Figure(limits.chuck_max_rpm, "rpm", (because("turn.rpm_chuck"),))


def grip_at(hold: Hold, limits: LatheLimits, rpm: float) -> Figure:
    """What the jaws still hold at a speed: their own weight pulls them outwards, with its square.

    Args:
        hold: with the grip at rest.
        limits: of the lathe; its chuck's fastest speed is where most of the grip is gone.
        rpm: of the spindle.
    Returns: N, with why.
    Source: centrifugal force; the loss at the fastest speed as chuck standards set it (ISO 16156, from memory).
    """
    if hold.collet:  # closed by a cone: its parts have no weight to speak of
        return hold.grip_n
    share = max(1.0 - rule("jaw_loss_share") * (rpm / limits.chuck_max_rpm) ** 2, 0.0)
    lost = because("turn.grip_speed", rpm=rpm, left_n=hold.grip_n.value * share, rest_n=hold.grip_n.value)
    return Figure(hold.grip_n.value * share, "N", (lost, *hold.grip_n.why))


def too_big(machine: Machine, limits: LatheLimits, clamping: Clamping) -> list[Reason]:
    """Every size and weight of this lathe that the work exceeds.

    Args:
        machine: the lathe.
        limits: its limits.
        clamping: the side.
    Returns: reasons, empty if it fits.
    """
    found: list[Reason] = []

    def over(key: str, has: float, allowed: float) -> None:
        if has > allowed:
            found.append(because(key, machine=machine.name, has_mm=has, allowed_mm=allowed, over_mm=has - allowed))

    long_work = clamping.reach_mm > clamping.raw_mm
    over("turn.swing", clamping.raw_mm, limits.swing_mm)
    if long_work:
        over("turn.swing_over_slide", clamping.raw_mm, limits.swing_over_slide_mm)
    over("turn.between_centres", clamping.outside_mm, limits.between_centres_mm)
    if clamping.squared:
        found.extend(_not_squared(machine, limits, clamping))
    in_collet = clamping.squared or collet_fits(limits, clamping.grip_mm)
    if not in_collet:
        over("turn.chuck_largest", clamping.grip_mm, limits.chuck_largest_mm)
    if clamping.grip_mm < limits.chuck_smallest_mm and not in_collet:
        short = limits.chuck_smallest_mm - clamping.grip_mm
        found.append(
            because(
                "turn.chuck_smallest", machine=machine.name, has_mm=clamping.grip_mm,
                allowed_mm=limits.chuck_smallest_mm, over_mm=short,
            )
        )  # fmt: skip
    if clamping.mass_kg > limits.max_load_kg:
        found.append(because("turn.load", machine=machine.name, has_kg=clamping.mass_kg, allowed_kg=limits.max_load_kg))
    wanted_mm = clamping.wanted_jaws_mm
    if clamping.jaws_mm < wanted_mm - 1e-6:
        found.append(because("turn.grip_short", machine=machine.name, has_mm=clamping.jaws_mm, wanted_mm=wanted_mm))
    return found


def _not_squared(machine: Machine, limits: LatheLimits, clamping: Clamping) -> tuple[Reason, ...]:
    """Why four jaws do not hold a square blank; empty where they do."""
    if limits.four_jaw_mm is None:
        return (because("turn.four_jaw_none", machine=machine.name),)
    low, high = limits.four_jaw_mm
    if low <= clamping.grip_mm <= high:
        return ()
    return (
        because("turn.four_jaw_size", machine=machine.name, has_mm=clamping.grip_mm, smallest_mm=low, largest_mm=high),
    )


def collet_fits(limits: LatheLimits, grip_mm: float) -> bool:
    """Whether a collet of this lathe closes on a diameter.

    Args:
        limits: of the lathe.
        grip_mm: the diameter.
    Returns: whether one does.
    """
    if limits.collet_mm is None:
        return False
    return limits.collet_mm[0] <= grip_mm <= min(limits.collet_mm[1], limits.spindle_bore_mm)


def jaws_grip(limits: LatheLimits) -> Figure:
    """What the chuck's jaws hold against at rest, N.

    Args:
        limits: of the lathe.
    Returns: by friction and with safety, with why.
    """
    friction, safety = rule("jaw_friction"), rule("holding_safety")
    why = because("turn.grip", grip_n=limits.chuck_grip_n, friction=friction, safety=safety)
    return Figure(limits.chuck_grip_n * friction / safety, "N", (why,))


def holds(
    ask: Ask, machine: Machine, limits: LatheLimits, clamping: Clamping
) -> tuple[tuple[Hold, ...], tuple[Reason, ...]]:
    """The ways of holding this side that its slenderness leaves, the simplest first.

    Args:
        ask: what is asked.
        machine: the lathe.
        limits: its limits.
        clamping: the side.
    Returns: (ways, why the others are not among them).
    """
    grip = jaws_grip(limits)
    ways: list[Hold] = []
    refused: list[Reason] = []
    if clamping.squared:
        return _in_four_jaws(ask, clamping, grip)
    collet = _in_collet(ask, machine, limits, clamping)
    if isinstance(collet, Hold):
        ways.append(collet)
    elif collet is not None:
        refused.append(collet)
    plain = clamping.beam(ask.material.e_mpa, centre=False)
    ratio = plain.length_mm / plain.mean_mm
    chucked = limits.chuck_smallest_mm <= clamping.grip_mm <= limits.chuck_largest_mm
    if not chucked:
        return tuple(ways), tuple(refused)
    if ratio <= rule("stick_out_ratio"):
        why = because(
            "turn.hold_chuck", diameter_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm
        )
        ways.append(Hold(False, plain, why, cautions_of(clamping), grip))
    else:
        refused.append(
            because("turn.stick_out", ratio=ratio, allowed=rule("stick_out_ratio"), reach_mm=clamping.reach_mm)
        )
    missing = _no_centre(machine, limits, clamping.stretches)
    if missing:
        refused.append(missing)
        if rule("stick_out_ratio") < ratio <= rule("stick_out_most_ratio"):
            # No centre to be had: what springs is reckoned, what whips is watched.
            why = because(
                "turn.hold_chuck", diameter_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm
            )
            whips = because("caution.whips", ratio=ratio, usual=rule("stick_out_ratio"))
            ways.append(Hold(False, plain, why, (*cautions_of(clamping), whips), grip))
    elif ratio > rule("slender_ratio"):
        way = _with_steady(ask, machine, limits, clamping, ratio, grip)
        if isinstance(way, Hold):
            ways.append(way)
        else:
            refused.extend(way)
    else:
        beam = clamping.beam(ask.material.e_mpa, centre=True)
        why = because(
            "turn.hold_centre", diameter_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm
        )
        cautions = (*cautions_of(clamping), because("caution.centre"))
        ways.append(Hold(True, beam, why, cautions, grip))
    return tuple(ways), tuple(refused)


def _in_four_jaws(ask: Ask, clamping: Clamping, grip: Figure) -> tuple[tuple[Hold, ...], tuple[Reason, ...]]:
    """A square blank, dialled true in four jaws; without a centre."""
    beam = clamping.beam(ask.material.e_mpa, centre=False)
    ratio = beam.length_mm / beam.mean_mm
    if ratio > rule("stick_out_ratio"):
        return (), (
            because("turn.stick_out", ratio=ratio, allowed=rule("stick_out_ratio"), reach_mm=clamping.reach_mm),
        )
    why = because(
        "turn.hold_four_jaw", side_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm
    )  # fmt: skip
    return (Hold(False, beam, why, (*cautions_of(clamping), because("caution.four_jaw")), grip),), ()


def _in_collet(ask: Ask, machine: Machine, limits: LatheLimits, clamping: Clamping) -> Hold | Reason | None:
    """Held in a collet, where one closes on its size and surface; or why not; None where there are no collets."""
    if limits.collet_mm is None:
        return None
    smallest, largest = limits.collet_mm
    if not collet_fits(limits, clamping.grip_mm):
        return because(
            "turn.collet_size", machine=machine.name, has_mm=clamping.grip_mm, smallest_mm=smallest,
            largest_mm=min(largest, limits.spindle_bore_mm),
        )  # fmt: skip
    if clamping.number == 1 and ask.state.condition == "hot rolled":
        return because("turn.collet_rough", condition=ask.state.condition)
    beam = clamping.beam(ask.material.e_mpa, centre=False)
    if beam.length_mm / beam.mean_mm > rule("stick_out_ratio"):
        return None  # said of the chuck, where it holds as well
    why = because(
        "turn.hold_collet", diameter_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm,
        run_out_mm=limits.collet_run_out_mm,
    )  # fmt: skip
    friction, safety = rule("jaw_friction"), rule("holding_safety")
    grips = because("turn.collet_grip", grip_n=limits.collet_grip_n, friction=friction, safety=safety)
    grip = Figure(limits.collet_grip_n * friction / safety, "N", (grips,))
    return Hold(False, beam, why, (because("caution.collet"),), grip, collet=True)


def _with_steady(
    ask: Ask, machine: Machine, limits: LatheLimits, clamping: Clamping, ratio: float, grip: Figure
) -> Hold | tuple[Reason, ...]:
    """Between chuck and centre with a steady in the middle; or what stands against that as well."""
    slender = because("turn.slender", ratio=ratio, allowed=rule("slender_ratio"), reach_mm=clamping.reach_mm)
    if limits.steady_mm is None:
        return (slender,)
    smallest, largest = limits.steady_mm
    middle_mm = clamping.reach_mm / 2.0
    beam = clamping.beam(ask.material.e_mpa, centre=True)
    under = beam.diameter_at(middle_mm)
    refused: list[Reason] = []
    if ratio > rule("steady_ratio"):
        refused.append(because("turn.slender_steady", ratio=ratio, allowed=rule("steady_ratio")))
    if not smallest <= under <= largest or clamping.raw_mm > largest:
        has_mm = clamping.raw_mm if clamping.raw_mm > largest else under
        refused.append(
            because("turn.steady_size", machine=machine.name, has_mm=has_mm, smallest_mm=smallest, largest_mm=largest)
        )
    if refused:
        return (slender, *refused)
    why = because(
        "turn.hold_steady", diameter_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm,
        at_mm=middle_mm, under_mm=under,
    )  # fmt: skip
    cautions = (*cautions_of(clamping), because("caution.centre"), because("caution.steady"))
    return Hold(True, replace(beam, steady_mm=middle_mm), why, cautions, grip, steady=True)


def _no_centre(machine: Machine, limits: LatheLimits, stretches: Sequence[Stretch]) -> Reason | None:
    drills = [tool for tool in machine.tools if tool.kind == "centre drill"]
    if not limits.tailstock:
        return because("turn.no_tailstock", machine=machine.name)
    if not drills:
        return because("turn.no_centre_drill", machine=machine.name)
    end_mm = stretches[0].diameter_from_mm if stretches else 0.0
    if stretches and end_mm < 2.0 * min(tool.diameter_mm for tool in drills):
        return because("turn.no_room_for_centre", diameter_mm=end_mm)
    return None


def cautions_of(clamping: Clamping) -> tuple[Reason, ...]:
    """What is said of every way of holding: the chuck, and what was finished before.

    Args:
        clamping: the side.
    Returns: the cautions.
    """
    spinning = because("caution.chuck", jaws_mm=clamping.jaws_mm)
    return (spinning, because("caution.second_side")) if clamping.number == 2 else (spinning,)
