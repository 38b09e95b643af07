"""Preferred numbers and tapers against outside values.

Preferred numbers: computed as 10^(k/40); ISO 3 rounds within about 1.3 % of that (the standard's own statement, from
memory); R5 as printed in an engineering text after BS 2045:1965 (seen).
Morse: diameters in two public charts (seen); plug depths from memory; taper per foot computed from both.
"""

from __future__ import annotations

import pytest

from steadyrest.tables.sizes import preferred_numbers
from steadyrest.tables.tapers import tapers

PLUG_DEPTH_IN = {0: 2.0, 1: 2.125, 2: 2.5625, 3: 3.1875, 4: 4.0625, 5: 5.1875, 6: 7.25, 7: 10.0}
LARGE_IN = {0: 0.3561, 1: 0.4750, 2: 0.7000, 3: 0.9380, 4: 1.2310, 5: 1.7480, 6: 2.4940, 7: 3.2700}
SMALL_IN = {0: 0.2520, 1: 0.3690, 2: 0.5720, 3: 0.7780, 4: 1.0200, 5: 1.4750, 6: 2.1160, 7: 2.7500}


def test_r5_is_as_printed() -> None:
    assert preferred_numbers("R5") == (1.0, 1.6, 2.5, 4.0, 6.3)


def test_preferred_numbers_stay_within_the_rounding_of_the_standard() -> None:
    numbers = preferred_numbers("R40")
    assert len(numbers) == 40
    for step, number in enumerate(numbers):
        assert number == pytest.approx(10 ** (step / 40), rel=0.013)


@pytest.mark.parametrize("number", range(8))
def test_morse_tapers_have_the_printed_diameters_and_the_taper_that_joins_them(number: int) -> None:
    taper = tapers()[number]
    assert taper.name == f"Morse {number}"
    assert taper.large_mm == pytest.approx(LARGE_IN[number] * 25.4)
    assert taper.small_mm == pytest.approx(SMALL_IN[number] * 25.4)
    per_inch = (LARGE_IN[number] - SMALL_IN[number]) / PLUG_DEPTH_IN[number]
    # Half a digit of each printed diameter.
    assert taper.ratio == pytest.approx(per_inch, abs=0.0001 / PLUG_DEPTH_IN[number] + 0.0002)
