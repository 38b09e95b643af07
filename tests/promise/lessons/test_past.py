"""Lists of quotes: what is read, what is doubted, what is refused in one line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.promise.lessons.past import read_new, read_past
from steadyrest.trouble import BadInput

HEAD = "job,step,station,person,estimate_s,rivals,won,actual_s"
GOOD = f"{HEAD}\nA,1,saw,ines,600,2,1,660\nA,2,turn,jory,3600,2,1,4000\nB,1,saw,,900,1,0,\n"


def test_rows_of_a_job_are_its_steps_won_or_lost():
    won, lost = read_past(GOOD, "past.csv").quotes
    assert (won.job, won.rivals, won.won, won.estimate_s, won.actual_s) == ("A", 2, True, 4200, 4660)
    assert [(step.station, step.person) for step in won.steps] == [("saw", "ines"), ("turn", "jory")]
    assert (lost.won, lost.actual_s, lost.steps[0].person) == (False, None, "")
    assert read_past(GOOD, "past.csv").doubts == ()


@pytest.mark.parametrize("change", [str, lambda t: t.replace("\n", "\r\n"), lambda t: t + "\n,,,,,,,\n", str.strip])
def test_line_ends_and_empty_lines_do_not_matter(change):
    assert read_past(change(GOOD), "past.csv").quotes == read_past(GOOD, "past.csv").quotes


def test_columns_stand_in_any_order_and_others_are_not_looked_at():
    text = "won,note,actual_s,rivals,estimate_s,person,station,step,job\n1,hard,660,2,600,ines,saw,1,A\n"
    assert read_past(text, "p").quotes[0].steps == read_past(GOOD, "p").quotes[0].steps[:1]


def test_rows_of_a_job_need_not_stand_together():
    lines = GOOD.strip().split("\n")
    apart = read_past("\n".join([lines[0], lines[1], lines[3], lines[2]]), "p")
    assert apart.quotes == read_past(GOOD, "p").quotes


def test_new_jobs_need_no_actual_time_and_no_won():
    (one,) = read_new("job,step,station,person,estimate_s,rivals\nN,1,saw,ines,600,3\n", "new.csv").quotes
    assert (one.won, one.actual_s) == (True, None)


def test_what_is_odd_is_doubted_not_hidden():
    text = f"{HEAD}\nA,1,saw,ines,600,2,1,\nB,1,saw,ines,900,1,0,950\n"
    past = read_past(text, "past.csv")
    assert {doubt.key for doubt in past.doubts} == {"lessons.open", "lessons.needless", "lessons.nothing_done"}
    assert [doubt.key for doubt in read_new(text, "new.csv").doubts] == ["lessons.asked_lost"]


@pytest.mark.parametrize(
    ("old", "new", "where", "said"),
    [
        ("estimate_s,", "", "past.csv, line 1", "no column estimate_s"),
        ("station,", "job,", "past.csv, line 1", "no column station"),
        ("step,station", "step,station,station", "past.csv, line 1", "twice"),
        ("ines,600", "ines,0", "past.csv, line 2", "'0'"),
        ("ines,600", "ines,-3", "past.csv, line 2", "'-3'"),
        ("ines,600", "ines,ten", "past.csv, line 2", "not a number"),
        ("ines,600", "ines,nan", "past.csv, line 2", "not a number"),
        ("ines,600", "ines,1e300", "past.csv, line 2", "1e300"),
        ("2,1,660", "2,1,0", "past.csv, line 2", "actual_s"),
        ("2,1,660", "2,1,inf", "past.csv, line 2", "actual_s"),
        ("600,2,1", "600,-1,1", "past.csv, line 2", "rivals"),
        ("600,2,1", "600,1.5,1", "past.csv, line 2", "rivals"),
        ("600,2,1", "600,,1", "past.csv, line 2", "rivals"),
        ("600,2,1", "600,2,perhaps", "past.csv, line 2", "won"),
        ("600,2,1", "600,3,1", "past.csv, line 3", "other rivals"),
        ("A,1,saw", ",1,saw", "past.csv, line 2", "job is empty"),
        ("A,1,saw", "A,1,", "past.csv, line 2", "station is empty"),
        ("A,1,saw,ines", "A,1,saw,ines,more", "past.csv, line 2", "9 values"),
        ("A,1,saw,ines", 'A,1,"saw,ines', "past.csv", "not CSV"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_line(old, new, where, said):
    with pytest.raises(BadInput) as refused:
        read_past(GOOD.replace(old, new, 1), "past.csv")
    line = refused.value.line()
    assert line.startswith(where)
    assert said in line
    assert "\n" not in line


def test_nothing_to_ask_is_refused_but_no_history_is_none():
    assert read_past(HEAD + "\n", "past.csv").quotes == ()
    with pytest.raises(BadInput, match="no job"):
        read_new(HEAD + "\n", "new.csv")


def refusals(read, text):
    """What is said about a text; empty where it is read."""
    try:
        read(text, "x")
    except BadInput as refused:
        return (refused.where,)
    return ()


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    assert all(where.startswith("x") for read in (read_past, read_new) for where in refusals(read, text))


@given(st.lists(st.text(alphabet="A1,\"'\n.-e", max_size=20), max_size=6))
def test_any_rows_are_read_or_refused(rows):
    assert all(where.startswith("x") for where in refusals(read_past, "\n".join([HEAD, *rows])))
