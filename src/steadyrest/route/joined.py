"""The steps of several parts as one job: what shares a set-up is done in one, and what comes after what.

Steps of two parts share a set-up where the machine stands made ready for both: sawn from the same stock on one saw; or
held alike on one machine, with tools of which one's are all among the other's. The set-up is then paid once, and both
wait for each other there. What is left are chains of steps, each with the chains that it comes after.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.parts_list import Fitting
from steadyrest.shop.work import Blank, Chain, Phase, Purchase, Route, Step

SET_UP = "set up"
SHARING = ("saw", "turn", "mill")
ENDS = "deliver"
STOPS = ("reach_mm", "at_mm")


@dataclass(frozen=True, slots=True)
class PartRoute:
    """A part of the job with the route of its lot."""

    id: str
    route: Route


@dataclass(frozen=True, slots=True)
class SharedSetUp:
    """A set-up paid once. saved_s: hands spared against one set-up for each."""

    machine: str
    parts: tuple[str, ...]
    saved_s: float
    why: Reason


@dataclass(frozen=True, slots=True)
class JoinedSteps:
    """chains: each after those it names, the last one ends the job. shared: set-ups paid once."""

    chains: tuple[Chain, ...]
    shared: tuple[SharedSetUp, ...]


@dataclass(frozen=True, slots=True)
class _Node:
    """A step with the nodes before it. parts: whose it is; none: of the job as a whole.

    set_ups_s: what its set-ups took before any was shared.
    """

    step: Step
    parts: tuple[str, ...]
    before: tuple[str, ...]
    set_ups_s: float = 0.0


def packing(parts: Sequence[PartRoute]) -> tuple[Phase, ...]:
    """What is washed, marked and packed of each part; the trips of the parts are left out.

    Args:
        parts: with their routes.
    Returns: phases, named for their part.
    """
    return tuple(
        replace(phase, name=f"{part.id}: {phase.name}")
        for part in parts
        for step in part.route.steps
        if step.station == ENDS
        for phase in step.phases[:-1]
    )


def joined(
    job: str,
    parts: Sequence[PartRoute],
    fittings: Sequence[tuple[Fitting, Step]],
    last: Sequence[Step],
    bought: Mapping[str, Purchase],
) -> JoinedSteps:
    """All steps of a job as chains.

    Args:
        job: its id, with which each chain's id begins.
        parts: made here, each with steps.
        fittings: fit-ups and assemblies with their steps, those that others need first.
        last: what ends the job: the last one comes after all others, those before it stand side by side, but for
            what one of them names as before it; at least one.
        bought: of each part that is bought in, what waits for it.
    Returns: the chains, each after those it names; and the set-ups that are paid once.
    """
    nodes = _of_parts(parts)
    nodes, shared = _with_shared(nodes, {part.id: part.route.blank for part in parts})
    ends = {part.id: _last_of(nodes, part.id) for part in parts}
    for fitting, step in fittings:
        before = (ends[name] for name in fitting.of if name in ends)
        nodes[fitting.id] = _Node(step, fitting.of, tuple(dict.fromkeys((*before, *fitting.after))))
    wanted = {name for node in nodes.values() for name in node.before}
    open_ends = tuple(name for name in nodes if name not in wanted)
    for step in last[:-1]:
        nodes[step.id] = _Node(replace(step, after=()), (), step.after or open_ends)
    trips = tuple(step.id for step in last[:-1] if not any(step.id in other.after for other in last))
    nodes[last[-1].id] = _Node(last[-1], (), trips or open_ends)
    used = {name for fitting, _ in fittings for name in fitting.of}
    waits = _waits(nodes, parts, bought, used, last[-1].id)
    return JoinedSteps(_chains(job, nodes, waits), shared)


def _of_parts(parts: Sequence[PartRoute]) -> dict[str, _Node]:
    """Each part's steps but the delivery, one after the other, named for their part."""
    found: dict[str, _Node] = {}
    for part in parts:
        before: tuple[str, ...] = ()
        for step in part.route.steps:
            if step.station == ENDS:
                continue
            name = f"{part.id}: {step.id}"
            found[name] = _Node(_of_part(step, part.id), (part.id,), before, _set_up_s(step))
            before = (name,)
    return found


