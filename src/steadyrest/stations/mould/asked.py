"""The request files of `steadyrest form` for moulding: clamp and cooling."""

from __future__ import annotations

from steadyrest.shop.shop_fields import Fields
from steadyrest.stations.mould.clamp import ClampWanted, MouldedPart
from steadyrest.stations.mould.cooling import CoolingWanted
from steadyrest.stations.slab import Conducts
from steadyrest.stock.asked.fields import unread

CLAMP_KEYS = (
    "what", "part", "parting", "cavities", "runner_mm2", "pressure_mpa", "factor", "margin", "press_kn",
)  # fmt: skip
PART_KEYS = ("shape", "outside_mm", "inside_mm", "length_mm", "width_mm", "window_mm2")
COOLING_KEYS = ("what", "thickness_mm", "sides", "melt_c", "mould_c", "eject_c", "at", "material")
MATERIAL_KEYS = ("k_w_mk", "rho_kg_m3", "cp_j_kgk")
LONGEST_MM = 1e5
THICKEST_MM = 1e3
COLDEST_C, HOTTEST_C = -273.15, 5000.0


def read_clamp(file: Fields) -> tuple[ClampWanted, tuple[str, ...]]:
    """What is moulded, how many at a time, and in which press.

    Args:
        file: the request.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    parting = file.text("parting", among=("along", "across"))
    inner = file.inner("part")
    part = _part(inner, parting)
    if part.shown_mm2(parting) <= 0:
        raise inner.wrong("window_mm2", "the windows take all that the part shows.", "Give a smaller area.")
    wanted = ClampWanted(
        part=part,
        parting=parting,
        cavities=file.whole("cavities", low=1, high=10_000),
        runner_mm2=file.number("runner_mm2", 0.0, high=1e9),
        pressure_mpa=file.number("pressure_mpa", above=True, high=1e4),
        factor=file.number("factor", above=True, high=100.0),
        margin=file.number("margin", above=True, high=100.0),
        press_kn=file.number("press_kn", above=True, high=1e6),
    )
    return wanted, (*unread(file, CLAMP_KEYS), *unread(inner, PART_KEYS))


def _part(inner: Fields, parting: str) -> MouldedPart:
    """The part; a length that its shape shows nothing of may be left out."""
    shape = inner.text("shape", among=("ring", "disc", "plate"))
    window = inner.number("window_mm2", 0.0, high=1e10)
    if shape == "plate":
        length, width = (inner.number(key, above=True, high=LONGEST_MM) for key in ("length_mm", "width_mm"))
        return MouldedPart(shape, length_mm=length, width_mm=width, window_mm2=window)
    outside = inner.number("outside_mm", above=True, high=LONGEST_MM)
    need_inside = shape == "ring" and parting == "across"
    inside = inner.number("inside_mm", None if need_inside else 0.0, high=LONGEST_MM)
    if inside >= outside:
        raise inner.wrong("inside_mm", f"{inside:g} is not smaller than outside_mm, {outside:g}.", "Check both.")
    length = inner.number("length_mm", None if parting == "along" else 0.0, above=parting == "along", high=LONGEST_MM)
    return MouldedPart(shape, outside, inside, length, 0.0, window)


def read_cooling(file: Fields) -> tuple[CoolingWanted, tuple[str, ...]]:
    """Which wall cools in which mould.

    Args:
        file: the request.
    Returns: the values, and the keys that were not read.
    Raises: BadInput: the first thing wrong, with its line, the key and what is allowed.
    """
    material = file.inner("material")
    melt_c, mould_c, eject_c = (
        file.number(key, low=COLDEST_C, high=HOTTEST_C) for key in ("melt_c", "mould_c", "eject_c")
    )
    wanted = CoolingWanted(
        thickness_mm=file.number("thickness_mm", above=True, high=THICKEST_MM),
        sides=file.whole("sides", low=1, high=2),
        melt_c=melt_c,
        mould_c=mould_c,
        eject_c=eject_c,
        mean=file.text("at", among=("centre", "mean")) == "mean",
        material=Conducts(
            k_w_mk=material.number("k_w_mk", low=1e-4, high=1e4),
            rho_kg_m3=material.number("rho_kg_m3", low=1e-2, high=1e5),
            cp_j_kgk=material.number("cp_j_kgk", low=1.0, high=1e5),
        ),
    )
    return wanted, (*unread(file, COOLING_KEYS), *unread(material, MATERIAL_KEYS))
