"""How thick a flat part is: what a person said, or the file's name says; and the part as a plate so thick."""

from __future__ import annotations

import re
from dataclasses import replace

from steadyrest import units
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Feature, Part, Size
from steadyrest.tables.sheets import sheets
from steadyrest.trouble import BadInput

LEAST_MM, MOST_MM = 0.1, 400.0
DO = 'Give it with --thickness, such as 6, "1/4 in" or "10 gauge steel".'
# "t6", "t = 6 mm", "6mm", "PL8": a mark before the number, or the unit behind it.
IN_NAME = re.compile(
    r"(?:(?<![a-z0-9])(?:t|th|thk|pl|s)\s*=?\s*(\d+(?:[.,]\d+)?)(?:\s*mm)?|(?<![\w.,])(\d+(?:[.,]\d+)?)\s*mm)(?![a-z0-9])"
)


def with_thickness(part: Part, said: str) -> Part:
    """A part as it can be planned: a flat one with the thickness that was said, or that the file's name tells.

    Args:
        part: as read.
        said: as typed; "" if nobody said.
    Returns: the part; one that is not flat as it was.
    Raises: BadInput: a flat part whose thickness nobody tells, or a thickness for one that is not flat.
    """
    if part.flat is None:
        if said.strip():
            what = "it is no flat drawing: its thickness is in the file already."
            raise BadInput(where=part.name, what=what, do="Leave --thickness out.")
        return part
    if said.strip():
        return as_plate(part, thickness_mm(said))
    named = thickness_in_name(part.name)
    if named is None:
        raise BadInput(where=part.name, what="a drawing of a flat part does not tell how thick it is.", do=DO)
    return as_plate(part, named, from_name=True)


def thickness_mm(text: str) -> float:
    """A thickness as it was typed.

    Args:
        text: a length ("6", "6 mm", "1/4 in"), or a sheet's gauge ("10 gauge steel").
    Returns: mm.
    Raises: BadInput: neither, or no thickness of a plate.
    """
    words = " ".join(text.lower().replace("ga.", "gauge").split())
    words = re.sub(r"\bga\b", "gauge", words)
    if "gauge" in words:
        return _gauge(words, text)
    try:
        found = units.parse_length(text)
    except BadInput as bad:
        raise BadInput(where="--thickness", what=bad.what, do=DO) from None
    if not LEAST_MM <= found <= MOST_MM:
        what = f"{text!r} is no thickness of a plate."
        raise BadInput(where="--thickness", what=what, do=f"Give from {LEAST_MM:g} to {MOST_MM:g} mm.")
    return found


def _gauge(words: str, text: str) -> float:
    """A gauge number with its metal; a number without one may be several thicknesses."""
    named = [sheet for sheet in sheets() if sheet.shown.lower() == words or sheet.name.lower() == words]
    sizes = {sheet.thickness_mm for sheet in named}
    if len(sizes) == 1:
        return sizes.pop()
    if sizes:
        of = ", ".join(f"{sheet.metal} {sheet.thickness_mm:.4g} mm" for sheet in named)
        what = f"{text!r} is another thickness in each metal: {of}."
        raise BadInput(where="--thickness", what=what, do='Give it in mm or in, or name the metal: "10 gauge steel".')
    raise BadInput(where="--thickness", what=f"{text!r} is no gauge that is known here.", do=DO)


def thickness_in_name(name: str) -> float | None:
    """The thickness that a file's name tells, such as bracket_t6.dxf or plate-8mm.dxf.

    Args:
        name: of the file.
    Returns: mm; None where it tells none, or more than one.
    """
    stem = re.sub(r"\.[a-z0-9]+$", "", name.lower())
    found = {float((a or b).replace(",", ".")) for a, b in IN_NAME.findall(re.sub(r"[_\-]+", " ", stem))}
    said = [mm for mm in found if LEAST_MM <= mm <= MOST_MM]
    return said[0] if len(said) == 1 else None


def as_plate(part: Part, thickness_mm: float, *, from_name: bool = False) -> Part:
    """A flat part with its thickness: its box, its volume, and holes that go through.

    Args:
        part: flat, as read.
        thickness_mm: > 0. from_name: the file's name told it, and nobody said so.
    Returns: the part; how thick it is, is no question any more, or one to be confirmed.
    Raises: ValueError: the part is not flat.
    """
    if part.flat is None:
        raise ValueError(f"as_plate: {part.name} is not flat")
    x, y, _ = part.size_mm
    doubts = tuple(doubt for doubt in part.doubts if doubt.what.key != "flat.thickness")
    if from_name:
        named = because("flat.thickness_name", thickness_mm=thickness_mm)
        doubts = (*doubts, Doubt(named, because("flat.ask_thickness")))
    return replace(
        part,
        size_mm=(x, y, thickness_mm),
        volume_mm3=part.flat.area.value * thickness_mm,
        features=tuple(_through(_not_bar(feature), thickness_mm) for feature in part.features),
        doubts=doubts,
    )


def _not_bar(feature: Feature) -> Feature:
    """A round outline is cut from plate: that bar would be left as it is bought, is no limit of it."""
    return replace(feature, sizes=tuple(_no_bar(size) for size in feature.sizes))


def _no_bar(size: Size) -> Size:
    limits = size.nominal.limits if size.nominal else None
    if size.nominal is None or limits is None or all(why.key != "limits.stock_size" for why in limits.why):
        return size
    return replace(size, nominal=replace(size.nominal, limits=None))


def _through(feature: Feature, thickness_mm: float) -> Feature:
    """A hole of a flat part as deep as the plate."""
    if feature.kind != "bore" or feature.size("depth_mm") is not None:
        return feature
    deep = Size("depth_mm", thickness_mm, thickness_mm, 0.0)
    return replace(feature, sizes=(*feature.sizes, deep), through=True)
