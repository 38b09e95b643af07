"""`steadyrest paper statement` by its contract: the worked example of the docs, keys, streams, exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from steadyrest.cli.main import status

DOCS = Path(__file__).parents[2] / "docs" / "statement.md"
(EXAMPLE,) = re.findall(r"```toml\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)


def run(capsys, tmp_path, text, *words):
    file = tmp_path / "request.toml"
    file.write_text(text, encoding="utf-8")
    code = status(["paper", "statement", str(file), *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_example_of_the_docs_adds_up_by_hand(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, EXAMPLE, "--json")
    answer = json.loads(out)
    assert code == 0
    # 16:30 to 18:00 is 1.5 h at 84; to 19:10 is 1 h 10, rounded up 1.25 h at 126; Saturday 2 h at 105.
    assert answer["labour"] == "493.50"
    assert (answer["machine"], answer["travel"], answer["goods"]) == ("0.00", "12.00", "36.57")
    assert (answer["tax"], answer["total"], answer["currency"]) == ("0.00", "542.07", "EUR")
    assert answer["tax_spared"]
    assert answer["doubts"] == []
    assert {"labour", "machine", "travel", "goods", "tax", "total", "currency", "lines", "doubts"} <= set(answer)


def test_open_and_clashing_entries_are_doubts(capsys, tmp_path):
    text = EXAMPLE.replace('replaces = "2"', "").replace("end = 2026-11-27T19:10:00+01:00", "")
    answer = json.loads(run(capsys, tmp_path, text, "--json")[1])
    assert answer["doubts"] == [
        {"kind": "open", "entry": "1"}, {"kind": "clash", "entry": "2"}, {"kind": "clash", "entry": "3"},
    ]  # fmt: skip
    assert answer["labour"] == "60.00"


def test_in_words_it_says_how_hours_were_rounded_and_defers_on_tax(capsys, tmp_path):
    code, out, _ = run(capsys, tmp_path, EXAMPLE)
    assert code == 0
    assert "rounded up to 0.25 h" in out
    assert "accountant" in out


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('timezone = "Europe/Vienna"', 'timezone = "Sallowmere"', "time zone"),
        ("statement_date = 2026-11-30", 'statement_date = "soon"', "not a date"),
        ('who = "ambra"', 'who = "nobody"', "no rate"),
        ("end = 2026-11-27T19:10:00+01:00", "end = 2026-11-27T16:10:00+01:00", "before its start"),
        ("end = 2026-11-27T19:10:00+01:00", "end = 2026-11-27T19:10:00", "offset"),
        ('replaces = "2"', 'replaces = "9"', "no other entry"),
        ('id = "2"', 'id = "1"', "2 times"),
        ('mode = "up" ', 'mode = "down" ', "not known"),
        ('unit_h = "0.25"', 'unit_h = "a quarter"', "not a number"),
        ('from = "18:00"', "", "belong together"),
    ],
)
def test_a_bad_request_is_one_line_and_nothing_on_standard_output(capsys, tmp_path, old, new, said):
    assert old in EXAMPLE
    code, out, err = run(capsys, tmp_path, EXAMPLE.replace(old, new), "--json")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_request_is_our_fault(capsys, tmp_path, data):
    at = data.draw(st.integers(0, len(EXAMPLE)))
    more = data.draw(st.text(alphabet="0123456789.-:T+[]{}=\"'\nabentux_", max_size=8))
    cut = data.draw(st.integers(0, 12))
    code, out, err = run(capsys, tmp_path, EXAMPLE[:at] + more + EXAMPLE[at + cut :], "--json")
    assert code in (0, 2)
    assert (out == "") == (code == 2)
    assert code == 0 or err.count("\n") == 1
