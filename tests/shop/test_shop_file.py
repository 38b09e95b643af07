"""The shop file: the demo's reads whole; one thing broken gives one clear line; nothing gives a traceback."""

from __future__ import annotations

from decimal import Decimal
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis.strategies import binary, integers, sampled_from, text

from steadyrest.shop.floor import LatheLimits
from steadyrest.shop.shop_file import read_shop
from steadyrest.trouble import BadInput

GOOD = (resources.files("steadyrest.demo") / "shop.toml").read_text(encoding="utf-8")


def test_the_demo_shop_reads_whole() -> None:
    shop = read_shop(GOOD, "shop.toml")
    kinds = [machine.kind for machine in shop.machines]
    assert kinds == ["lathe", "mill", "saw", "grinder", "brake", "cutter", "cutter", "bench"]
    assert len(shop.people) == 3
    assert len(shop.pieces) == 17
    assert len(shop.promised) == 6
    assert shop.terms.wanted_odds == 0.9
    assert next(piece for piece in shop.pieces if piece.id == "R1").size_mm == (44.45,)
    assert shop.material("C45").price_per_kg == Decimal("2.40")
    lathe = shop.machine("lathe")
    assert isinstance(lathe.limits, LatheLimits)
    assert lathe.limits.power.power_w(420) == 5500


def test_hours_over_midnight_are_split_there() -> None:
    jorun = read_shop(GOOD, "shop.toml").person("jorun")
    assert (4, 17 * 60, 24 * 60) in jorun.week
    assert (5, 0, 60) in jorun.week


def test_mill_travel_is_the_length_between_its_ends() -> None:
    limits = read_shop(GOOD, "shop.toml").machine("mill").limits
    assert getattr(limits, "travel_mm") == (760, 300, 380)  # noqa: B009  the union's other limits have none


def test_a_weekday_due_stays_a_weekday() -> None:
    shop = read_shop(GOOD, "shop.toml")
    assert next(job for job in shop.promised if job.id == "232").due == (5, 13 * 60)


# What is broken, and what the line must name.
BROKEN = [
    ("kerf_mm = 1.6", "kerf_m = 1.6", "kerf_m", "kerf_mm"),
    ("swing_mm = 420", "swing_mm = -420", "swing_mm", "-420"),
    ("swing_mm = 420", 'swing_mm = "wide"', "swing_mm", "wide"),
    ("swing_mm = 420", "", "swing_mm", "missing"),
    ('per_hour = "16.00"', 'per_hour = "-16.00"', "per_hour", "-16.00"),
    ('per_hour = "16.00"', "per_hour = 16.5", "per_hour", "16.5"),
    ("max_rpm = 2800", "max_rpm = nan", "max_rpm", "nan"),
    ("power = [[45, 600], [420, 5500], [2800, 5500]]", "power = [[45, 600], [420, 550], [40, 550]]", "power", "rise"),
    ("power = [[45, 600], [420, 5500], [2800, 5500]]", "power = [[45, 600], [420, 5500]]", "power", "2800"),
    ("power = [[45, 600], [420, 5500], [2800, 5500]]", "power = [[45, 600]]", "power", "power curve"),
    ("life_s = 2400", "life_s = 0", "life_s", "0"),
    ("number = 9\n", "number = 8\n", "tool", "8"),
    ('skills = ["lathe"', 'skills = ["lathes"', "skills", "lathe"),
    ('timezone = "Europe/Vienna"', 'timezone = "Europe/Viena"', "timezone", "Viena"),
    ('currency = "EUR"', 'currency = "Euro"', "currency", "Euro"),
    ('id = "R2"', 'id = "R1"', "id", "R1"),
    ('id = "232"', 'id = "231"', "id", "231"),
    ('material = "CuZn39Pb3"', 'material = "CuZn39Pb9"', "material", "CuZn39Pb3"),
    ('condition = "peeled"', 'condition = "pealed"', "condition", "peeled"),
    ('due = "fri 18:00"', 'due = "some day"', "due", "some day"),
    ('due = "fri 18:00"', "due = 2026-05-01T08:00:00", "due", "offset"),
    ('mon = ["07:00-12:00"]', 'mon = ["07:00-25:00"]', "mon", "25:00"),
    ('mon = ["07:00-12:00"]', 'mon = ["07:00-12:00", "11:00-13:00"]', "mon", "overlap"),
    ("u_mm = 0.0012", "u_mm = 0", "u_mm", "0"),
    ("range_mm = [0, 25]", "range_mm = [25, 0]", "range_mm", "rise"),
    ("wanted_odds = 0.9", "wanted_odds = 90", "wanted_odds", "90"),
    ("tailstock = true", "tailstock = 1", "tailstock", "true or false"),
    ('size = ["1-1/2 in"]', 'size = ["1-1/0 in"]', "size", "1-1/0"),
    ("x = [0, 760]", "x = [760, 0]", "x", "rise"),
    ('kind = "bench"', 'kind = "bensh"', "kind", "bench"),
    ("[shop]\n", "[shop\n", "line", "TOML"),
    ("[terms]", "[termss]", "termss", "terms"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "named", "said"), BROKEN, ids=[f"{b[2]}-{b[3]}" for b in BROKEN])
