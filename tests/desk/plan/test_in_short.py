"""Plans in short that an older steadyrest kept without: made later, and asked for meanwhile."""

from __future__ import annotations

from pathlib import Path

from steadyrest.desk.plan import in_short
from steadyrest.store import jobs, plans
from tests.web import workshop


def test_what_is_not_caught_up_yet_is_told_all_the_same_and_is_made_once(tmp_path: Path) -> None:
    place, *_ = workshop.opened(tmp_path / "data")
    store = place.store
    with store.writing() as session:
        session.exec_driver_sql("UPDATE plan_short SET version = -1")
    with store.reading() as session:
        ids = [job.id for job in jobs.jobs(session)]
        late = plans.without_short(session, in_short.VERSION, most=9)
        told = in_short.of_jobs(session, ids)
    assert in_short.catch_up(store)
    assert not in_short.catch_up(store)
    with store.reading() as session:
        assert plans.without_short(session, in_short.VERSION, most=9) == ()
        assert in_short.of_jobs(session, ids) == told
    assert len(late) == len(told) == 2
    place.close()
