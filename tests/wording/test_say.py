"""Reasons become sentences in the reader's own units."""

from __future__ import annotations

import re
import tomllib
from importlib import resources

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.wording.say import GAP, Reader, figure, say, value, words

laws = settings(deadline=None, max_examples=80)
INCH = Reader("in", "EUR")
METRIC = Reader("mm", "EUR")
SENTENCES = {
    "limit.next": "next would bind: {figure}",
    "test.zone": "ISO 286 {zone} at {size_mm}: {low_mm} to {high_mm}",
    "test.key": "a shaft of {shaft_mm} takes a key {key_size}",
    "test.plain": "as found",
}
HOUSE_UNITS = ("mm", "um", "s", "kg", "N", "Nm", "W", "MPa", "rpm", "m/min", "mm/rev", "mm/min", "money", "1")


@pytest.fixture
def own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("steadyrest.wording.say.words", lambda: SENTENCES)


@pytest.mark.usefixtures("own_words")
def test_a_sentence_is_filled_with_the_readers_own_units() -> None:
    reason = because("test.zone", source="iso-286-1", zone="k6", size_mm=25.4, low_mm=25.402, high_mm=25.415)
    assert say(reason, METRIC) == "ISO 286 k6 at 25.4 mm: 25.402 mm to 25.415 mm"
    assert say(reason, INCH) == "ISO 286 k6 at 1 in: 1.0001 in to 1.0006 in"
    assert say(reason) == say(reason, Reader())


@pytest.mark.parametrize(
    ("name", "number", "metric", "inch"),
    [
        ("size_mm", 36.5125, "36.513 mm", "1-7/16 in"), ("off_um", 12.6, "13 µm", "13 µm"),
        ("run_s", 7800.0, "2 h 10 min", "2 h 10 min"), ("mass_kg", 15.4134, "15.4 kg", "34 lb"),
        ("pull_n", 12500.0, "12 500 N", "12 500 N"), ("power_w", 5500.0, "5.5 kW", "5.5 kW"),
        ("torque_nm", 46.4, "46 Nm", "46 Nm"), ("stress_mpa", 340.0, "340 MPa", "340 MPa"),
        ("speed_rpm", 1250.4, "1250 rpm", "1250 rpm"), ("speed_m_min", 180.0, "180 m/min", "180 m/min"),
        ("feed_mm_rev", 0.25, "0.25 mm/rev", "0.25 mm/rev"), ("late_odds", 0.89, "8 in 10", "8 in 10"),
        ("offer_money", 1234.5, "1234.50 EUR", "1234.50 EUR"), ("pieces", 12.0, "12", "12"),
        ("heat_c", 180.0, "180 °C", "180 °C"), ("lean_deg", 15.0, "15°", "15°"),
    ],
)  # fmt: skip
def test_a_bare_number_is_shown_by_the_ending_of_its_name(name: str, number: float, metric: str, inch: str) -> None:
    assert value(name, number, METRIC) == metric
    assert value(name, number, INCH) == inch


def test_a_name_that_merely_ends_in_the_letters_of_a_unit_has_none() -> None:
    # "links" ends in s, "turn" in n: a unit is told by a whole word of the name.
    assert value("links", 4.0, METRIC) == "4"
    assert value("turn", 4.0, METRIC) == "4"
    assert value("mm", 4.0, METRIC) == "4 mm"


@pytest.mark.usefixtures("own_words")
def test_text_stays_as_it_is_and_is_never_taken_for_a_gap() -> None:
    assert value("key", "8 x 7", METRIC) == "8 x 7"
    reason = because("test.key", shaft_mm=25.0, key_size="{shaft_mm}")
    assert say(reason) == "a shaft of 25 mm takes a key {shaft_mm}"


@laws
@given(number=st.floats(0.001, 1e5), unit=st.sampled_from(HOUSE_UNITS))
def test_every_house_unit_can_be_shown_in_both_systems(number: float, unit: str) -> None:
    shown = Figure(number, unit, (because("limit.next", figure="x"),))
    for reader in (METRIC, INCH):
        text = figure(shown, reader)
        assert text
        assert "\n" not in text
        assert (unit == "1") is bool(re.fullmatch(r"[0-9.e+-]+", text))


@pytest.mark.usefixtures("own_words")
def test_a_figure_in_a_sentence_is_shown_by_its_own_unit() -> None:
    limits = [
        Figure(900.0, "rpm", (because("test.plain"),)),
        Figure(7.5, "rpm", (because("test.plain"),)),
    ]
    smallest = least(limits)
    assert smallest.value == 7.5
    assert say(smallest.why[-1]) == "next would bind: 900 rpm"


def test_a_key_without_a_sentence_is_our_own_mistake() -> None:
    with pytest.raises(KeyError):
        say(Reason("no.such_key"))


@pytest.mark.usefixtures("own_words")
def test_a_sentence_that_is_not_given_what_it_names_is_our_own_mistake() -> None:
    with pytest.raises(KeyError):
        say(because("test.zone", zone="k6"))


def test_a_sentence_is_one_line_whose_gaps_can_be_filled() -> None:
    for key, sentence in words().items():
        assert sentence == sentence.strip(), key
        assert sentence, key
        assert "\n" not in sentence, key
        assert sentence.count("{") == sentence.count("}") == len(GAP.findall(sentence)), key


def test_every_words_file_is_plain_tables_of_sentences() -> None:
    for file in (resources.files("steadyrest.wording") / "words").iterdir():
        for family, lines in tomllib.loads(file.read_text(encoding="utf-8")).items():
            assert all(isinstance(line, str) for line in lines.values()), f"{file.name} [{family}]"
