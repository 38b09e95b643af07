"""Why a piece of the rack was left out of what was looked for: how much it lacks, in words."""

from __future__ import annotations

from collections.abc import Iterable

from steadyrest.desk.pieces.rack import Shelved, find, size_of, yields_it
from steadyrest.shop.floor import Shop
from steadyrest.stock.pieces import SIZES
from steadyrest.store.rack import RackPiece
from steadyrest.units import show_length
from steadyrest.units.lengths import LengthUnit

SOLID = frozenset({"round", "square", "hexagon", "flat", "plate", "sheet", "block"})


def left_out(
    found: Iterable[Shelved], *, place: str, metal: str, yields: str, unit: LengthUnit, shop: Shop
) -> tuple[tuple[Shelved, str], ...]:
    """Pieces of the metal asked for that lie where was asked and do not give the size.

    Args:
        found: the whole rack. place, metal, yields: as rack.find has them. unit: of a size, and the reader's.
        shop: its metals.
    Returns: each with why, by place and label; nothing where no size was asked.
    Raises: BadInput: a size that is none.
    """
    if not yields:
        return ()
    wanted = size_of(yields, unit)
    near = find(found, place=place, metal=metal, unit=unit, shop=shop)
    return tuple((one, why_not(one.piece, wanted, unit)) for one in near if not yields_it(one.piece, wanted))


def why_not(piece: RackPiece, wanted_mm: tuple[float, ...], unit: LengthUnit) -> str:
    """Why a size does not come out of a piece.

    Args:
        piece: that does not yield it. wanted_mm: diameter and length, or three sides. unit: the reader's.
    Returns: such as "20 mm too short".
    """

    def short(what: str, mm: float) -> str:
        return f"{show_length(round(mm, 3), unit)} too {what}"

    if piece.shape not in SOLID:
        return f"a {piece.shape}: whether its wall is thick enough is not looked at"
    if len(wanted_mm) == 2 and piece.shape in ("round", "square", "hexagon"):
        d, long = wanted_mm
        said = [short("thin", d - piece.size_mm[0])] if d > piece.size_mm[0] else []
        said += [short("short", long - piece.usable_mm)] if long > piece.usable_mm else []
    elif piece.shape in ("round", "hexagon"):
        said = [] if max(wanted_mm) <= piece.usable_mm else [short("short", max(wanted_mm) - piece.usable_mm)]
        said = said or [f"its {SIZES[piece.shape][0]} of {show_length(piece.size_mm[0], unit)} does not hold it across"]
    else:
        sides = wanted_mm if len(wanted_mm) == 3 else (wanted_mm[0], *wanted_mm)
        across = piece.size_mm if len(piece.size_mm) > 1 else piece.size_mm * 2
        pairs = zip(sorted(sides), sorted((*across, piece.usable_mm)), strict=True)
        said = [
            short(what, a - b) for what, (a, b) in zip(("thin", "narrow", "short"), pairs, strict=True) if a > b
        ]  # fmt: skip
    if not said:
        return "what is left of its outline does not hold it"
    bad = f"; {show_length(piece.bad_mm, unit)} of it are no use" if piece.bad_mm else ""
    return " and ".join(said) + bad
