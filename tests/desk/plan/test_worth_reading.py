"""The next reading on a plan is the one that spares most, with its size and what it spares."""

from __future__ import annotations

from steadyrest.decide.reading_worth import Again, worth_of_readings
from steadyrest.desk.plan.worth_reading import with_worth
from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes
from steadyrest.part.nominal.shared import as_scanned
from steadyrest.wording.say import say
from tests.part.nominal.parts import part_of, round_feature


def test_the_next_reading_is_the_one_that_spares_most() -> None:
    part = name_sizes(
        part_of(
            round_feature("F1", 35.6, 0, 20, u=0.08), round_feature("F2", 42.0, 20, 50),
            round_feature("F3", 25.0, 50, 80),
        )
    )  # fmt: skip
    worth = worth_of_readings(part, judge(as_scanned(part)), Again(300.0, 3600.0))
    reading = with_worth(part, worth).next_reading
    best = next(one for one in worth if one.gauge)
    assert reading is not None
    assert (reading.feature, reading.size, reading.gauge) == (best.feature, best.size, best.gauge)
    assert "spares" in say(reading.why[0])


def test_without_anything_spared_the_reading_stays_as_it_was() -> None:
    part = name_sizes(part_of(round_feature("F1", 40.0, 0, 30), round_feature("F2", 60.0, 30, 60)))
    assert with_worth(part, ()) == part
