"""Deep-groove bearings against outside lists.

A public table of bearing data to ISO 15 (seen; dimensions only) and a second list for 6203 and 6303 (seen).
The bore code rule (00 10, 01 12, 02 15, 03 17, from 04 times five) is seen in two guides.
"""

from __future__ import annotations

import pytest

from steadyrest.tables.bearings import bearing

PRINTED = {
    0: (10, (26, 8), (30, 9), (35, 11)), 1: (12, (28, 8), (32, 10), (37, 12)), 2: (15, (32, 9), (35, 11), (42, 13)),
    3: (17, (35, 10), (40, 12), (47, 14)), 4: (20, (42, 12), (47, 14), (52, 15)), 5: (25, (47, 12), (52, 15), (62, 17)),
    6: (30, (55, 13), (62, 16), (72, 19)), 7: (35, (62, 14), (72, 17), (80, 21)), 8: (40, (68, 15), (80, 18), (90, 23)),
    9: (45, (75, 16), (85, 19), (100, 25)), 10: (50, (80, 16), (90, 20), (110, 27)),
    11: (55, (90, 18), (100, 21), (120, 29)), 12: (60, (95, 18), (110, 22), (130, 31)),
    13: (65, (100, 18), (120, 23), (140, 33)), 14: (70, (110, 20), (125, 24), (150, 35)),
    15: (75, (115, 20), (130, 25), (160, 37)), 16: (80, (125, 22), (140, 26), (170, 39)),
    18: (90, (140, 24), (160, 30), (190, 43)), 20: (100, (150, 24), (180, 34), (215, 47)),
}  # fmt: skip


@pytest.mark.parametrize("code", PRINTED)
def test_bearings_are_as_printed(code: int) -> None:
    bore, *series = PRINTED[code]
    for prefix, (outside, width) in zip(("60", "62", "63"), series, strict=True):
        found = bearing(f"{prefix}{code:02d}")
        assert found is not None
        assert (found.bore_mm, found.outside_mm, found.width_mm) == (bore, outside, width)


def test_suffixes_do_not_hide_a_bearing() -> None:
    assert bearing("6203-2RS") == bearing("6203 ZZ") == bearing("6203")
    assert bearing("6299") is None
