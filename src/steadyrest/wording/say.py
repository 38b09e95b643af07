"""Sentences for reasons, and values in the reader's own units.

A words file holds one table a family and one line a reason:

    [limit]
    spindle_power = "spindle power: {power_w} at {speed_rpm}"

A gap `{name}` is filled from the reason's `given`. A Figure is shown by its own unit. A bare number is shown by the
ending of its name: `_mm _s _n _w _nm _kg _mpa _rpm _m_min _mm_min _mm_rev _mm2 _mm3 _c _deg _um _odds _money`; other
numbers are shown plainly, and text as it is. `{name:1}` shows a length in mm to one place: what nobody could set finer.
`{name:why}` adds the figure's own first reason.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from steadyrest import units
from steadyrest.shop.figure import Figure, Reason

GAP = re.compile(r"\{([a-z0-9_]+)(?::([0-3]|why))?\}")
ENDINGS = ("m_min", "mm_min", "mm_rev", "mm2", "mm3", "mm", "um", "s", "n", "w", "nm", "kg", "mpa", "rpm", "c", "deg")
# A size's key, as a person calls it.
SIZE_WORDS = {
    "diameter_mm": "diameter", "width_mm": "width", "depth_mm": "depth", "length_mm": "length",
    "radius_mm": "radius", "angle_deg": "angle", "pitch_mm": "pitch",
    "pitch_diameter_mm": "pitch diameter", "over_wires_mm": "size over three wires",
}  # fmt: skip
FIGURE_UNITS = {
    "mm": "mm", "um": "um", "s": "s", "kg": "kg", "N": "n", "Nm": "nm", "W": "w", "MPa": "mpa", "rpm": "rpm",
    "m/min": "m_min", "mm/rev": "mm_rev", "mm/min": "mm_min", "mm2": "mm2", "mm3": "mm3", "degC": "c", "deg": "deg",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads: their length unit ("mm" or "in") and the shop's currency."""

    unit: units.LengthUnit = "mm"
    currency: str = ""


@cache
def words() -> Mapping[str, str]:
    """Every sentence by its reason's key.

    Returns: key such as "limit.spindle_power" to the sentence with its gaps.
    """
    found: dict[str, str] = {}
    folder = resources.files("steadyrest.wording") / "words"
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if file.name.endswith(".toml"):
            for family, lines in tomllib.loads(file.read_text(encoding="utf-8")).items():
                for name, sentence in lines.items():
                    if f"{family}.{name}" in found:
                        raise ValueError(f"words/{file.name}: {family}.{name} is worded twice")
                    found[f"{family}.{name}"] = sentence
    return found


def say(reason: Reason, reader: Reader | None = None) -> str:
    """The sentence for a reason.

    Args:
        reason: key and what its sentence needs.
        reader: whose units; mm by default.
    Returns: one sentence without a full stop at its end.
    Raises: KeyError: the key has no sentence, or the sentence names something that the reason does not give.
    """
    reader = reader or Reader()
    given = dict(reason.given)

    def filled(gap: re.Match[str]) -> str:
        one = given[gap[1]]
        if gap[2] == "why" and isinstance(one, Figure):
            return f"{figure(one, reader)}, {say(one.why[0], reader)}"
        # An inch reader's named fractions must not be lost to rounding in millimetres.
        return value(gap[1], coarse(one, None if reader.unit == "in" else gap[2]), reader)

    return GAP.sub(filled, words()[reason.key])


def gaps(sentence: str) -> frozenset[str]:
    """The names that a sentence needs."""
    return frozenset(gap[1] for gap in GAP.finditer(sentence))


def coarse(given: Figure | float | str, places: str | None) -> Figure | float | str:
    """A value rounded to so many places, if the sentence asks for it."""
    if places is None or places == "why" or isinstance(given, str):
        return given
    if isinstance(given, Figure):
        return Figure(round(given.value, int(places)), given.unit, given.why)
    return round(given, int(places))


def value(name: str, given: Figure | float | str, reader: Reader) -> str:
    """One value as the reader wants it.

    Args:
        name: the gap's name; its ending tells a bare number's unit.
        given: a figure, a bare number or text.
        reader: whose units.
    Returns: text.
    """
    if isinstance(given, str):
        return given
    if isinstance(given, Figure):
        ending = "money" if given.unit == "money" else FIGURE_UNITS.get(given.unit, "")
        return quantity(given.value, ending, reader)
    if name.endswith(("_odds", "_money")):
        return quantity(given, name.rsplit("_", 1)[1], reader)
    ending = next((e for e in ENDINGS if name == e or name.endswith("_" + e)), "")
    return quantity(given, ending, reader)


def figure(shown: Figure, reader: Reader | None = None) -> str:
    """A figure's value alone, in the reader's unit."""
    return value("", shown, reader or Reader())


def quantity(number: float, ending: str, reader: Reader) -> str:
    """A number by its unit's ending, as a person reads it."""
    match ending:
        case "mm":
            return units.show_length(number, reader.unit)
        case "um":
            return f"{number:.0f} µm"
        case "s":
            return units.show_time(number)
        case "kg":
            return units.show_mass(number, "lb" if reader.unit == "in" else "kg")
        case "n":
            return f"{number:,.0f} N".replace(",", " ")
        case "w":
            return f"{number / 1000:.1f} kW"
        case "nm":
            return f"{number:.0f} Nm"
        case "mpa":
            return f"{number:.0f} MPa"
        case "rpm":
            return f"{number:.0f} rpm"
        case "m_min":
            return f"{number:.0f} m/min"
        case "mm_min":
            return f"{number:.0f} mm/min"
        case "mm_rev":
            return f"{number:.3g} mm/rev"
        case "mm2":
            return f"{number:.0f} mm²"
        case "mm3":
            return f"{number / 1000:.1f} cm³"
        case "c":
            return f"{number:.0f} °C"
        case "deg":
            return f"{number:.3g}°"
        case "odds":
            return units.show_odds(number)
        case "money":
            return f"{number:.2f} {reader.currency}".strip()
        case _:
            return f"{number:.6g}"
