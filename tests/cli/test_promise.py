"""`steadyrest promise --shop` by its contract: keys, streams, exit codes."""

from __future__ import annotations

import json
import tomllib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.cli.main import status
from steadyrest.promise import asked_plan
from tests.oracles.week_checker import faults, hours_late

WEEK = """
now = 2026-03-02T07:00:00+01:00
[[person]]
id = "ana"
hours = [[2026-03-02T08:00:00+01:00, 2026-03-02T12:00:00+01:00], [2026-03-03T08:00:00+01:00, 2026-03-03T12:00:00+01:00]]
[[machine]]
id = "lathe"
[[job]]
id = "A"
due = 2026-03-02T11:30:00+01:00
[[job.step]]
id = "turn"
machine = "lathe"
[[job.step.phase]]
duration_s = 3600
who = ["ana"]
[[job.step.phase]]
duration_s = 7200
who = []
max_wait_s = 1800
[[job.step.phase]]
duration_s = 900
who = ["ana"]
[[job]]
id = "B"
due = 2026-03-02T09:00:00+01:00
weight = 2
[[job.step]]
id = "bench"
[[job.step.phase]]
duration_s = 5400
who = ["ana"]
interruptible = true
"""
POLICY = '[policy]\norder = ["B", "A"]\n[spread]\njob = 0.2\nperson = 0.1\n'


@pytest.fixture(autouse=True)
def little_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asked_plan, "WORK", 20_000)


def run(capsys, tmp_path, text, *more):
    file = tmp_path / "week.toml"
    file.write_text(text, encoding="utf-8")
    code = status(["promise", "--shop", str(file), "--json", *more])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_week_without_policy_gets_the_plan_with_the_least_lateness(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, WEEK)
    answer, request = json.loads(out), tomllib.loads(WEEK)
    assert code == 0
    assert out.count("\n") == 1
    assert faults(request, answer) == []
    assert set(answer["plan"][0]) == {"job", "step", "phase", "person", "machine", "start", "end"}
    # By paper: the other way round B would end at 10:30; B first ends at 9:30, and then A, set up by 10:30, at 12:45 on
    # the next day; A first: B is done while A runs, at 10:30, and A at 11:30.
    assert {job["job"]: job["finish"] for job in answer["jobs"]} == {
        "A": "2026-03-02T11:15:00+01:00",
        "B": "2026-03-02T10:30:00+01:00",
    }
    assert {job["job"]: job["odds"] for job in answer["jobs"]} == {"A": 1.0, "B": 0.0}
    assert answer["objective"] == pytest.approx(3.0)
    assert hours_late(request, answer) == pytest.approx(3.0)
    assert answer["seed"] == 1


def test_a_policy_with_spreads_gets_odds_between_nought_and_one(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, WEEK + POLICY)
    answer = json.loads(out)
    assert code == 0
    odds = {job["job"]: job["odds"] for job in answer["jobs"]}
    assert 0 < odds["B"] < 0.1  # due when half of it can be done: ln(1 / 1.5) = -0.405, sd 0.224: Phi(-1.81) = 0.035
    assert odds["B"] == pytest.approx(0.035, abs=0.006)
    assert answer["order"] == ["B", "A"]
    assert answer["draws"] >= 1000


def test_spreads_without_a_policy_get_an_order_of_their_own(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, WEEK + "[spread]\njob = 0.2\n")
    assert code == 0
    assert sorted(json.loads(out)["order"]) == ["A", "B"]


def test_the_same_seed_says_the_same(capsys, tmp_path):
    for text in (WEEK, WEEK + POLICY):
        assert run(capsys, tmp_path, text, "--seed", "5") == run(capsys, tmp_path, text, "--seed", "5")


def test_a_job_that_nobody_can_finish_has_no_finish_and_says_why(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, WEEK.replace("duration_s = 900", "duration_s = 20000"))
    answer = json.loads(out)
    job = next(job for job in answer["jobs"] if job["job"] == "A")
    assert code == 0
    assert (job["finish"], job["odds"]) == (None, 0.0)
    assert "turn" in job["why"]
    assert faults(tomllib.loads(WEEK.replace("duration_s = 900", "duration_s = 20000")), answer) == []


def test_in_words_each_job_has_its_line(capsys, tmp_path):
    file = tmp_path / "week.toml"
    for text in (WEEK, WEEK + POLICY, WEEK.replace("duration_s = 900", "duration_s = 20000")):
        file.write_text(text, encoding="utf-8")
        assert status(["promise", "--shop", str(file)]) == 0
        out, _ = capsys.readouterr()
        assert out.startswith("A: ")
        assert "\nB: " in out


def test_nothing_asked_says_what_to_give(capsys):
    assert status(["promise", "--json"]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert "--shop" in err


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_request_is_our_fault(capsys, tmp_path, data):
    text = data.draw(st.sampled_from([WEEK, WEEK + POLICY]))
    at = data.draw(st.integers(0, len(text)))
    more = data.draw(st.text(alphabet="0123456789.-e[]{}=\"'\nabxyz_", max_size=8))
    cut = data.draw(st.integers(0, 12))
    code, out, err = run(capsys, tmp_path, text[:at] + more + text[at + cut :])
    assert code in (0, 2)
    assert (out == "") == (code == 2)
    assert code == 0 or err.count("\n") == 1


def test_a_change_is_tried_and_the_ways_out_are_told_in_one_document(capsys, tmp_path):
    rush = WEEK.replace('id = "A"', 'id = "R"').replace('id = "B"', 'id = "S"')
    (tmp_path / "rush.toml").write_text(rush, encoding="utf-8")
    code, out, _ = run(capsys, tmp_path, WEEK + POLICY, "--suppose", "add rush.toml", "--suppose", "drop B")
    answer = json.loads(out)
    assert code == 0
    assert out.count("\n") == 1
    assert [row["job"] for row in answer["before"]] == ["A", "B"]
    assert [row["job"] for row in answer["after"]] == ["A", "R", "S"]
    assert 1 <= len(answer["ways"]) <= 3
    assert set(answer["ways"][0]) == {"do", "order", "cost", "late_cost", "jobs"}
    assert len(answer["suppose"]) == 3
    assert {"yes_by", "yes_cost", "currency", "draws", "seed"} <= set(answer)


@pytest.mark.parametrize("said", ["lathe down 22:00", "drop Z", "add nowhere.toml", "add week.toml", "drop A;", "'"])
def test_a_change_that_cannot_be_meant_ends_with_2_and_one_line(capsys, tmp_path, said):
    code, out, err = run(capsys, tmp_path, WEEK + POLICY, "--suppose", said)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1


def test_dropping_every_job_leaves_nothing_to_say(capsys, tmp_path):
    code, out, err = run(capsys, tmp_path, WEEK, "--suppose", "drop A", "--suppose", "drop B")
    assert (code, out) == (2, "")
    assert "no job is left" in err
