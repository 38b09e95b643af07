"""Metals and plastics that a small shop meets, and the groups they cut like.

A material's cutting force (kc1.1, mc) is that of its VDI 3323 group; the same alloy differs by a quarter and more
between sources, so a force is an estimate whatever the digits. American names are the nearest, not the same.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from steadyrest.tables.cutting import cutting_speed
from steadyrest.tables.rows import Row, rows
from steadyrest.trouble import BadInput

# Who numbers it, written before the number: "AISI 1045".
BODY = re.compile(r"^\s*(AISI|SAE|ASTM|DIN|EN|JIS|UNS|W\.?-?Nr\.?)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class MaterialGroup:
    """A group of materials that cut alike (VDI 3323, ISO 513).

    iso_letter: P steel, M stainless, K cast iron, N soft metals and plastics, S heat-resistant, H hardened.
    kc11_mpa: specific cutting force at a chip of 1 x 1 mm. mc: how steeply it falls; None where none is printed.
    """

    number: int
    iso_letter: str
    what: str
    rm_mpa: float | None
    kc11_mpa: float
    mc: float | None
    hardness_hb: float | None
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One material.

    hardness_hb: 0 for plastics. rm_mpa: usual tensile strength in the condition named; yield_mpa: None if not known.
    expansion_per_k: linear. vc_hss_m_min, vc_carbide_m_min: turning speeds, low and high, of its group.
    stringy: makes long chips. invented_price_per_kg: a stand-in until the shop's own price is known, in no currency.
    """

    id: str
    name: str
    other_names: tuple[str, ...]
    group: int
    density_kg_m3: float
    kc11_mpa: float
    mc: float
    hardness_hb: float
    rm_mpa: float
    yield_mpa: float | None
    e_mpa: float
    expansion_per_k: float
    vc_hss_m_min: tuple[float, float]
    vc_carbide_m_min: tuple[float, float]
    stringy: bool
    magnetic: bool
    invented_price_per_kg: Decimal
    sources: tuple[str, ...]
    standing: str
    note: str


@cache
def material_groups() -> tuple[MaterialGroup, ...]:
    """All groups, by number."""
    return tuple(
        MaterialGroup(
            number=int(row.number("group")),
            iso_letter=row.text("iso_letter"),
            what=row.text("what"),
            rm_mpa=row.number_or_none("rm_mpa"),
            kc11_mpa=row.number("kc11_mpa"),
            mc=row.number_or_none("mc"),
            hardness_hb=row.number_or_none("hardness_hb"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("material_groups")
    )


def material_group(number: int) -> MaterialGroup:
    """One group.

    Args:
        number: 1 to 41.
    Returns: the group.
    Raises: KeyError: no such group.
    """
    found = next((group for group in material_groups() if group.number == number), None)
    if found is None:
        raise KeyError(number)
    return found


@cache
def materials() -> tuple[MaterialRow, ...]:
    """All materials, in the file's order: steels, cast irons, aluminium, copper alloys, titanium, plastics."""
    return tuple(_material(row) for row in rows("materials"))


def find_material(text: str, where: str = "material") -> MaterialRow:
    """The material that a text names, whatever its case, spaces, dots and dashes.

    Args:
        text: an id, a number or another name, such as "C45", "1.0503", "4140", "en aw-6082".
        where: the field or key, for the line a person sees.
    Returns: the material.
    Raises: BadInput: none or more than one is called so; the line lists the nearest.
    """
    by_name = _by_name()
    plain = _plain(text)
    found = by_name.get(plain, ()) or by_name.get(_plain(BODY.sub("", text)), ())
    if len(found) == 1:
        return found[0]
    # A family's word ("brass") names several: they are listed, never chosen from.
    family = [material.id for material in materials() if len(plain) > 3 and plain in _plain(material.name)]
    near = difflib.get_close_matches(plain, list(by_name), n=6, cutoff=0.5)
    ids = dict.fromkeys([*family[:8], *(material.id for name in near for material in by_name[name])])
    do = f"Near it: {', '.join(ids)}." if ids else "Write a name such as C45, 42CrMo4, 1.4301 or 6082-T6."
    shown = text if len(text) <= 40 else f"{text[:40]}..."
    raise BadInput(where=where, what=f"no material is called “{shown}”.", do=do)


@cache
def _by_name() -> dict[str, tuple[MaterialRow, ...]]:
    found: dict[str, tuple[MaterialRow, ...]] = {}
    for material in materials():
        for name in {_plain(name) for name in (material.id, material.name, *material.other_names)}:
            found[name] = (*found.get(name, ()), material)
    return found


def _plain(text: str) -> str:
    return "".join(char for char in text.casefold() if char.isalnum())


def _material(row: Row) -> MaterialRow:
    group = material_group(int(row.number("group")))
    hss = cutting_speed(group.number, work="turn", tool="hss")
    carbide = cutting_speed(group.number, work="turn", tool="carbide")
    if group.mc is None or hss is None or carbide is None:
        raise ValueError(f"{row.at}: group {group.number} has no complete cutting data")
    return MaterialRow(
        id=row.text("id"),
        name=row.text("name"),
        other_names=row.names("other_names"),
        group=group.number,
        density_kg_m3=row.number("density_kg_m3"),
        kc11_mpa=group.kc11_mpa,
        mc=group.mc,
        hardness_hb=row.number_or_none("hardness_hb") or 0.0,
        rm_mpa=row.number("rm_mpa"),
        yield_mpa=row.number_or_none("yield_mpa"),
        e_mpa=row.number("e_mpa"),
        expansion_per_k=row.number("expansion_e6_per_k") * 1e-6,
        vc_hss_m_min=(hss.low, hss.high),
        vc_carbide_m_min=(carbide.low, carbide.high),
        stringy=row.flag("stringy"),
        magnetic=row.flag("magnetic"),
        invented_price_per_kg=Decimal(row.text("invented_price_per_kg")),
        sources=tuple(dict.fromkeys((row.text("source"), group.source, hss.source, carbide.source))),
        standing=row.text("standing"),
        note=row.text("note"),
    )
