"""A task in a process of its own: what it returns, what it may not do, what is left when it goes wrong."""

from __future__ import annotations

import logging
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import psutil
import pytest

from steadyrest.trouble import BadInput
from steadyrest.workers import frames, running
from steadyrest.workers.running import Failed, Stopped, Workers, run
from tests.workers import hostile


def nothing(what, share):
    pass


def never():
    return False


def attempt(task, *args, **more):
    settings = {"name": "shaft.ply", "time_s": 60, "progress": nothing, "stop": never, **more}
    return run(task, args, **settings)


def is_alive(pid):
    try:
        return psutil.Process(pid).status() != psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return False


def until(truth, within_s=40.0):
    """Wait for something to become true; the wait is a limit, never a measurement."""
    ends_at = time.monotonic() + within_s
    while not truth() and time.monotonic() < ends_at:
        time.sleep(0.02)
    return truth()


def test_a_task_returns_its_value_and_its_progress_ends_at_one():
    told = []
    assert attempt(hostile.double, 21, progress=lambda what, share: told.append((what, share))) == 42
    assert told[-1] == ("doubling", 1.0)
    assert [share for _, share in told] == sorted(share for _, share in told)


@pytest.mark.parametrize("task", [hostile.abort, hostile.segfault, hostile.leave, hostile.garble])
def test_a_task_that_breaks_its_process_is_one_line_that_names_the_file(task):
    with pytest.raises(BadInput) as said:
        attempt(task)
    assert said.value.line().startswith("shaft.ply: the reader broke on it (")
    assert "\n" not in said.value.line()


def test_a_task_that_never_ends_is_ended_at_its_time_limit():
    with pytest.raises(BadInput, match=r"shaft\.ply: reading it took longer than 1 s"):
        attempt(hostile.endless, time_s=1.0)


def test_a_task_that_eats_the_memory_is_ended_at_its_limit():
    with pytest.raises(BadInput, match=r"shaft\.ply: reading it needed more than 600 MB"):
        attempt(hostile.hungry, memory_mb=600)


def test_a_task_refused_memory_by_the_system_says_so_too():
    with pytest.raises(BadInput, match="needed more than 3000 MB"):
        attempt(hostile.out_of_memory)


def test_a_result_that_is_too_large_is_refused(monkeypatch):
    with pytest.raises(BadInput, match="larger than 512 MB"):
        attempt(hostile.huge)


def test_bad_input_found_in_the_process_is_the_same_bad_input_here():
    with pytest.raises(BadInput) as said:
        attempt(hostile.bad)
    assert said.value.line() == "cover.dxf, layer CUT: the outline is open by 0.32 mm. Close it there."


@pytest.mark.parametrize(("task", "why"), [(hostile.our_fault, "KeyError"), (hostile.unsendable, "lambda")])
def test_our_own_fault_is_not_blamed_on_the_file_and_its_traceback_goes_to_the_log(task, why, caplog, capfd):
    with caplog.at_level(logging.ERROR, logger="steadyrest.workers"), pytest.raises(Failed) as said:
        attempt(task)
    assert why in said.value.told
    assert "Traceback" in caplog.text
    assert "Traceback" not in str(said.value)
    assert capfd.readouterr() == ("", "")


def test_what_libraries_print_in_the_process_reaches_nobody(capfd):
    assert attempt(hostile.chatter) == "quiet"
    assert capfd.readouterr() == ("", "")


def test_stopping_ends_the_process_at_once():
    asked = []

    def begun(what, share):
        asked.append(time.monotonic())

    with pytest.raises(Stopped):
        attempt(hostile.endless, progress=begun, stop=lambda: bool(asked))
    # Ten times the 0.3 s that a person may wait, for a machine busy with other tests.
    assert time.monotonic() - asked[0] < 3.0


def test_stopping_also_ends_what_the_task_started(tmp_path):
    asked = []
    with pytest.raises(Stopped):
        attempt(
            hostile.has_children, str(tmp_path / "pid"), progress=lambda *_: asked.append(1), stop=lambda: bool(asked)
        )
    assert until(lambda: not is_alive(int((tmp_path / "pid").read_text())))


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux ends a child that holds the interpreter's lock in C")
def test_no_process_is_left_when_the_house_is_killed(tmp_path):
    note = tmp_path / "pid"
    code = (
        "from tests.workers import hostile, test_running\n"
        f"test_running.attempt(hostile.asleep_in_c, {str(note)!r}, progress=lambda *_: None)"
    )
    house = subprocess.Popen([sys.executable, "-c", code], cwd=Path(__file__).parents[2])
    assert until(lambda: note.exists() and note.read_text() != "")
    child = int(note.read_text())
    assert is_alive(child)
    house.kill()
    house.wait()
    assert until(lambda: not is_alive(child))


def test_where_one_file_is_all_no_other_process_is_made_ready_after_it():
    ready = Workers(("json",), once=True)
    first = ready.take()
    try:
        assert ready.spare is None
    finally:
        first.end()
        ready.close()


def test_a_process_that_stands_ready_serves_one_file_and_the_next_is_another():
    ready = Workers(("json",))
    try:
        first, second = ready.spare, None
        assert attempt(hostile.double, 1, workers=ready) == 2
        second = ready.spare
        assert first is not second
        assert first is not None
        assert first.process.poll() is not None
        assert attempt(hostile.double, 2, workers=ready) == 4
    finally:
        ready.close()
    assert second is not None
    assert second.process.poll() is not None


def test_a_message_cut_short_is_the_end_of_the_process(tmp_path):
    with open(tmp_path / "pipe", "wb") as pipe:
        frames.write(pipe, "whole")
        pipe.write(frames.HEAD.pack(100) + b"only this")
    with open(tmp_path / "pipe", "rb") as pipe:
        assert frames.read(pipe) == "whole"
        with pytest.raises(EOFError):
            frames.read(pipe)


@dataclass
class Clocked:
    """A worker of which each look says what was told: (clock, processor time, asleep)."""

    looks: list[tuple[float, float, bool]]
    at: int = 0

    def now(self) -> float:
        return self.looks[min(self.at, len(self.looks) - 1)][0]

    def own_s(self) -> tuple[float, bool]:
        _, used, sleeps = self.looks[self.at]
        self.at += 1
        return used, sleeps


@pytest.mark.parametrize(
    ("looks", "own_s"),
    [
        ([(0, 0, False), (10, 10, False), (20, 20, False)], 20),  # computes all the time
        ([(0, 0, False), (10, 1, False), (20, 2, False)], 2),  # waits for a processor nine tenths of it
        ([(0, 0, False), (10, 0, True), (20, 0, True)], 20),  # hangs without computing
        ([(0, 5, False), (10, 25, False)], 10),  # two processors at once count as one, and what was before not at all
    ],
)
def test_own_time_leaves_out_the_wait_for_a_processor_and_nothing_else(monkeypatch, looks, own_s) -> None:
    worker = Clocked(looks)
    monkeypatch.setattr(running, "time", SimpleNamespace(monotonic=worker.now))
    own = running.OwnTime(worker)
    for _ in looks[1:]:
        spent = own.look()
    assert spent == own_s


def test_a_process_that_never_gets_a_processor_is_ended_by_the_clock_at_last(monkeypatch) -> None:
    worker = Clocked([(0, 0, False), (14, 0, False), (16, 0, False)])
    monkeypatch.setattr(running, "time", SimpleNamespace(monotonic=worker.now))
    own = running.OwnTime(worker)
    assert [own.is_over(1.0), own.is_over(1.0)] == [False, True]
