"""The request files of `steadyrest form` for sheet: thinning and heating."""

from __future__ import annotations

import math
from typing import cast

from steadyrest.shop.shop_fields import Fields
from steadyrest.stations.form.heating import HeatingWanted
from steadyrest.stations.form.thinning import AskedPoint, ThinningWanted
from steadyrest.stations.slab import Conducts
from steadyrest.stock.asked.fields import ids, unread

THINNING_KEYS = ("what", "start_mm", "mould", "mould_unit", "section_mm", "side", "least_mm", "point")
POINT_KEYS = ("id", "at_mm")
HEATING_KEYS = ("what", "thickness_mm", "faces", "start_c", "core_c", "surface_limit_c", "material", "heater")
MATERIAL_KEYS = ("k_w_mk", "rho_kg_m3", "cp_j_kgk")
HEATER_KEYS = ("h_w_m2k", "around_c", "flux_w_m2")
UNITS = ("mm", "in", "m")
LONGEST_MM = 1e5
THICKEST_MM = 1e3
COLDEST_C, HOTTEST_C = -273.15, 5000.0
MOST_CORNERS, MOST_POINTS = 2000, 10_000
LEVEL_MM = 1e-6
SAME_MM = 1e-9


def read_thinning(file: Fields) -> tuple[ThinningWanted, tuple[str, ...]]:
    """Which sheet is drawn into which mould, and where its thickness is asked for.

    Args:
        file: the request.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    file.text("side", "female", among=("female",))
    if ("mould" in file.table) == ("section_mm" in file.table):
        what = "give either mould or section_mm, one of them."
        raise file.wrong(None, what, 'Write mould = "x.stl" or section_mm = [[0, 0], [40, -30], [80, 0]].')
    section = _section(file) if "section_mm" in file.table else ()
    points = file.each("point")
    if len(points) > MOST_POINTS:
        raise file.wrong("point", f"{len(points)} points are too many.", f"Give at most {MOST_POINTS}.")
    wanted = ThinningWanted(
        start_mm=file.number("start_mm", above=True, high=THICKEST_MM),
        section_mm=section,
        mould="" if section else file.text("mould"),
        mould_unit="" if section else file.text("mould_unit", "", among=("", *UNITS)),
        least_mm=file.number("least_mm", high=THICKEST_MM) if "least_mm" in file.table else None,
        points=tuple(
            AskedPoint(name, _place(row, in_section=bool(section)))
            for name, row in zip(ids(points, "point"), points, strict=True)
        ),
    )
    beside = tuple(key for row in points for key in unread(row, POINT_KEYS))
    return wanted, (*unread(file, THINNING_KEYS), *beside)


def _place(row: Fields, *, in_section: bool) -> tuple[float, ...]:
    """Where a point lies: (x, y, z), or (x, z) in a section; a y given there says how far along the trough: nowhere."""
    found: object = row.table.get("at_mm")
    if in_section and isinstance(found, list) and len(cast(list[object], found)) == 3:
        x, _, z = numbers(row, "at_mm", cast(list[object], found), 3)
        return x, z
    return numbers(row, "at_mm", found, 2 if in_section else 3)


def read_heating(file: Fields) -> tuple[HeatingWanted, tuple[str, ...]]:
    """Which sheet stands before which heater.

    Args:
        file: the request.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    heater = file.inner("heater")
    flux = "flux_w_m2" in heater.table
    if flux and ("h_w_m2k" in heater.table or "around_c" in heater.table):
        raise heater.wrong("flux_w_m2", "a heater has a flux or surroundings, not both.", "Leave one out.")
    wanted = HeatingWanted(
        thickness_mm=file.number("thickness_mm", above=True, high=THICKEST_MM),
        faces=file.whole("faces", low=1, high=2),
        start_c=temperature(file, "start_c"),
        core_c=temperature(file, "core_c"),
        surface_limit_c=temperature(file, "surface_limit_c"),
        material=read_material(file),
        h_w_m2k=None if flux else heater.number("h_w_m2k", high=1e6),
        around_c=None if flux else temperature(heater, "around_c"),
        flux_w_m2=heater.number("flux_w_m2", low=-1e8, high=1e8) if flux else None,
    )
    beside = (*unread(heater, HEATER_KEYS), *unread(file.inner("material"), MATERIAL_KEYS))
    return wanted, (*unread(file, HEATING_KEYS), *beside)


