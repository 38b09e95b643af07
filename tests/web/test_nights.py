"""The nights on the week's page: what may be left counts, what may not is named, a better order is said."""

from __future__ import annotations

from steadyrest.desk.night.night_runs import Run, machine_night
from steadyrest.web.showing.nights import advice, night_row
from tests.desk.night.test_night_runs import program, row

NAMES = {"lathe": "long lathe"}


def test_each_run_says_whether_it_may_be_left_and_only_then_what_to_expect() -> None:
    may = night_row(
        Run(row("7", 6.0, 1.0), program("a.nc", good=3.5, whole=0.9, leave="yes if")), NAMES, "Europe/Vienna"
    )
    assert (may.machine, may.holds, may.good) == ("long lathe", "1", "3.5")
    assert may.leave.startswith("yes, once")
    no = night_row(Run(row("7", 6.0, 1.0), program("a.nc", good=3.5, whole=0.9, leave="no")), NAMES, "Europe/Vienna")
    assert (no.leave[:3], no.good) == ("no:", "")
    unknown = night_row(Run(row("7", 6.0, 1.0), None), NAMES, "Europe/Vienna")
    assert unknown.leave.startswith("not known")
    assert "job 7" in unknown.run


def test_advice_counts_what_may_be_left_names_what_may_not_and_gives_the_better_order() -> None:
    often, seldom = program("often.nc", good=2.0, whole=0.3), program("seldom.nc", good=3.9, whole=0.97)
    both = [Run(row("7", 6.0, 1.0), often), Run(row("8", 7.0, 1.0), seldom)]
    expects, better = advice(machine_night("lathe", both), NAMES)
    assert "3.2 good parts" in expects
    assert better.index("job 8") < better.index("job 7")
    assert "5.8" in better
    stays = Run(row("9", 6.0, 1.0), program("x.nc", good=1.0, whole=0.9, leave="no"))
    (refused,) = advice(machine_night("lathe", [stays]), NAMES)
    assert "job 9 may not be left" in refused