def test_one_thing_broken_gives_one_clear_line(old: str, new: str, named: str, said: str) -> None:
    assert old in GOOD
    with pytest.raises(BadInput) as caught:
        read_shop(GOOD.replace(old, new, 1), "shop.toml")
    line = caught.value.line()
    assert "\n" not in line
    assert line.startswith("shop.toml")
    assert named in line
    assert said in line


@pytest.mark.parametrize(("old", "new"), [("kerf_mm = 1.6", "kerf_m = 1.6"), ("swing_mm = 420", "swing_mm = -420"),
                                          ("u_mm = 0.0012", "u_mm = 0"), ('id = "R2"', 'id = "R1"')])  # fmt: skip
def test_the_line_number_is_where_the_mistake_stands(old: str, new: str) -> None:
    broken = GOOD.replace(old, new, 1)
    wanted = {number for number, line in enumerate(broken.splitlines(), 1) if line.strip().startswith(new)}
    with pytest.raises(BadInput) as caught:
        read_shop(broken, "shop.toml")
    assert any(f"line {number}," in caught.value.where for number in wanted), caught.value.where


@pytest.mark.parametrize("content", ["", "   \n\n", "# only a comment\n"])
def test_an_empty_file_says_so(content: str) -> None:
    with pytest.raises(BadInput):
        read_shop(content, "shop.toml")


def test_a_person_without_hours_is_refused() -> None:
    start, end = GOOD.index("[person.ines.hours]"), GOOD.index("[person.jorun]")
    with pytest.raises(BadInput, match="hours"):
        read_shop(GOOD[:start] + "[person.ines.hours]\n" + GOOD[end:], "shop.toml")


def test_a_machine_that_nobody_can_run_is_refused() -> None:
    with pytest.raises(BadInput, match=r"machine\.grinder: nobody can run") as caught:
        read_shop(GOOD.replace('"grinder", ', ""), "shop.toml")
    assert "skills" in caught.value.do


def complaint(content: str) -> str:
    """What the reader says about a file: nothing, or its one line."""
    try:
        read_shop(content, "shop.toml")
    except BadInput as bad:
        return bad.line()
    return ""


LINES = GOOD.splitlines()


@settings(deadline=None, max_examples=30)
@given(
    number=integers(0, len(LINES) - 1), put=sampled_from(["", "=", "[", "x = 1", "name = 3", '"', "[[job]]", "[shop]"])
)
def test_a_line_replaced_reads_or_gives_one_line(number: int, put: str) -> None:
    changed = "\n".join([*LINES[:number], put, *LINES[number + 1 :]])
    assert "\n" not in complaint(changed)


@settings(deadline=None, max_examples=30)
@given(data=binary(max_size=200))
def test_bytes_never_give_a_traceback(data: bytes) -> None:
    with pytest.raises(BadInput):
        read_shop(data.decode("utf-8", errors="replace"), "shop.toml")


@settings(deadline=None, max_examples=20)
@given(key=text(min_size=1, max_size=8), value=text(max_size=8))
def test_a_strange_key_never_gives_a_traceback(key: str, value: str) -> None:
    said = complaint(GOOD + f"\n{key} = {value!r}\n")
    assert not said or said.startswith("shop.toml")
