"""What is left of work that was taken and begun."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from steadyrest.desk.week.taken import LEAST_S, left_of
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Phase, Step


def step(*phases: tuple[float, bool]) -> Step:
    made = tuple(
        Phase(
            name=f"{n}", duration_s=Figure(takes, "s", (because("time.each", count=1.0, each_s=takes),)), spread=0.1,
            who=("ines",) if hands else (), interruptible=True,
        )
        for n, (takes, hands) in enumerate(phases)
    )  # fmt: skip
    return Step(id="turn", station="turn", machine="lathe", holding=because("hand.hold"), phases=made, makes=(),
                limits=(), cautions=(), split=())  # fmt: skip


PHASES = st.lists(st.tuples(st.floats(400.0, 9000.0), st.booleans()), min_size=1, max_size=6)


@given(PHASES, st.floats(0.0, 40_000.0))
def test_what_is_left_of_the_hands_is_what_was_planned_less_what_was_worked(phases, worked_s: float) -> None:
    left = tuple(left_of(step(*phases), worked_s))
    planned = sum(takes for takes, hands in phases if hands)
    hands = sum(phase.duration_s for phase in left if phase.who)
    assert abs(hands - max(planned - worked_s, min(LEAST_S, planned))) <= LEAST_S
    assert hands <= planned + 1e-6


@given(PHASES)
def test_nothing_worked_leaves_all_of_it(phases) -> None:
    left = tuple(left_of(step(*phases), 0.0))
    assert [(one.duration_s, bool(one.who)) for one in left] == [(takes, hands) for takes, hands in phases]
    assert {one.machine for one in left} == {"lathe"}


def test_a_step_is_never_quite_over_until_somebody_says_so() -> None:
    left = tuple(left_of(step((600.0, True), (3600.0, False), (600.0, True)), 99_999.0))
    assert [one.duration_s for one in left] == [LEAST_S]