def _of_part(step: Step, part: str) -> Step:
    """The step with its part's name before its own, its features' and its measurements'."""
    points = tuple(replace(point, feature=f"{part} {point.feature}") for point in step.hold_points)
    makes = tuple(f"{part} {feature}" for feature in step.makes)
    return replace(step, id=f"{part}: {step.id}", makes=makes, hold_points=points, after=())


def _with_shared(
    nodes: dict[str, _Node], blanks: Mapping[str, Blank | None]
) -> tuple[dict[str, _Node], tuple[SharedSetUp, ...]]:
    """The nodes with those that share a set-up made one, wherever that makes no ring."""
    for name in list(nodes):
        for other in list(nodes):
            if other == name or other not in nodes or name not in nodes:
                continue
            one, two = nodes[name], nodes[other]
            if not set(one.parts) & set(two.parts) and _alike(one, two, blanks):
                nodes = _merged(nodes, name, other)
    return nodes, tuple(_shared(node) for node in nodes.values() if len(node.parts) > 1)


def _shared(node: _Node) -> SharedSetUp:
    step = node.step
    saved_s = node.set_ups_s - _set_up_s(step)
    key = "joined.sawn_together" if step.station == "saw" else "joined.set_up_once"
    why = because(key, machine=step.machine or "", parts=", ".join(node.parts), saved_s=saved_s)
    return SharedSetUp(step.machine or "", node.parts, saved_s, why)


def _alike(one: _Node, two: _Node, blanks: Mapping[str, Blank | None]) -> bool:
    """Whether the machine stands made ready for both."""
    a, b = one.step, two.step
    if a.station != b.station or a.station not in SHARING or a.machine != b.machine:
        return False
    if not (_set_up_first(a) and _set_up_first(b)):
        return False
    if a.station == "saw":
        stocks = {(k.shape, k.size_mm, k.material) for p in (*one.parts, *two.parts) if (k := blanks[p]) is not None}
        return len(stocks) == 1
    one_s, two_s = set(a.tools), set(b.tools)
    return (one_s <= two_s or two_s <= one_s) and _held(a) == _held(b)


def _held(step: Step) -> tuple[object, ...]:
    """How a step holds, but for how far the work stands out: that is a stop to move, not a set-up."""
    return (step.holding.key, *(given for given in step.holding.given if given[0] not in STOPS))


def _set_up_first(step: Step) -> bool:
    """Whether it is set up once, before anything else: set-ups between cuts are the part's own."""
    first, *rest = (phase.name.endswith(SET_UP) for phase in step.phases)
    return first and not any(rest)


def _set_up_s(step: Step) -> float:
    return sum(phase.duration_s.value for phase in step.phases if phase.name.endswith(SET_UP))


def _merged(nodes: dict[str, _Node], name: str, other: str) -> dict[str, _Node]:
    """The nodes with two made one; as they were where that would make a ring."""
    one, two = nodes[name], nodes[other]
    if _reaches(nodes, name, other) or _reaches(nodes, other, name):
        return nodes
    first = one.step if _set_up_s(one.step) >= _set_up_s(two.step) else two.step
    set_up = tuple(phase for phase in first.phases if phase.name.endswith(SET_UP))
    rest = (*_named_rest(one), *_named_rest(two))
    a, b = one.step, two.step
    parts, named = (*one.parts, *two.parts), a.id.partition(": ")[2]
    step = replace(
        a,
        id=f"{' + '.join(parts)}: {named}",
        phases=(*set_up, *rest),
        makes=(*a.makes, *b.makes),
        limits=tuple(dict.fromkeys((*a.limits, *b.limits))),
        cautions=tuple(dict.fromkeys((*a.cautions, *b.cautions))),
        hold_points=(*a.hold_points, *b.hold_points),
        unattended=a.unattended and b.unattended,
        unattended_why=tuple(dict.fromkeys((*a.unattended_why, *b.unattended_why))),
        tools=tuple(dict.fromkeys((*a.tools, *b.tools))),
        cash=a.cash + b.cash,
        notes=tuple(dict.fromkeys((*a.notes, *b.notes))),
        lifted=max((one for one in (a.lifted, b.lifted) if one is not None), key=lambda one: one.value, default=None),
    )
    before = tuple(dict.fromkeys((*one.before, *two.before)))
    made = {k: v for k, v in nodes.items() if k != other}
    made[name] = _Node(step, parts, before, one.set_ups_s + two.set_ups_s)
    return {
        k: replace(v, before=tuple(dict.fromkeys(name if b == other else b for b in v.before))) for k, v in made.items()
    }