def read_material(file: Fields) -> Conducts:
    """The material's table.

    Args:
        file: the request.
    Returns: how it conducts.
    Raises: BadInput: a value is missing or out of range.
    """
    material = file.inner("material")
    return Conducts(
        k_w_mk=material.number("k_w_mk", low=1e-4, high=1e4),
        rho_kg_m3=material.number("rho_kg_m3", low=1e-2, high=1e5),
        cp_j_kgk=material.number("cp_j_kgk", low=1.0, high=1e5),
    )


def temperature(fields: Fields, key: str) -> float:
    """A temperature in degC.

    Args:
        fields: the table. key: where it stands.
    Returns: degC.
    Raises: BadInput: missing, or none that can be.
    """
    return fields.number(key, low=COLDEST_C, high=HOTTEST_C)


def numbers(row: Fields, key: str, found: object, count: int) -> tuple[float, ...]:
    """So many coordinates.

    Args:
        row: the table. key: where they stand. found: what stands there. count: how many there must be.
    Returns: mm.
    Raises: BadInput: no list of so many numbers.
    """
    each = cast(list[object], found) if isinstance(found, list) else []
    if len(each) != count:
        wanted = "[x, z]" if count == 2 else "[x, y, z]"
        raise row.wrong(key, f"{found!r} is not a point.", f"Write {wanted}.")
    for one in each:
        if isinstance(one, bool) or not isinstance(one, int | float) or not math.isfinite(one) or abs(one) > LONGEST_MM:
            raise row.wrong(key, f"{one!r} is no coordinate.", f"Give numbers of at most {LONGEST_MM:g}.")
    return tuple(float(cast(float, one)) for one in each)


def _section(file: Fields) -> tuple[tuple[float, float], ...]:
    """The section from rim to rim: what lies flat in z = 0 outside the rims is left off."""
    key = "section_mm"
    found = file.table[key]
    listed = cast(list[object], found) if isinstance(found, list) else []
    if not 3 <= len(listed) <= MOST_CORNERS:
        raise file.wrong(key, "it is not a list of corners.", f"Give 3 to {MOST_CORNERS} corners [x, z], rim to rim.")
    pairs = [cast(tuple[float, float], numbers(file, key, one, 2)) for one in listed]
    corners = [one for k, one in enumerate(pairs) if k == 0 or math.dist(one, pairs[k - 1]) > SAME_MM]
    while len(corners) > 2 and abs(corners[0][1]) <= LEVEL_MM and abs(corners[1][1]) <= LEVEL_MM:
        corners.pop(0)
    while len(corners) > 2 and abs(corners[-1][1]) <= LEVEL_MM and abs(corners[-2][1]) <= LEVEL_MM:
        corners.pop()
    if abs(corners[0][1]) > LEVEL_MM or abs(corners[-1][1]) > LEVEL_MM:
        raise file.wrong(key, "its ends are not in z = 0.", "Begin and end at the rims, with z = 0.")
    if corners[-1][0] < corners[0][0]:
        corners.reverse()
    if len(corners) < 3 or corners[-1][0] - corners[0][0] < 1e-3 or any(z >= -LEVEL_MM for _, z in corners[1:-1]):
        raise file.wrong(key, "it is no cavity below z = 0.", "Give every corner between the rims a z below 0.")
    if crossing := _crosses(corners):
        raise file.wrong(key, f"it crosses or meets itself near {crossing}.", "Give one plain line.")
    return tuple(corners)


def _crosses(corners: list[tuple[float, float]]) -> str:
    """Where the line meets itself; empty: nowhere."""
    from shapely import LineString
    from shapely.validation import explain_validity

    line = LineString(corners)
    if line.is_simple:
        return ""
    said = explain_validity(line)
    return said.removeprefix("Valid Geometry") or f"x {corners[0][0]:g}"
