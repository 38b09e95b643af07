"""The clock's entries come to stretches as a second hand would count them, whatever is told, corrected or struck."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from steadyrest.store import clock, stretches
from steadyrest.trouble import BadInput
from tests.oracles.second_hand import walked
from tests.store import sample

BEGIN = datetime(2026, 10, 24, 22, 0, tzinfo=UTC)  # the night in which Vienna's clocks go back
PEOPLE = ("ambra", "ines")
VIENNA = ZoneInfo("Europe/Vienna")


def at(second):
    return BEGIN + timedelta(seconds=second)


class Clock(RuleBasedStateMachine):
    """A store's clock beside a dict of what stands."""

    def __init__(self):
        super().__init__()
        Clock.run += 1
        self.people = tuple(f"{name} {Clock.run}" for name in PEOPLE)
        self.second = 0
        self.model = {}  # entry's number -> what it says; what was corrected is gone from it

    store = None  # one for all runs: making a database takes longer than a run
    jobs = ()
    run = 0

    def write(self, happened, kind, person, job, step, replaces=None):
        with self.store.writing() as session:
            entry = clock.write(
                session, person=person, kind=kind, happened=at(happened), told=at(self.second), who=person,
                job_id=self.jobs[job] if job is not None else None, step=step, replaces=replaces,
            )  # fmt: skip
        self.model.pop(replaces, None)
        if kind != "struck":
            self.model[entry.id] = (happened, int(entry.id), kind, person, job, step)

    @rule(
        ahead=st.integers(0, 40), back=st.integers(0, 60), who=st.integers(0, 1),
        kind=st.sampled_from(("start", "start", "beside", "done")), job=st.integers(0, 1),
        step=st.sampled_from((None, 1, 2)),
    )  # fmt: skip
    def begin(self, ahead, back, who, kind, job, step):
        self.second += ahead
        self.write(max(0, self.second - back), kind, self.people[who], job, step)

    @rule(ahead=st.integers(0, 40), who=st.integers(0, 1), what=st.sampled_from((None, (0, None), (1, 1))))
    def stop(self, ahead, who, what):
        self.second += ahead
        self.write(self.second, "stop", self.people[who], *(what or (None, None)))

    @precondition(lambda self: self.model)
    @rule(data=st.data(), ahead=st.integers(0, 10), strike=st.booleans())
    def correct(self, data, ahead, strike):
        self.second += ahead
        entry = data.draw(st.sampled_from(sorted(self.model)))
        happened, _, kind, person, job, step = self.model[entry]
        moved = max(0, min(self.second, happened + data.draw(st.integers(-50, 50))))
        self.write(moved, "struck" if strike else kind, person, job, step, replaces=entry)

    @invariant()
    def comes_to_what_a_second_hand_counts(self):
        now = at(self.second + 7)
        wanted, running = walked(self.model.values(), self.second + 7)
        with self.store.reading() as session:
            everything = [one for person in self.people for one in clock.entries(session, person=person)]
            found = stretches.stretches(everything, now=now)
            # What is read from the last moment of rest on must come to the same as what is read whole.
            for person in self.people:
                since = clock.idle_since(session, person, before=now)
                late = stretches.stretches(clock.entries(session, person=person, since=since), now=now)
                assert [one for one in late if one.end is None] == [
                    one for one in found if one.end is None and one.person == person
                ]
            # One job's stretches from its own first entry to the next rest come to the same as from the whole.
            for person in self.people:
                for job_id in self.jobs:
                    mine = [e for e in everything if e.job_id == job_id and e.person == person]
                    if mine:
                        first, last = min(e.happened for e in mine), max(e.happened for e in mine)
                        begin = clock.idle_since(session, person, before=first)
                        end = clock.idle_after(session, person, after=last)
                        near = clock.entries(session, person=person, since=begin, until=end)
                        assert [one for one in stretches.stretches(near, now=now) if one.job_id == job_id] == [
                            one for one in found if one.job_id == job_id and one.person == person
                        ]
        counted = {}
        for one in found:
            what = (one.person, self.jobs.index(one.job_id), one.step)
            counted[what] = counted.get(what, 0) + Fraction(one.worked_s(now)).limit_denominator(10**6)
        assert counted == {what: share for what, share in wanted.items() if share}
        on = {}
        for one in found:
            if one.end is None:
                on.setdefault(one.person, set()).add((self.jobs.index(one.job_id), one.step))
        assert on == running


