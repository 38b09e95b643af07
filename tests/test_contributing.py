"""CONTRIBUTING.md holds: each recipe is followed to the letter in a copy of the house, and the copy's tests judge.

Then each is followed badly (a reason without a sentence, a row without a source, a check that is off) and they notice.
"""

from __future__ import annotations

import os
import re
import runpy
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).resolve().parent.parent
TEXT = (HOME / "CONTRIBUTING.md").read_text(encoding="utf-8")

STATION = '''
"""Polishing with a felt wheel at the bench. It makes no feature that a drawing names."""

from __future__ import annotations

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.felt_speeds import felt_speeds


def answer(ask: Ask) -> Answer:
    """Polishes every part of the lot; refused where nobody does hand work."""
    who = ask.shop.operators("hand")
    if not who:
        return none_made(ask, "polish", (because("polish.nobody"),))
    speed = felt_speeds()[0]
    why = because("polish.felt", source=speed.source, speed_m_min=speed.speed_m_min)
    each_s = ask.shop.habits.handling_s
    step = Step(
        id="polish",
        station="polish",
        machine=None,
        holding=because("polish.hold"),
        phases=(hand_phase("polish", each_s * ask.quantity, who=who, key="time.each", count=float(ask.quantity)),),
        makes=(),
        limits=(Figure(each_s, "s", (why,)),),
        cautions=(because("polish.dust"),),
        split=(Figure(each_s, "s", (why,)),),
    )
    undone = (refusal(ask, "polish", ask.features, (because("polish.only_shine"),)),) if ask.features else ()
    return Answer((step,), ask.state, undone)
'''
WORDS = """
[polish]
nobody = "nobody here does hand work"
felt = "a felt wheel at {speed_m_min}"
hold = "held in the hand, below the wheel's middle"
dust = "polishing dust is not for breathing; wheel guard and eye protection on, by the wheel maker's rules"
only_shine = "a felt wheel takes off too little to make a size"
"""
STATION_TEST = '''
"""The route asks the new station."""

from tests.route.test_best import routes
from tests.stations.parts import lift_shaft


def test_the_polish_comes_before_it_is_delivered() -> None:
    assert [step.id for step in routes(lift_shaft())[0].steps][-2:] == ["polish", "deliver"]
'''
ROWS = "wheel,speed_fpm,source,standing,note\nfelt,6500,felt-sheet,from memory,\n"
SOURCE = """
[felt-sheet]
title = "Speeds of felt wheels"
edition = "none"
where = "from memory"
"""
READER = '''
"""Speeds of polishing wheels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest.tables.rows import rows

M_PER_FT = 0.3048


@dataclass(frozen=True, slots=True)
class FeltSpeed:
    wheel: str
    speed_m_min: float
    source: str


@cache
def felt_speeds() -> tuple[FeltSpeed, ...]:
    """Every wheel's speed."""
    return tuple(
        FeltSpeed(row.text("wheel"), row.number("speed_fpm") * M_PER_FT, row.text("source"))
        for row in rows("felt_speeds")
    )
'''
CHECK = '''
"""Speeds of felt wheels. Source: the foot of 1959 is 0.3048 m by definition (from memory); 6500 ft is 1981.2 m."""

import pytest

from steadyrest.tables.felt_speeds import felt_speeds


def test_a_felt_wheel_runs_as_printed() -> None:
    assert felt_speeds()[0].speed_m_min == pytest.approx(1981.2, abs=0.05)
'''
JUDGES = (
    "tests/stations/test_contract.py::test_every_feature_asked_for_is_either_made_or_refused_with_a_reason[polish]",
    "tests/stations/test_contract.py::test_every_figure_is_a_number_with_a_reason_that_can_be_said[polish]",
    "tests/stations/test_polish.py",
    "tests/tables/test_rows.py::test_every_row_names_a_known_source_and_its_standing[felt_speeds]",
    "tests/tables/test_rows.py::test_every_source_is_used_and_says_where_it_was_read",
    "tests/checks/test_felt_speeds.py",
    "tests/test_house.py::test_every_reason_has_a_sentence_and_every_sentence_gets_what_it_names",
    "tests/test_house.py::test_every_sentence_has_a_reason_that_is_made_somewhere",
)


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{path.name}: {old!r} stands {text.count(old)} times"
    path.write_text(text.replace(old, new), encoding="utf-8")


