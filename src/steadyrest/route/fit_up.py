"""Putting parts together: a trial fit, or an assembly, as a step of hand work."""

from __future__ import annotations

from steadyrest.route.lifts import too_much
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import BenchLimits, Machine, Shop
from steadyrest.shop.parts_list import Fitting
from steadyrest.shop.work import Phase, Step, Undone
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.practice import rule

SKILL = {"welded tack": "weld"}
CAUTIONS = ("press fit", "pinned", "welded tack", "bolted")
TOOLS = {
    "press fit": ("hand press", "oil"), "bolted": ("torque wrench", "thread lock"),
    "keyed": ("files", "marking blue", "soft hammer"), "pinned": ("hand reamer", "pin punch"),
    "welded tack": ("welding set", "clamps", "square"), "by hand": (),
}  # fmt: skip


def fitted(one: Fitting, *, sets: int, mass_kg: float, shop: Shop) -> Step | Undone:
    """The step of one fit-up or assembly, for so many of the job.

    Args:
        one: which parts, by what joint.
        sets: how many of the job; >= 1.
        mass_kg: of one, put together; 0 where it is not known.
        shop: its people and benches.
    Returns: the step; or the refusal where nobody here does such work.
    """
    skill = SKILL.get(one.joint, "hand")
    who = shop.operators(skill)
    if not who:
        no = because("joined.nobody", step=one.id, joint=one.joint, skill=skill)
        return Undone("hand", None, (), (no,), because("joined.nobody_then", skill=skill, step=one.id))
    each, key = _joint_s(one)
    handling_s = shop.habits.handling_s * len(one.of)
    total_s = (each * one.joints + handling_s) * sets
    why = because(
        f"joined.{key}", joint=one.joint, joints=float(one.joints), each_s=each, handling_s=handling_s,
        count=float(sets),
    )  # fmt: skip
    bench = _bench(shop, mass_kg) if one.joint != "welded tack" else None
    return Step(
        id=one.id,
        station="hand",
        machine=bench.id if bench is not None else None,
        holding=because("joined.hold_trial" if one.trial else "joined.hold", parts=", ".join(one.of), joint=one.joint),
        phases=(_phase(one, total_s, who, why),),
        makes=(),
        limits=(Figure(total_s / sets, "s", (why,)),),
        cautions=_cautions(one, mass_kg, shop),
        tools=TOOLS[one.joint],
        split=(Figure(total_s / sets, "s", (why,)),),
        needs_stock=True,
    )


def _joint_s(one: Fitting) -> tuple[float, str]:
    """One joint's time, and the reason's key."""
    if one.hands_s is not None:
        return one.hands_s, "joint_said"
    usual = rule(f"join_{one.joint.replace(' ', '_')}_s")
    return (usual * rule("join_trial_share"), "joint_trial") if one.trial else (usual, "joint")


def _phase(one: Fitting, total_s: float, who: tuple[str, ...], why: Reason) -> Phase:
    made = hand_phase(
        "fit up" if one.trial else "put together", total_s, who=who, key="time.each", spread=rule("spread_join")
    )
    return Phase(made.name, Figure(total_s, "s", (why,)), made.spread, who, True, hand_over=True)


def _bench(shop: Shop, mass_kg: float) -> Machine | None:
    """The first bench that carries it; None: it is put together where it stands."""
    benches = (m for m in shop.machines if isinstance(m.limits, BenchLimits) and mass_kg <= m.limits.max_load_kg)
    return next(benches, None)


def _cautions(one: Fitting, mass_kg: float, shop: Shop) -> tuple[Reason, ...]:
    found: list[Reason] = []
    if one.joint in CAUTIONS:
        found.append(because(f"joined.caution_{one.joint.replace(' ', '_')}"))
    alone_kg = shop.habits.lift_alone_kg
    if mass_kg > alone_kg:
        found.append(too_much(mass_kg, alone_kg))
    return tuple(found)