def test_the_clock_counts_as_a_second_hand_does(store, monkeypatch):
    with store.writing() as session:
        monkeypatch.setattr(Clock, "jobs", [sample.job(session).id for _ in range(2)])
    monkeypatch.setattr(Clock, "store", store)
    run_state_machine_as_test(
        Clock, settings=settings(max_examples=20, stateful_step_count=12, deadline=None, phases=(Phase.generate,))
    )


def told(store, *rows):
    """Stretches after some entries: (moment, kind, person, step)."""
    with store.writing() as session:
        job = sample.job(session).id
        for moment, kind, person, step in rows:
            clock.write(
                session, person=person, kind=kind, happened=moment, told=moment, who=person, job_id=job, step=step
            )
        return stretches.stretches(clock.entries(session), now=rows[-1][0])


def test_the_night_the_clocks_go_back_has_an_hour_more_and_the_one_they_go_forward_an_hour_less(store):
    # zoneinfo: Vienna leaves summer time on 25 October 2026 and enters it on 28 March 2027.
    back = told(
        store,
        (datetime(2026, 10, 25, 1, 30, tzinfo=VIENNA), "start", "ambra", None),
        (datetime(2026, 10, 25, 3, 30, tzinfo=VIENNA), "stop", "ambra", None),
        (datetime(2027, 3, 28, 1, 30, tzinfo=VIENNA), "start", "ambra", None),
        (datetime(2027, 3, 28, 3, 30, tzinfo=VIENNA), "stop", "ambra", None),
    )
    assert [one.worked_s(BEGIN) for one in back] == [3 * 3600, 3600]


def test_over_midnight_is_one_stretch(store):
    over = told(
        store,
        (datetime(2026, 11, 27, 23, 0, tzinfo=VIENNA), "start", "jorun", 1),
        (datetime(2026, 11, 28, 1, 0, tzinfo=VIENNA), "done", "jorun", 1),
    )
    assert [one.worked_s(BEGIN) for one in over] == [7200]


def test_one_person_on_two_machines_never_works_more_than_the_time_that_passed(store):
    both = told(
        store,
        (at(0), "start", "ines", 1),
        (at(600), "beside", "ines", 2),
        (at(900), "start", "ambra", 1),
        (at(1200), "done", "ines", 1),
        (at(1800), "stop", "ines", 2),
        (at(1800), "stop", "ambra", 1),
    )
    worked = {(one.person, one.step): one.worked_s(BEGIN) for one in both}
    assert worked == {("ines", 1): 900, ("ines", 2): 900, ("ambra", 1): 900}
    assert [part.share for one in both for part in one.shared] == [Fraction(1, 2)] * 2


def test_an_entry_of_the_future_is_refused_and_one_is_corrected_once(store):
    with store.writing() as session:
        with pytest.raises(BadInput, match="is still to come"):
            clock.write(session, person="ines", kind="stop", happened=at(1), told=at(0), who="ines")
        first = clock.write(session, person="ines", kind="stop", happened=at(0), told=at(0), who="ines")
        clock.write(session, person="ines", kind="struck", happened=at(0), told=at(0), who="ines", replaces=first.id)
        with pytest.raises(BadInput, match=r"corrected already, by entry 2\. Correct that one"):
            clock.write(session, person="ines", kind="stop", happened=at(0), told=at(0), who="x", replaces=first.id)
        with pytest.raises(BadInput, match="there is no such entry"):
            clock.correctable(session, clock.ClockId(2))


def test_a_finished_step_is_finished_until_somebody_goes_on_with_it(store):
    rows = [(at(0), "start", "ines", 1), (at(60), "done", "ines", 1), (at(60), "start", "ines", 2)]
    works = told(store, *rows)
    with store.reading() as session:
        steps = stretches.progress(clock.entries(session), works, job_id=works[0].job_id, now=at(90))
    assert [(one.step, one.worked_s, one.running, one.done) for one in steps] == [
        (1, 60, (), at(60)), (2, 30, ("ines",), None),
    ]  # fmt: skip
    with store.writing() as session:
        again = clock.write(
            session, person="ambra", kind="start", happened=at(95), told=at(95), who="ambra", step=1,
            job_id=works[0].job_id,
        )  # fmt: skip
        steps = stretches.progress(
            [*clock.entries(session)], stretches.stretches(clock.entries(session), now=at(99)),
            job_id=again.job_id, now=at(99),
        )  # fmt: skip
    assert (steps[0].done, steps[0].running) == (None, ("ambra",))
