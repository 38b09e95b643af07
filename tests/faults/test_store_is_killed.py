"""Kill it in mid-write, start again, look: nothing acknowledged is lost, nothing half done is there."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from steadyrest.store import backup, jobs, plans, work_queue
from steadyrest.store.opening import open_store
from tests.store.sample import NOW, shaft

ROOT = Path(__file__).parents[2]


def writer(folder, what, count):
    command = [sys.executable, "-m", "tests.faults.writer", str(folder), what, str(count)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)


def test_nothing_acknowledged_is_lost_when_the_house_is_killed_ten_times(tmp_path):
    folder, told = tmp_path / "data", []
    for turn in range(10):
        house = writer(folder, f"life {turn}", 10_000)
        # Killed after a few are told, each time at another point of the next one's writing.
        told += [house.stdout.readline().split() for _ in range(1 + 3 * turn % 7)]
        house.kill()
        # What it said before it died counts too; a line cut short was not said.
        told += [line.split() for line in house.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
        house.wait()
        house.stdout.close()
        assert backup.verify(folder) == ()
    store = open_store(folder)
    with store.reading() as session:
        kept = {str(job.number): job for job in jobs.jobs(session)}
        for number, *what, sha256 in told:
            job = kept[number]
            assert job.what == " ".join(what)
            assert [part.part for part in plans.parts(session, job.id)] == [shaft()]
            assert len(plans.plans(session, job.id)) == 1
            assert store.files.read(sha256).startswith(" ".join(what).encode())
        # Each job is whole: written in one transaction, it is there with its plan or not at all.
        assert all(plans.chosen_plan(session, job.id) for job in kept.values())
        assert len(kept) - len(told) <= 10
    store.close()


def test_two_writers_at_once_lose_nothing(tmp_path):
    folder = tmp_path / "data"
    open_store(folder).close()
    houses = [writer(folder, name, 40) for name in ("one", "two")]
    told = [line.split() for house in houses for line in house.communicate(timeout=60)[0].splitlines()]
    assert [house.returncode for house in houses] == [0, 0]
    assert sorted(int(number) for number, *_ in told) == list(range(101, 181))
    store = open_store(folder)
    with store.reading() as session:
        assert {(str(job.number), job.what) for job in jobs.jobs(session)} == {(n, f"{a} {b}") for n, a, b, _ in told}
    store.close()


def test_two_that_open_a_new_folder_at_once_make_it_once(tmp_path):
    houses = [writer(tmp_path / "data", name, 3) for name in ("one", "two")]
    assert [house.communicate(timeout=60)[0].count("\n") for house in houses] == [3, 3]
    assert backup.verify(tmp_path / "data") == ()


def test_two_takers_never_get_the_same_work(tmp_path):
    from concurrent.futures import ThreadPoolExecutor

    store = open_store(tmp_path / "data")
    with store.writing() as session:
        asked = [work_queue.ask(session, kind="read", asked="{}", now=NOW) for _ in range(40)]

    def take_all(_):
        taken = []
        while True:
            with store.writing() as session:
                task = work_queue.take(session, now=NOW)
            if task is None:
                return taken
            taken.append(task.id)

    with ThreadPoolExecutor(4) as takers:
        taken = [task for each in takers.map(take_all, range(4)) for task in each]
    assert sorted(taken) == asked
    store.close()
