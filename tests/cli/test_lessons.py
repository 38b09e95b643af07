"""`steadyrest promise --past --ask` by its contract: keys, order of the quantiles, streams, exit codes."""

from __future__ import annotations

import json
import re
from itertools import islice
from pathlib import Path

import pytest

from steadyrest.cli.main import status
from tests.forward.past_jobs import csv_of, floor, jobs

DOCS = Path(__file__).parents[2] / "docs" / "promise.md"
(PAST,) = re.findall(r"```csv\n(job,step.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
NEW = "job,step,station,person,estimate_s,rivals,won\n301,1,turn,ines,3600,2,1\n301,2,hand,zoe,600,2,1\n"
LEVELS = ["p05", "p10", "p25", "p50", "p75", "p90", "p95"]


def run(capsys, tmp_path, past, new, *words):
    files = tmp_path / "past.csv", tmp_path / "new.csv"
    for file, text in zip(files, (past, new), strict=True):
        file.write_text(text, encoding="utf-8")
    code = status(["promise", "--past", str(files[0]), "--ask", str(files[1]), *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_example_of_the_docs_gives_rising_hours_for_every_new_job(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, PAST, NEW, "--json")
    answer = json.loads(out)
    assert code == 0
    (job,) = answer["jobs"]
    assert (job["job"], job["estimate_s"]) == ("301", 4200)
    assert list(job["work_s"]) == LEVELS
    hours = list(job["work_s"].values())
    assert hours == sorted(hours)
    assert hours[0] > 0
    assert set(answer["learned"]["stations"]) == {"saw", "turn", "hand"}  # the mill's quote was lost
    assert answer["learned"]["quotes_lost"] == 1
    assert any("zoe stands in no past job" in line for line in job["why"])
    assert answer["doubts"] == []


def test_the_factors_of_why_multiply_to_the_middle(capsys, tmp_path):
    (job,) = json.loads(run(capsys, tmp_path, PAST, NEW, "--json")[1])["jobs"]
    product = 1.0
    for line in job["why"]:
        product *= float(found[1]) if (found := re.match(r"([\d.]+) times:", line)) else 1.0
    assert product == pytest.approx(job["work_s"]["p50"] / job["estimate_s"], rel=0.02)


def test_the_same_files_and_seed_give_the_same_answer(capsys, tmp_path):
    first, again = (run(capsys, tmp_path, PAST, NEW, "--json", "--seed", "9")[1] for _ in range(2))
    assert first == again


def test_in_words_it_says_the_middle_and_nine_in_ten(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, PAST, NEW)
    assert code == 0
    assert re.match(r"301: half the time within .*, nine times in ten within .*; estimated 1 h 10 min", out)


def test_all_new_jobs_are_answered_in_their_order(capsys, tmp_path):
    shop = floor(1)
    past, new = list(islice(jobs(shop, "past"), 60)), list(islice(jobs(shop, "new"), 20))
    code, out, _ = run(capsys, tmp_path, csv_of(past, actual=True), csv_of(new, actual=False), "--json")
    assert code == 0
    assert [one["job"] for one in json.loads(out)["jobs"]] == [one.name for one in new]


def test_no_history_is_an_answer_with_its_doubt(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, PAST.split("\n")[0] + "\n", NEW, "--json")
    assert code == 0
    assert any("careful guess" in doubt for doubt in json.loads(out)["doubts"])


@pytest.mark.parametrize(
    ("past", "new", "said"),
    [
        (PAST.replace("7200", "0"), NEW, "past.csv, line 3"),
        (PAST.replace(",rivals", ""), NEW, "past.csv, line 1"),
        (PAST, NEW.split("\n")[0], "new.csv: no job"),
        (PAST, NEW.replace("3600", "soon"), "new.csv, line 2"),
        ("", NEW, "past.csv, line 1"),
    ],
)
def test_input_at_fault_is_one_line_and_exit_2(capsys, tmp_path, past, new, said):
    code, out, err = run(capsys, tmp_path, past, new, "--json")
    assert (code, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


@pytest.mark.parametrize("words", [["--past", "past.csv"], ["--ask", "new.csv"]])
def test_each_list_needs_the_other(capsys, words):
    assert status(["promise", *words]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
