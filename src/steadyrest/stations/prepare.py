"""Model and program: drawing what no file holds, writing the programs, trying them out at the desk. A person's work.

It is asked last, when the other steps are known, and done first. Proving out at the machine is the machine's first
part.
"""

from __future__ import annotations

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.part import Feature, Part
from steadyrest.shop.work import Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.practice import rule

ROUND = ("shaft", "face", "chamfer", "fillet", "groove", "cone", "sphere", "thread")


def answer(ask: Ask) -> Answer:
    """Modelling and programming for the steps planned so far.

    Args:
        ask: the part; the state's planned steps.
    Returns: one step; none where nothing controlled is used. It makes no feature.
    """
    undone = (refusal(ask, "prepare", ask.features, (because("prepare.makes_nothing"),)),) if ask.features else ()
    programs = programmed(ask)
    if not programs:
        return Answer((), ask.state, undone)
    who = ask.shop.operators("program") or _runners(ask, programs)
    if not who:
        return none_made(ask, "prepare", (because("prepare.nobody"),))
    return Answer((_step(ask, programs, who),), ask.state, undone)


def programmed(ask: Ask) -> tuple[Step, ...]:
    """The steps planned that need a program: those on a controlled machine.

    Args:
        ask: with the state's planned steps.
    Returns: in their order.
    """
    controlled = {
        machine.id for machine in ask.shop.machines if machine.tools and getattr(machine.limits, "controlled", False)
    }
    return tuple(step for step in ask.state.planned if step.machine in controlled)


def _runners(ask: Ask, programs: tuple[Step, ...]) -> tuple[str, ...]:
    """Who runs every one of the machines; else who runs any."""
    machines = {step.machine for step in programs if step.machine}
    everyone = [set(ask.shop.operators(machine)) for machine in machines]
    both = set[str].intersection(*everyone) or set[str].union(*everyone)
    return tuple(person.id for person in ask.shop.people if person.id in both)


def model_s(part: Part) -> Figure:
    """Time until there is a model to program from: a solid is only looked through, a scan is drawn over.

    Args:
        part: as read.
    Returns: s, with its reason.
    """
    count = float(len(part.features))
    if part.kind != "scan" or part.profile is not None:
        look_s = rule("model_look_s") + count * rule("model_check_s")
        key = "prepare.handed" if part.kind == "scan" else "prepare.look"
        return Figure(look_s, "s", (because(key, count=count),))
    free = [feature for feature in part.features if feature.kind == "free"]
    drawn_s = rule("model_part_s") + (count - len(free)) * rule("model_feature_s") + len(free) * rule("model_free_s")
    return Figure(drawn_s, "s", (because("prepare.draw", count=count, free=float(len(free))),))


def program_s(part: Part, programs: tuple[Step, ...]) -> Figure:
    """Time to write the programs: each set-up, each feature, its like again, and surfaces that are no plain shape.

    Args:
        part: as read.
        programs: the steps that need one.
    Returns: s, with its reason.
    """
    seen: set[tuple[object, ...]] = set()
    total, new, like, free = rule("program_step_s") * len(programs), 0, 0, 0
    for step in programs:
        for name in step.makes:
            feature = next((one for one in part.features if one.id == name), None)
            if feature is None:
                continue
            kind = _kind(feature)
            if feature.kind == "free":
                free += 1
                total += rule("program_free_s")
            elif kind in seen:
                like += 1
                total += rule("program_like_s")
            else:
                new += 1
                total += rule("program_turned_s" if step.station == "turn" else "program_feature_s")
            seen.add(kind)
    why = because(
        "prepare.program", programs=float(len(programs)), features=float(new), like=float(like), free=float(free)
    )
    return Figure(total, "s", (why,))


def _kind(feature: Feature) -> tuple[object, ...]:
    """What makes two features alike to who programs them: kind, size and the side they are on."""
    sizes = tuple(round(size.nominal.value if size.nominal else size.estimate, 2) for size in feature.sizes[:2])
    return feature.kind, sizes, tuple(round(share, 1) for share in feature.axis)


def _step(ask: Ask, programs: tuple[Step, ...], who: tuple[str, ...]) -> Step:
    model, program = model_s(ask.part), program_s(ask.part, programs)
    tried_s = rule("prove_share") * program.value
    tried = Figure(tried_s, "s", (because("prepare.try", share=rule("prove_share")),))
    phases = tuple(
        hand_phase(name, figure.value, who=who, key="time.once", spread=rule("spread_program"))
        for name, figure in (("model", model), ("program", program), ("try out at the desk", tried))
    )
    each: tuple[Reason, ...] = (because("prepare.once", quantity=float(ask.quantity)),)
    total_s = model.value + program.value + tried_s
    return Step(
        id="prepare",
        station="prepare",
        machine=None,
        holding=because("prepare.hold"),
        phases=phases,
        makes=(),
        limits=(model, program, tried),
        needs_stock=False,
        split=(Figure(total_s / ask.quantity, "s", each),),
    )