def add(path: Path, text: str) -> None:
    with path.open("a", encoding="utf-8") as file:
        file.write(text)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the house with all recipes followed."""
    home = tmp_path_factory.mktemp("house")
    leave = shutil.ignore_patterns("__pycache__", "front", "fonts")
    shutil.copytree(HOME / "src", home / "src", ignore=leave)
    for folder in ("stations", "route", "tables", "oracles"):
        shutil.copytree(HOME / "tests" / folder, home / "tests" / folder, ignore=leave)
    for file in ("pyproject.toml", "tests/test_house.py"):
        shutil.copy(HOME / file, home / file)
    package = home / "src" / "steadyrest"
    (package / "stations" / "polish.py").write_text(STATION.lstrip(), encoding="utf-8")
    add(package / "wording" / "words" / "stations.toml", WORDS)
    known = package / "stations" / "known.py"
    change(known, "outside, prepare, saw", "outside, polish, prepare, saw")
    change(known, '    "deliver": deliver.answer,\n', '    "deliver": deliver.answer,\n    "polish": polish.answer,\n')
    change(package / "route" / "assembly.py", '"inspect", "deliver")', '"inspect", "polish", "deliver")')
    (home / "tests" / "stations" / "test_polish.py").write_text(STATION_TEST, encoding="utf-8")
    (package / "tables" / "data" / "felt_speeds.csv").write_text(ROWS, encoding="utf-8")
    (package / "tables" / "felt_speeds.py").write_text(READER, encoding="utf-8")
    add(package / "tables" / "sources.toml", SOURCE)
    (home / "tests" / "checks").mkdir()
    (home / "tests" / "checks" / "test_felt_speeds.py").write_text(CHECK, encoding="utf-8")
    return home


def judged(house: Path) -> set[str]:
    """The names of the tests that fail in this copy."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *JUDGES],
        cwd=house,
        env={**os.environ, "PYTHONPATH": str(house / "src")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stdout + done.stderr
    return set(re.findall(r"^(?:FAILED|ERROR) \S*?(test_\w+)(?:\[\w+\])?(?: - .*)?$", done.stdout, re.M))


def test_a_station_a_table_a_check_and_a_reason_are_added_as_it_says(house: Path) -> None:
    assert judged(house) == set()


def test_each_of_them_done_badly_is_noticed(house: Path, tmp_path: Path) -> None:
    bad = tmp_path / "house"
    shutil.copytree(house, bad, ignore=shutil.ignore_patterns("__pycache__", ".hypothesis"))
    package = bad / "src" / "steadyrest"
    change(package / "wording" / "words" / "stations.toml", "\nonly_shine =", "\nonly_gloss =")
    change(package / "tables" / "data" / "felt_speeds.csv", "felt-sheet", "hearsay")
    change(package / "tables" / "felt_speeds.py", "0.3048", "0.305")
    assert judged(bad) == {
        "test_every_figure_is_a_number_with_a_reason_that_can_be_said",
        "test_every_row_names_a_known_source_and_its_standing",
        "test_every_source_is_used_and_says_where_it_was_read",
        "test_a_felt_wheel_runs_as_printed",
        "test_every_reason_has_a_sentence_and_every_sentence_gets_what_it_names",
        "test_every_sentence_has_a_reason_that_is_made_somewhere",
    }


def test_every_task_it_names_is_one() -> None:
    tasks = runpy.run_path(str(HOME / "run.py"))["TASKS"]
    named = set(re.findall(r"run\.py (\w+)", TEXT))
    assert named <= set(tasks)
    assert {"test", "check", "speed", "docs", "demo"} <= named


def test_every_place_it_names_is_there() -> None:
    places = [place for place in re.findall(r"`([\w./<>-]+)`", TEXT) if "/" in place or "." in place]
    assert len(places) > 8
    roots = (HOME, HOME / "src", HOME / "src" / "steadyrest")
    missing = [p for p in places if "<" not in p and not any((root / p).exists() for root in roots)]
    assert not missing