def _named_rest(node: _Node) -> tuple[Phase, ...]:
    """What follows the set-up, each phase named for its part."""
    rest = (phase for phase in node.step.phases if not phase.name.endswith(SET_UP))
    part, *more = node.parts
    return tuple(rest) if more else tuple(replace(phase, name=f"{part}: {phase.name}") for phase in rest)


def _reaches(nodes: Mapping[str, _Node], start: str, end: str) -> bool:
    """Whether `end` comes, by any way, before `start`."""
    seen: set[str] = set()
    ahead = [start]
    while ahead:
        name = ahead.pop()
        if name == end:
            return True
        if name not in seen:
            seen.add(name)
            ahead.extend(nodes[name].before)
    return False


def _last_of(nodes: Mapping[str, _Node], part: str) -> str:
    """The part's last step."""
    own = [name for name, node in nodes.items() if part in node.parts]
    return next(name for name in own if not any(name in nodes[k].before for k in own))


def _waits(
    nodes: Mapping[str, _Node], parts: Sequence[PartRoute], bought: Mapping[str, Purchase], used: set[str], last: str
) -> dict[str, tuple[Purchase, ...]]:
    """What each node waits for: its parts' stock, and what is bought in for it; the end waits for what nothing uses."""
    stock = {part.id: part.route.buy for part in parts}
    found: dict[str, tuple[Purchase, ...]] = {}
    for name, node in nodes.items():
        own = [one for part in node.parts for one in stock.get(part, ())]
        own += [bought[part] for part in node.parts if part in bought]
        if name == last:
            own += [one for part, one in bought.items() if part not in used]
        found[name] = tuple(own)
    return found


def _chains(job: str, nodes: Mapping[str, _Node], waits: Mapping[str, tuple[Purchase, ...]]) -> tuple[Chain, ...]:
    """Runs of steps between which nothing joins or parts, in an order in which each comes after those it names."""
    after: dict[str, list[str]] = {name: [] for name in nodes}
    for name, node in nodes.items():
        for before in node.before:
            after[before].append(name)
    head: dict[str, str] = {}
    runs: dict[str, list[str]] = {}
    for name in _in_order(nodes):
        before = nodes[name].before
        if len(before) == 1 and len(after[before[0]]) == 1:
            head[name] = head[before[0]]
        else:
            head[name] = name
        runs.setdefault(head[name], []).append(name)
    return tuple(
        Chain(
            f"{job} / {first}",
            tuple(nodes[name].step for name in run),
            tuple(dict.fromkeys(f"{job} / {head[before]}" for before in nodes[first].before)),
            tuple(dict.fromkeys(one for name in run for one in waits[name])),
        )
        for first, run in runs.items()
    )


def _in_order(nodes: Mapping[str, _Node]) -> list[str]:
    """The nodes so that each comes after those before it."""
    done: list[str] = []
    ready = set[str]()
    while len(done) < len(nodes):
        name = next(n for n, node in nodes.items() if n not in ready and set(node.before) <= ready)
        done.append(name)
        ready.add(name)
    return done
