"""A parts list: what is refused, in one line, and what comes first."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.parts_list import JOINTS, PartsList, Site
from steadyrest.shop.parts_list_file import MOST, read_parts_list
from steadyrest.trouble import BadInput

PARTS = """
due = 2026-12-11T16:00:00+01:00
[[part]]
id = "P1"
file = "axle.step"
material = "C45"
quantity = 2
[[part]]
id = "P2"
file = "bush.step"
material = "C45"
[[part]]
id = "B1"
made_here = false
what = "bearing"
price = "8.40"
lead_days = 2
"""
FITTED = """
[[fit_up]]
id = "F1"
of = ["P1", "P2"]
[[assembly]]
id = "A2"
of = ["A1", "P2"]
joint = "bolted"
[[assembly]]
id = "A1"
of = ["P1", "B1"]
joint = "press fit"
"""


def refused(text: str) -> str:
    with pytest.raises(BadInput) as caught:
        read_parts_list(text, "job.toml")
    assert "\n" not in caught.value.line()
    return caught.value.line()


def test_what_others_need_comes_first_and_a_fit_up_comes_before_its_parts_are_put_together() -> None:
    found = read_parts_list(PARTS + FITTED, "job.toml")
    assert [one.id for one in found.fittings] == ["F1", "A1", "A2"]
    assert {one.id: set(one.after) for one in found.fittings} == {"F1": set(), "A1": {"F1"}, "A2": {"A1", "F1"}}
    assert [one.id for one in found.made] == ["P1", "P2"]
    assert [one.id for one in found.bought] == ["B1"]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('of = ["P1", "B1"]', 'of = ["P1", "P9"]', "no part 'P9'"),
        ('of = ["P1", "B1"]', 'of = ["P1", "A2"]', "in a ring"),
        ('of = ["P1", "B1"]', 'of = ["P1", "F1"]', "comes apart again"),
        ('of = ["P1", "B1"]', 'of = ["P1"]', "too few"),
        ('of = ["P1", "B1"]', 'of = ["P1", "P1"]', "names one twice"),
        ("quantity = 2", "quantity = 0", "out of range"),
        ("quantity = 2", "quantity = 1000000000", "out of range"),
        ("quantity = 2", "quantity = 1.5", "not a whole number"),
        ('id = "P2"', 'id = "P1"', "stands twice"),
        ('id = "A1"', 'id = "P1"', "stands twice"),
        ('file = "bush.step"\n', "", "file is missing"),
        ('material = "C45"\nquantity', "quantity", "material is missing"),
        ('joint = "bolted"', 'joint = "glued"', "not known"),
        ('price = "8.40"', 'price = "-1"', "out of range"),
        ("lead_days = 2", "", "lead_days is missing"),
        ("due = 2026-12-11T16:00:00+01:00", "due = 2026-12-11T16:00:00", "not a moment with offset"),
        ("due =", "dew =", "no such key"),
        ("due =", "quantity = 600000\ndue =", "too many"),
        ("due =", '[site]\ntravel = "1 h"\nwork = "20 days"\n[x]\ndue =', "no such key"),
    ],
)
def test_a_list_that_contradicts_itself_is_one_line(old: str, new: str, told: str) -> None:
    text = PARTS + FITTED
    assert old in text
    assert told in refused(text.replace(old, new, 1))


def test_a_distance_stands_for_the_drive_and_the_said_time_comes_before_it() -> None:
    site = '[site]\ndistance_km = 50\nwork = "2 h"\n'
    assert read_parts_list(PARTS + site, "job.toml").site == Site(3600.0, 7200.0, (), (), never_alone=False)
    both = read_parts_list(PARTS + site + 'travel = "30 min"\n', "job.toml").site
    assert both is not None
    assert both.travel_s == 1800.0
    assert "travel is missing" in refused(PARTS + '[site]\nwork = "2 h"\n')


@pytest.mark.parametrize("text", ["", "\x00", "name = ", "a" * 3_000_000, "[[part]]", "part = 3", "[part]\nid = 1"])
def test_what_is_no_list_is_one_line(text: str) -> None:
    assert refused(text)


def ring_free(found: PartsList) -> bool:
    seen: set[str] = set()
    for one in found.fittings:
        if not set(one.after) <= seen:
            return False
        seen.add(one.id)
    return True


names = st.sampled_from(["P1", "P2", "B1", "A1", "A2", "A3", "F1", "X"])
values = st.one_of(
    st.integers(-3, 2_000_000), st.floats(allow_nan=False), st.booleans(), st.text(max_size=6),
    st.sampled_from([*JOINTS, "1 h", "90 min", "C45"]), st.lists(names, max_size=4),
)  # fmt: skip


def written(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return '"' + "".join(c if c.isalnum() or c == " " else f"\\U{ord(c):08x}" for c in value) + '"'
        case list():
            return "[" + ", ".join(written(item) for item in value) + "]"
        case _:
            return repr(value)


@st.composite
def lists_of_parts(draw: st.DrawFn) -> str:
    rows = ['name = "x"']
    for table in draw(st.lists(st.sampled_from(["part", "assembly", "fit_up"]), min_size=1, max_size=8)):
        rows.append(f"[[{table}]]")
        keys = ("id", "file", "material", "quantity", "made_here", "price", "lead_days", "of", "joint", "time", "after")
        for key in draw(st.lists(st.sampled_from(keys), unique=True, max_size=6)):
            usual = {"id": names, "of": st.lists(names, max_size=3), "after": st.lists(names, max_size=2)}
            rows.append(f"{key} = {written(draw(st.one_of(usual.get(key, values), values)))}")
    return "\n".join(rows)


@settings(deadline=None, max_examples=40)
@given(text=st.one_of(lists_of_parts(), st.text(max_size=80)))
def test_any_text_is_a_job_that_can_be_meant_or_one_line(text: str) -> None:
    line, found = "", None
    try:
        found = read_parts_list(text, "job.toml")
    except BadInput as bad:
        line = bad.line()
    assert "\n" not in line
    assert (found is None) == bool(line)
    if found is not None:
        assert ring_free(found)
        assert all(1 <= one.quantity * found.quantity <= MOST for one in (*found.made, *found.bought))
        assert tomllib.loads(text)


@settings(deadline=None, max_examples=60)
@given(of=st.lists(st.lists(st.integers(0, 7), min_size=2, max_size=3, unique=True), min_size=1, max_size=6))
def test_assemblies_of_assemblies_are_put_in_order_exactly_where_they_form_no_ring(of: list[list[int]]) -> None:
    known = ["P1", "P2", *(f"A{n}" for n in range(len(of)))]
    goes_into = [[known[k % len(known)] for k in one] for one in of]
    clean = [list(dict.fromkeys(one)) for one in goes_into]
    text = PARTS + "".join(f'[[assembly]]\nid = "A{n}"\nof = {written(one)}\n' for n, one in enumerate(clean))
    left = {f"A{n}": {name for name in one if name.startswith("A")} for n, one in enumerate(clean)}
    while free := [name for name, needs in left.items() if not needs & set(left)]:
        for name in free:
            del left[name]
    sound = not left and all(len(one) > 1 for one in clean)
    if sound:
        assert ring_free(read_parts_list(text, "job.toml"))
    else:
        assert refused(text)
