"""The verb `metal`: an answer in words and in JSON, and one line for a wrong word."""

from __future__ import annotations

import json

import pytest

from steadyrest.cli.main import status


def test_a_magnetic_piece_that_a_file_bites_is_some_steel_and_not_one_alloy(capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["metal", "--magnet", "strong", "--file", "bites", "--colour", "grey", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["state"] in ("sure", "likely")
    assert len((answer["likely"] or answer["sure"])["kinds"]) > 1
    assert answer["next_test"]["test"]
    assert sum(kind["odds"] for kind in answer["kinds"]) == pytest.approx(1)


def test_nothing_tried_is_an_honest_cannot_tell_with_a_next_test(capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["metal"]) == 0
    out = capsys.readouterr().out
    assert "cannot tell" in out
    assert "next: " in out


@pytest.mark.parametrize("words", [("--magnet", "sort of"), ("--weight", "heavy"), ("--in-water", "1 kg")])
def test_a_wrong_word_is_one_line(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert status(["metal", *words, "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
