"""What is kept: jobs, parts, plans, promises, the ledger, files, people, the work queue."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from steadyrest.shop.part import Part
from steadyrest.store import jobs, ledger, people, plans, work_queue
from steadyrest.store.ledger import Entry, job_state, standing, write_down
from steadyrest.trouble import BadInput
from tests.store import sample
from tests.store.sample import NOW, later


def test_jobs_are_numbered_one_after_another_and_listed_soonest_due_first(store):
    with store.writing() as session:
        second = sample.job(session, due=later(days=2))
        first = sample.job(session, due=later(days=1), customer="  Lamplight   Playhouse ")
        assert [second.number, first.number] == [101, 102]
        assert jobs.jobs(session) == (first, second)
        assert jobs.job(session, 102) == first
        assert jobs.job(session, 999) is None
        assert session.execute(text("SELECT count(*) FROM customer")).scalar() == 1


def test_a_part_read_again_is_the_next_revision_and_the_old_one_stays(store):
    with store.writing() as session:
        made = sample.job(session)
        file = plans.note_file(session, sha256="a" * 64, size_bytes=3, name="s.ply", kind="scan", now=NOW)
        kept = [
            plans.keep_part(session, job_id=made.id, part=sample.shaft(), file_sha256=file.sha256, now=NOW)
            for _ in range(2)
        ]
        assert [part.revision for part in kept] == [1, 2]
        assert plans.parts(session, made.id) == tuple(kept)


def test_one_plan_of_a_job_is_chosen_and_what_it_says_comes_back(store):
    with store.writing() as session:
        made, part, first = sample.planned_job(session)
        second = plans.keep_plan(session, job_id=made.id, part_id=part.id, seed=2, plan=sample.shaft("b"), now=NOW)
        assert [plan.chosen for plan in plans.plans(session, made.id)] == [False, True]
        plans.choose_plan(session, first)
        chosen = plans.chosen_plan(session, made.id)
        assert (chosen.id, chosen.seed) == (first, 1)
        assert first != second
        assert plans.plan_value(chosen, Part) == sample.shaft("plan")


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE ledger SET body = '{}'",
        "DELETE FROM ledger",
        "UPDATE plan SET value = '{}'",
        "DELETE FROM plan",
        "UPDATE promise SET odds = 1.0",
        "DELETE FROM promise",
    ],
)
def test_the_database_itself_refuses_to_change_what_was_written_down(store, statement):
    with store.writing() as session:
        made, _, plan = sample.planned_job(session)
        plans.keep_promise(session, job_id=made.id, plan_id=plan, due=made.due, odds=0.9, now=NOW)
        write_down(session, job_id=made.id, kind="begun", who="mira", happened=NOW, told=NOW)
    with pytest.raises(DBAPIError, match="never changed"), store.writing() as session:
        session.execute(text(statement))


def test_a_correction_replaces_an_entry_and_both_stay_in_the_ledger(store):
    with store.writing() as session:
        made = sample.job(session)
        wrong = write_down(
            session, job_id=made.id, kind="reading", who="mira", happened=NOW, told=NOW, body={"at_mm": 36.5}
        )
        right = write_down(
            session,
            job_id=made.id,
            kind="reading",
            who="mira",
            happened=NOW,
            told=later(minutes=5),
            body={"at_mm": 36.512},
            replaces=wrong.id,
        )
        assert ledger.entries(session, made.id) == (wrong, right)
        assert standing(ledger.entries(session, made.id)) == (right,)
        with pytest.raises(BadInput, match=f"entry {wrong.id}: is replaced already, by entry {right.id}"):
            write_down(session, job_id=made.id, kind="reading", who="mira", happened=NOW, told=NOW, replaces=wrong.id)
        with pytest.raises(BadInput, match="is no entry of this job"):
            write_down(session, job_id=None, kind="reading", who="mira", happened=NOW, told=NOW, replaces=right.id)
        with pytest.raises(BadInput, match="after it was told"):
            write_down(session, job_id=None, kind="reading", who="mira", happened=later(hours=1), told=NOW)


ENTRIES = st.lists(st.tuples(st.sampled_from(["asked", "begun", "ready", "delivered", "reading"]), st.integers(0, 9)))


@settings(deadline=None)
@given(told=ENTRIES, order=st.randoms(use_true_random=False))
def test_a_jobs_state_is_what_happened_last_however_late_it_was_told(told, order):
    kept = [
        Entry(number, None, kind, "mira", later(hours=hour), later(days=1), {}, None)
        for number, (kind, hour) in enumerate(told)
    ]
    states = [entry for entry in kept if entry.kind != "reading"]
    wanted = max(states, key=lambda entry: (entry.happened, entry.id)).kind if states else "asked"
    order.shuffle(kept)
    assert job_state(kept) == wanted


def test_a_promise_is_scored_by_what_happened(store):
    with store.writing() as session:
        made, _, plan = sample.planned_job(session)
        for due in (later(hours=10), later(hours=30)):
            plans.keep_promise(session, job_id=made.id, plan_id=plan, due=due, odds=0.9, now=NOW)
        assert [score.kept for score in ledger.scores(session, NOW)] == [None, None]
        assert [score.kept for score in ledger.scores(session, later(hours=11))] == [False, None]
        write_down(session, job_id=made.id, kind="delivered", who="mira", happened=later(hours=9), told=later(hours=12))
        assert [score.kept for score in ledger.scores(session, later(hours=12))] == [True, True]


def test_the_same_bytes_are_kept_once_and_changed_bytes_are_noticed(store):
    first = store.files.keep(b"solid lid")
    assert store.files.keep(b"solid lid") == first
    assert store.files.read(first) == b"solid lid"
    store.files.path(first).write_bytes(b"solid lie")
    with pytest.raises(BadInput, match="is not what was kept"):
        store.files.read(first)
    store.files.path(first).unlink()
    with pytest.raises(BadInput, match="is gone"):
        store.files.read(first)
    assert [entry.name for entry in store.files.folder.rglob(".being-written-*")] == []


def test_a_pin_lets_in_its_person_alone_and_wrong_tries_make_the_next_wait(store):
    with store.writing() as session:
        assert not people.anybody(session)
        people.set_pin(session, person="mira", pin="4711", owner=True, now=NOW)
        people.set_pin(session, person="jon", pin="4712", owner=False, now=NOW)
        assert people.anybody(session)
        assert people.try_pin(session, person="mira", pin="4712", now=NOW).answer == "wrong"
        assert people.try_pin(session, person="nobody", pin="4711", now=NOW).answer == "wrong"
        assert people.try_pin(session, person="mira", pin="4711", now=NOW).answer == "right"
        waits = [people.try_pin(session, person="jon", pin="0000", now=NOW).wait_until for _ in range(3)]
        assert waits == [None, None, later(seconds=1)]
        assert people.try_pin(session, person="jon", pin="4712", now=NOW).answer == "wait"
        assert people.try_pin(session, person="jon", pin="4712", now=later(seconds=1)).answer == "right"
        with pytest.raises(BadInput, match="four digits at least"):
            people.set_pin(session, person="jon", pin="12a4", owner=False, now=NOW)
        written = session.execute(text("SELECT hash FROM person_pin WHERE person = 'mira'")).scalar()
        assert b"4711" not in written


def test_the_pin_hash_is_scrypt_as_published():
    # RFC 7914 section 12, third test vector uses N = 16384, r = 8, p = 1; its salt and password are text.
    import hashlib

    vector = hashlib.scrypt(b"pleaseletmein", salt=b"SodiumChloride", n=16384, r=8, p=1, maxmem=2**26, dklen=64)
    assert vector.hex().startswith("7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2")
    assert people.hashed("pleaseletmein", b"SodiumChloride") == hashlib.scrypt(
        b"pleaseletmein", salt=b"SodiumChloride", n=16384, r=8, p=1, maxmem=2**26, dklen=32
    )


def test_a_token_is_its_persons_until_it_ends_and_a_new_pin_ends_it(store):
    with store.writing() as session:
        people.set_pin(session, person="mira", pin="4711", owner=True, now=NOW)
        token, other = (people.log_in(session, person="mira", now=NOW) for _ in range(2))
        assert people.who(session, token=token, now=NOW) == ("mira", True)
        assert people.who(session, token="x", now=NOW) is None
        assert people.who(session, token=token, now=later(days=30)) is None
        people.log_out(session, other)
        assert people.who(session, token=other, now=NOW) is None
        people.set_pin(session, person="mira", pin="1234", owner=True, now=NOW)
        assert people.who(session, token=token, now=NOW) is None


def test_work_is_taken_in_the_order_it_was_asked_and_each_once(store):
    with store.writing() as session:
        first, second = (work_queue.ask(session, kind="read", asked="{}", now=NOW) for _ in range(2))
        assert [work_queue.take(session, now=NOW).id for _ in range(2)] == [first, second]
        assert work_queue.take(session, now=NOW) is None
        assert work_queue.tell(session, first, words="finding faces", share=0.4) is False
        work_queue.stop(session, first, now=NOW)
        assert work_queue.tell(session, first, words="finding faces", share=0.5) is True
        work_queue.end(session, first, state="stopped", result=None, now=later(seconds=2))
        work_queue.end(session, first, state="done", result="{}", now=later(seconds=3))
        ended = work_queue.task(session, first)
        assert (ended.state, ended.words, ended.share, ended.result) == ("stopped", "finding faces", 0.5, None)


def test_work_that_was_running_when_the_house_fell_waits_again(store):
    with store.writing() as session:
        first, second = (work_queue.ask(session, kind="read", asked="{}", now=NOW) for _ in range(2))
        work_queue.take(session, now=NOW)
        assert [task.state for task in work_queue.unended(session)] == ["running", "waiting"]
        assert work_queue.take_up_again(session) == 1
        assert work_queue.take(session, now=NOW).id == first
        work_queue.stop(session, second, now=NOW)
        assert work_queue.task(session, second).state == "stopped"
        assert [task.id for task in work_queue.unended(session)] == [first]
        assert work_queue.take(session, now=NOW) is None
