"""What layers say, in the languages of the trade; and names that only look like one of its words."""

from __future__ import annotations

import pytest

from steadyrest.part.flat.layers import ORDER, read_table, role_of


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("BEND", "bend"),
        ("Bend_Lines", "bend"),
        ("BIEGELINIEN", "bend"),
        ("pli", "bend"),
        ("Piega 2", "bend"),
        ("etching", "engrave"),
        ("Gravur-1", "engrave"),
        ("CUT", "cut"),
        ("OuterProfile", "cut"),
        ("Innenkontur_2", "cut"),
        ("Mittellinie", "aside"),
        ("DIM", "aside"),
        ("0", None),
        ("Layer 1", None),
        ("Plasma", None),
        ("dimple", None),
        ("benders", None),
        ("plinth", None),
        ("market", None),
    ],
)
def test_a_layer_says_by_its_words(name: str, role: str | None) -> None:
    assert role_of(name) == role


def test_a_centre_line_type_counts_before_a_silent_layer() -> None:
    assert role_of("0", "CENTER2") == "aside"
    assert role_of("bend", "CENTER2") == "bend"
    assert role_of("0", "Continuous") is None


def test_no_word_has_two_roles() -> None:
    table = read_table()
    seen: dict[str, str] = {}
    for role in ORDER:
        for some in table[role].values():
            for word in some:
                assert word == word.lower()
                assert seen.setdefault(word, role) == role
