"""What sits on a diameter brings its sizes together, and none of them can outvote the rest."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.nominal.belonging import belongings
from steadyrest.part.nominal.choice import Fit
from steadyrest.part.nominal.judged import judge
from steadyrest.part.nominal.name import name_sizes, with_nominals, with_reading
from steadyrest.part.nominal.unknowns import unknowns
from steadyrest.shop.part import Feature, Nominal, Part, Pattern
from steadyrest.tables.chains import chains, sprocket_outside_diameter, sprocket_rim_mm
from steadyrest.wording.say import say
from tests.part.nominal.parts import groove, keyway, part_of, round_feature, size


def nominal(part: Part, feature: str, name: str = "diameter_mm") -> Nominal:
    found = part.feature(feature).size(name)
    assert found is not None
    assert found.nominal is not None
    return found.nominal


def quick(part: Part) -> Part:
    return with_nominals(part, judge(part))


def bored(*features: Feature) -> Part:
    """An outside of 90 with these bores and what is in them."""
    return part_of(round_feature("F1", 90.01, 0, 40.02), *features)


def in_bore(feature: Feature) -> Feature:
    return replace(feature, inside=True)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    diameter=st.floats(2.0, 300.0),
    source=st.sampled_from(["", "bearing bore", "bearing outside", "seal housing", "thread major"]),
    unit=st.sampled_from(["mm", "in"]),
    inside=st.booleans(),
)
def test_what_may_sit_anywhere_never_leaves_nothing_for_nothing_in_particular(
    diameter: float, source: str, unit: str, inside: bool
) -> None:
    part = part_of(
        round_feature("F1", 30.0, 0, 20), keyway("F2", 8.0, 4.0, 4, 16, "F1"), groove("F3", 28.6, 1.6, 18, "F1")
    )
    for row in unknowns(part):
        for d in (diameter, round(diameter), 30.0):
            found = belongings(replace(row, in_bore=inside), Fit(float(d), source, unit, part="M30"))
            assert len({one.name for one in found}) == len(found)
            assert sum(one.share for one in found) < 0.98
            for one in found:
                for _, spread in one.brings:
                    assert sum(odds for _, odds in spread) == pytest.approx(1.0)


# Bore, floor, width: DIN 472, from memory.
@pytest.mark.parametrize(("bore", "floor", "width"), [(40, 42.5, 1.85), (52, 55, 2.15), (62, 65, 2.15)])
def test_a_groove_in_a_bore_takes_the_ring_of_the_bore(bore: float, floor: float, width: float) -> None:
    part = bored(
        round_feature("F2", bore + 0.015, 0, 20.0, kind="bore"),
        in_bore(groove("F3", floor + 0.11, width + 0.06, 20 + width / 2, "F2")),
    )
    named = quick(part)
    assert (nominal(named, "F3").value, nominal(named, "F3").source) == (floor, "ring groove")
    assert nominal(named, "F3", "width_mm").value == width
    assert nominal(named, "F2").value == bore


# Bore, key width, depth in the hub: DIN 6885-1, seen in a reprint.
@pytest.mark.parametrize(("bore", "width", "deep"), [(20, 6, 2.8), (30, 8, 3.3), (42, 12, 3.3)])
def test_a_keyway_in_a_hub_takes_the_key_of_the_bore(bore: float, width: float, deep: float) -> None:
    part = bored(
        round_feature("F2", bore + 0.02, 0, 40.0, kind="bore"),
        in_bore(keyway("F3", width + 0.04, deep + 0.13, 0, 40, "F2")),
    )
    named = quick(part)
    assert [nominal(named, "F3", name).value for name in ("width_mm", "depth_mm")] == [width, deep]


def test_a_housing_as_deep_as_its_bearing_is_wide_is_known_for_one() -> None:
    # 6207: 35 x 72 x 17, ISO 15, seen in a reprint.
    fitting = bored(round_feature("F2", 72.01, 0, 17.03, kind="bore"))
    other = bored(round_feature("F2", 72.01, 0, 21.63, kind="bore"))
    assert nominal(quick(fitting), "F2").source == "bearing outside"
    assert nominal(quick(fitting), "F2", "length_mm").value == 17
    assert nominal(quick(fitting), "F2").odds > nominal(quick(other), "F2").odds


def test_an_inch_bearing_is_known_in_an_inch_part() -> None:
    # Series R, 1 x 2 x 1/2 in, from memory.
    part = part_of(
        round_feature("F1", 25.4 + 0.02, 0, 12.72, wear=0.2, worn=(3.0, 9.0), measured=25.1),
        round_feature("F2", 38.12, 12.72, 63.5),
        round_feature("F3", 25.41, 63.5, 76.2),
    )
    said = nominal(quick(part), "F1")
    assert said.shown == "1 in"
    assert said.source == "bearing bore"


def test_a_relief_beside_a_thread_belongs_to_the_thread() -> None:
    # DIN 76-1, from memory: M20, pitch 2.5, d - 3.6.
    thread = replace(round_feature("F1", 19.85, 0, 30), kind="thread")
    part = part_of(thread, groove("F2", 16.36, 6.1, 33, "F1"), round_feature("F3", 30.0, 36.05, 60))
    named = quick(part)
    assert (nominal(named, "F2").value, nominal(named, "F2").source) == (16.4, "thread relief")


def test_an_o_rings_groove_is_known_by_floor_and_width_together() -> None:
    # Cord 3: 2.35 to 2.45 deep and 3.9 to 4.2 wide, common practice, no source.
    part = part_of(
        round_feature("F1", 40.01, 0, 30), groove("F2", 35.32, 4.06, 32, "F1"), round_feature("F3", 40.0, 34, 60)
    )
    named = quick(part)
    assert nominal(named, "F2").source == "O-ring groove"
    assert nominal(named, "F2").value == pytest.approx(35.3)
    assert any("cord 3 mm" in say(reason) for reason in nominal(named, "F2").why)


def grooved(shaft: float, floor: float, width: float, u: float = 0.06) -> Part:
    """A shaft seen badly, with a groove."""
    return part_of(
        round_feature("F1", shaft, 0, 31.37, u=u), groove("F2", floor, width, 29.0, "F1"),
        round_feature("F3", 47.73, 31.37, 60.11, u=u),
    )  # fmt: skip


def test_sizes_that_fit_each_other_raise_each_others_odds() -> None:
    # DIN 471 on 25: floor 23.9, width 1.3, from memory.
    fitting = quick(grooved(25.09, 23.9, 1.33))
    floor_only = quick(grooved(25.09, 23.9, 1.83))
    neither = quick(grooved(25.09, 23.37, 1.83))
    odds = [sum(o for v, o in likely(part, "F1") if v == "25 mm") for part in (fitting, floor_only, neither)]
    assert odds[0] > odds[1] > odds[2]


def likely(part: Part, feature: str) -> list[tuple[str, float]]:
    said = nominal(part, feature)
    return [(said.shown, said.odds), *said.rivals]


@settings(deadline=None, max_examples=12, derandomize=True)
@given(floor=st.floats(15.0, 24.6), width=st.floats(0.8, 6.0))
def test_no_groove_outvotes_a_shaft_that_was_seen_well(floor: float, width: float) -> None:
    part = quick(grooved(25.01, floor, width, u=0.008))
    assert nominal(part, "F1").value == 25.0


def test_a_reading_of_the_shaft_names_what_sits_on_it_anew() -> None:
    # Seen between 25 and 26: the groove's floor alone does not decide.
    part = grooved(25.45, 24.05, 1.33, u=0.3)
    groove_27 = replace(part.feature("F2"), sizes=(size("diameter_mm", 24.2, 0.15), size("width_mm", 1.33, 0.05)))
    part = replace(part, features=tuple(groove_27 if f.id == "F2" else f for f in part.features))
    read = with_reading(part, "F1", "diameter_mm", 24.995, 0.004)
    assert nominal(read, "F1").value == 25
    assert (nominal(read, "F2").value, nominal(read, "F2").source) == (23.9, "ring groove")
    again = with_reading(part, "F1", "diameter_mm", 25.995, 0.004)
    assert nominal(again, "F1").value == 26
    # DIN 471 on 26: floor 24.9, from memory.
    assert nominal(again, "F2").value == 24.9


def test_every_standard_part_has_its_sentence() -> None:
    parts = (
        grooved(25.01, 23.9, 1.33), grooved(40.0, 35.32, 4.06),
        bored(round_feature("F2", 47.01, 0, 7.02, kind="bore"), round_feature("F3", 9.03, 7.02, 40, kind="bore")),
    )  # fmt: skip
    for part in parts:
        for feature in name_sizes(part).features:
            for one in feature.sizes:
                assert one.nominal is not None
                assert all(say(reason) for reason in one.nominal.why)


def test_a_step_over_a_bolts_hole_takes_its_head() -> None:
    # M6: hole 6.6 (ISO 273, seen in a reprint), head's step 11 (DIN 974-1, from memory).
    def bolt(k: int, hole: float, step: float) -> tuple[Feature, Feature]:
        under = replace(round_feature(f"F{k}", hole, 0, 10, kind="bore", u=0.05), along_mm=None)
        over = replace(round_feature(f"F{k + 1}", step, 0, 6.41, kind="bore", u=0.05), along_mm=None, on=under.id)
        return under, replace(over, sizes=(over.sizes[0], size("depth_mm", 6.45, 0.05)))

    plate = replace(part_of(*bolt(1, 6.68, 11.12), *bolt(3, 9.05, 15.1)), axisymmetric=False, profile=None)
    named = name_sizes(plate)
    assert [nominal(named, f).value for f in ("F1", "F2", "F3", "F4")] == [6.6, 11.0, 9.0, 15.0]
    assert nominal(named, "F2").source == "counterbore"
    assert all(say(reason) for reason in nominal(named, "F2").why)
    limits = nominal(named, "F2").limits
    assert limits is not None
    assert (limits.low_mm, limits.high_mm) == (11.0, pytest.approx(11.27))


def test_a_step_on_a_step_hangs_on_nothing_that_hangs() -> None:
    bores = [
        replace(round_feature(f"F{k}", d, 0, 10, kind="bore"), along_mm=None, on=on)
        for k, (d, on) in enumerate(((20.0, "F2"), (11.0, "F3"), (6.6, None)), 1)
    ]
    rows = unknowns(part_of(*bores))
    assert all(row.parent is None or rows[row.parent].parent is None for row in rows)
    assert any(row.parent is not None for row in rows)


def test_a_blank_as_wide_as_a_chain_takes_it_is_for_a_sprocket_of_that_pitch() -> None:
    chain = next(chain for chain in chains() if chain.name == "08B")
    outside, rim = sprocket_outside_diameter(chain.pitch_mm, 17), sprocket_rim_mm(chain)
    named = quick(
        part_of(
            round_feature("F1", outside + 0.03, 0, rim - 0.05, u=0.02),
            round_feature("F2", 45.0, rim - 0.05, rim + 20), round_feature("F3", 40.0, rim + 20, rim + 30),
        )
    )  # fmt: skip
    assert nominal(named, "F1").source == "sprocket outside"
    assert "17 teeth" in " ".join(say(reason) for reason in nominal(named, "F1").why)
    assert nominal(named, "F1", "length_mm").source == "sprocket rim"


def test_a_disc_of_a_round_size_is_no_sprocket() -> None:
    named = quick(part_of(round_feature("F1", 80.02, 0, 12, u=0.02), round_feature("F2", 45.0, 12, 32)))
    assert nominal(named, "F1").value == 80.0
    assert nominal(named, "F1").source != "sprocket outside"


def test_a_housing_as_deep_as_a_lip_seal_is_wide_is_for_the_seal() -> None:
    seal = in_bore(round_feature("F2", 47.02, 0, 7.02, kind="bore"))
    housing = quick(bored(round_feature("F1", 80.0, 0, 40), seal))
    seat = nominal(housing, "F2")
    assert (seat.value, seat.source) == (47.0, "seal housing")
    assert nominal(housing, "F2", "length_mm").value == 7.0


def test_holes_on_a_circle_are_for_bolts_to_go_through() -> None:
    def hole(k: int) -> Feature:
        one = round_feature(f"F{k}", 9.04, 0, 12, kind="bore", u=0.03)
        return replace(one, sizes=one.sizes[:1], inside=True, along_mm=None, at_mm=(6.0, 30.0 * k, 0.0))

    holes = tuple(hole(k) for k in range(1, 5))
    circle = Pattern("P1", "bolt circle", 4, 60.0, tuple(f.id for f in holes))
    flange = replace(part_of(*holes), axisymmetric=False, profile=None, patterns=(circle,))
    through = nominal(quick(flange), "F1")
    assert (through.value, through.source) == (9.0, "bolt hole")
