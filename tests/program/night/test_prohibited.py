"""The prohibition list: each fact alone brings its own sentence, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from steadyrest.program.night.prohibited import FACTS, Circumstance, cautions, not_said, prohibited
from steadyrest.shop.floor import Material
from steadyrest.tables.leaving import bans
from steadyrest.wording.say import say

STEEL = Material(
    "X", "a steel", (), 2, 7850.0, 1500.0, 0.2, 190.0, 650.0, 210_000.0, 12e-6, (20.0, 30.0), (90.0, 150.0),
    Decimal("1.5"), stringy=False, magnetic=True, sources=(),
)  # fmt: skip
PLAIN = Circumstance(metal=STEEL, coolant="water", holding="vise")
# Each row of the issue's list with what makes it so.
BROKEN = {
    "thermal": replace(PLAIN, way="thermal"),
    "hot_sheet": replace(PLAIN, way="hot sheet"),
    "weld": replace(PLAIN, way="weld"),
    "mould": replace(PLAIN, way="mould", hand_loaded=True),
    "manual": replace(PLAIN, controlled=False),
    "stringy": replace(PLAIN, metal=replace(STEEL, stringy=True)),
    "fire": replace(PLAIN, metal=replace(STEEL, id="Ti-6Al-4V")),
    "oil": replace(PLAIN, coolant="oil"),
    "vacuum": replace(PLAIN, holding="vacuum"),
}


def test_the_list_is_data_and_every_fact_is_known() -> None:
    assert [ban.key for ban in bans()] == list(BROKEN)
    assert {ban.fact for ban in bans()} == set(FACTS)


@pytest.mark.parametrize("key", BROKEN)
def test_each_fact_alone_brings_its_own_sentence(key: str) -> None:
    (reason,) = prohibited(BROKEN[key])
    assert reason.key == f"ban.{key}"
    assert len(say(reason)) > 30


def test_a_plain_run_is_not_on_the_list_and_has_nothing_to_ask() -> None:
    assert prohibited(PLAIN) == ()
    assert not_said(PLAIN) == ()


@pytest.mark.parametrize(
    "legal",
    [
        replace(PLAIN, holding="vacuum", pressure_switch=True),
        replace(PLAIN, metal=replace(STEEL, stringy=True), proved=True),
        replace(PLAIN, way="mould"),
        replace(PLAIN, coolant="none"),
        replace(PLAIN, metal=replace(STEEL, density_kg_m3=1780.0, group=29)),  # a plastic as light as magnesium
    ],
)
def test_the_nearest_legal_variant_is_not_on_the_list(legal: Circumstance) -> None:
    assert prohibited(legal) == ()


def test_a_metal_as_light_as_magnesium_burns_whatever_it_is_called() -> None:
    # AZ31: 1770 kg/m3, as printed in a handbook (metal_kinds.csv).
    light = replace(PLAIN, metal=replace(STEEL, id="our own", density_kg_m3=1770.0, group=21))
    assert [one.key for one in prohibited(light)] == ["ban.fire"]


def test_what_nobody_said_is_asked_and_never_taken_for_harmless() -> None:
    assert [one.key for one in not_said(Circumstance())] == ["ban.ask_metal", "ban.ask_coolant", "ban.ask_holding"]
    assert prohibited(Circumstance()) == ()


def test_the_cautions_name_what_the_issue_asks_for() -> None:
    text = " ".join(say(one) for one in cautions()).lower()
    for word in ("clamping", "fire", "door", "coolant", "pressure switch", "supervision", "manual"):
        assert word in text
