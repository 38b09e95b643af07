"""docs/add-a-station.md is followed to the letter: its module, its words, its line; the contract judges the result."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings

from steadyrest.stations import known
from steadyrest.stations.answer import Ask, Station
from steadyrest.wording import say as saying
from tests.stations import test_contract
from tests.stations.test_contract import asks

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "add-a-station.md").read_text(encoding="utf-8")
MODULE, LINE = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
WORDS = tomllib.loads(re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)[0])


def station() -> ModuleType:
    module = ModuleType("polish")
    exec(compile(MODULE, "docs/add-a-station.md", "exec"), module.__dict__)
    return module


def table() -> Mapping[str, Station]:
    """A copy of the table with the page's line in it."""
    added: dict[str, Station] = eval("{" + LINE + "}", {"polish": station()})
    return {**known.STATIONS, **added}


@pytest.fixture(autouse=True)
def worded(monkeypatch: pytest.MonkeyPatch) -> None:
    new = {f"{family}.{name}": text for family, lines in WORDS.items() for name, text in lines.items()}
    both = {**saying.words(), **new}
    monkeypatch.setattr(saying, "words", lambda: both)


@settings(deadline=None, max_examples=40)
@given(ask=asks())
def test_the_new_station_keeps_the_contract(ask: Ask) -> None:
    polish = table()["polish"]
    test_contract.test_every_feature_asked_for_is_either_made_or_refused_with_a_reason.hypothesis.inner_test(
        polish, ask
    )
    test_contract.test_every_figure_is_a_number_with_a_reason_that_can_be_said.hypothesis.inner_test(polish, ask)


def test_every_reason_of_the_page_has_its_sentence_and_the_reverse() -> None:
    made = set(re.findall(r'because\(\s*"(polish\.[a-z_]+)"', MODULE))
    assert made == {f"polish.{name}" for name in WORDS["polish"]}


def test_the_old_table_is_as_it_was() -> None:
    assert "polish" not in known.STATIONS
    assert set(table()) - set(known.STATIONS) == {"polish"}
