"""Rules of thumb looked up: by words, by machine, by metal; and a metal's own speeds and feeds, each with its standing.

Where a rule decides something in a plan, the plan names it; here stands what it says and how far it may be trusted.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from steadyrest.desk.incoming import read_part
from steadyrest.shop.floor import Material, Shop
from steadyrest.shop.work import Step
from steadyrest.tables import cutting
from steadyrest.tables.practice import deciding, rules, unit_of
from steadyrest.tables.rows import rows
from steadyrest.trouble import BadInput

WAYS = ("lathe", "mill", "saw", "bench", "form", "mould", "grinder", "brake", "cutter", "jet")
WORKS: tuple[tuple[cutting.Work, str, str], ...] = (
    ("turn", "lathe", "turning"), ("drill", "", "drilling"), ("mill", "mill", "milling"),
)  # fmt: skip
PRINTED = "printed for this metal"
TOOLS: tuple[cutting.ToolMaterial, ...] = ("hss", "carbide")


# What a rule is about that names no machine, by the first word of its name.
TOPICS: Mapping[str, tuple[str, ...]] = {
    "tools and cuts": (
        "point", "centre", "chamfer", "groove", "face", "bore", "floor", "dwell", "gouge", "left", "edge", "corner",
        "milled", "plate",
    ),
    "holding on a table": ("jaw", "clamp", "v", "chuck", "turning", "turn"),
    "limits and measuring": (
        "hold", "refuse", "open", "chart", "measure", "gauge", "thermometer", "again", "mend", "other",
    ),
    "stock and rests": ("skin", "buy", "bar", "block", "drawn", "keep"),
    "whether to take it": ("chips", "shell", "others"),
    "at the desk": ("model", "program", "prove"),
    "work outside and treatments": ("outside", "ground", "harden", "rough", "lapped", "lap"),
    "putting together, and at the customer's": ("join", "site", "travel", "bought"),
    "lifting and packing": ("lift", "box", "pack"),
    "how far times may be off": ("spread", "time", "accel", "tool", "spindle"),
}  # fmt: skip
METALS: Mapping[str, str] = {
    "P": "steel", "M": "stainless", "K": "cast iron", "N": "aluminium, brass", "S": "titanium, nickel",
    "H": "hardened",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class RuleFound:
    """One rule. value: a number with its unit, or a band. decides: whether a plan names it where it counts.

    works: where it counts without being named, or that it is advice only. metals: as a person calls them; none: any.
    about: its machines, or what it is about where it names none.
    """

    name: str
    value: str
    note: str
    standing: str
    machines: tuple[str, ...]
    decides: bool
    works: str = ""
    metals: tuple[str, ...] = ()
    about: str = ""


def find_rules(
    words: str = "", *, machine: str = "", metal: str = "", shop: Shop, metals: tuple[Material, ...] | None = None
) -> tuple[RuleFound, ...]:
    """The rules that fit all of what was asked; everything where nothing was.

    Args:
        words: every one of them must stand in the rule's name, its note or its machines, whole or in part.
        machine: id of a machine of the shop, or a kind of machine such as "lathe"; "" for any.
        metal: a name of a metal; "" for any.
        shop: its machines and metals.
        metals: in place of the shop's.
    Returns: what the tables print first for the metal, then the rules by name.
    Raises: BadInput: no such machine or metal.
    """
    kind = _kind(machine, shop)
    known = read_part.material(metal, shop.materials if metals is None else metals) if metal else None
    letter = _letter(known) if known else ""
    asked = words.casefold().split()
    found = [*(_printed(known, kind) if known else ())]
    for name, one in sorted(rules().items()):
        if kind and one.machines and kind not in one.machines:
            continue
        if letter and one.metals and letter not in one.metals:
            continue
        value = f"{one.value:g} {unit_of(name)}".strip()
        found.append(
            RuleFound(name, value, one.note, one.standing, one.machines, bool(one.decides), one.works,
                      tuple(METALS[metal] for metal in one.metals), _about(name, one.machines))
        )  # fmt: skip
    return tuple(one for one in found if all(word in _said(one) for word in asked))


def _about(name: str, machines: tuple[str, ...]) -> str:
    """What a rule stands under: its machines, or its subject."""
    if machines:
        return " and ".join(sorted(machines))
    first = name.split("_", 1)[0]
    return next((topic for topic, words in TOPICS.items() if first in words), "")


def _said(one: RuleFound) -> str:
    """Where words are looked for."""
    tags = " ".join((*one.machines, *one.metals, one.about))
    return f"{one.name} {one.name.replace('_', ' ')} {one.note} {one.works} {tags}".casefold()


def rules_of(step: Step) -> tuple[RuleFound, ...]:
    """The rules of thumb that decided something at a step.

    Args:
        step: of a route.
    Returns: each once, in the order in which the step's reasons come.
    """
    reasons = (
        step.holding, *(why for limit in step.limits for why in limit.why), *step.cautions, *step.notes,
        *(point.if_not for point in step.hold_points), *step.unattended_why,
    )  # fmt: skip
    named = deciding(reason.key for reason in reasons)
    return tuple(
        RuleFound(name, f"{one.value:g} {unit_of(name)}".strip(), one.note, one.standing, one.machines, True)
        for name in named
        for one in (rules()[name],)
    )


def _kind(machine: str, shop: Shop) -> str:
    """The kind of a machine that was named."""
    if not machine:
        return ""
    ids: dict[str, str] = {one.id: str(one.kind) for one in shop.machines}
    if machine in ids:
        return ids[machine]
    if machine in WAYS:
        return machine
    near = difflib.get_close_matches(machine, (*ids, *WAYS), n=1, cutoff=0.5)
    do = f"Did you mean {near[0]}?" if near else f"The shop has {', '.join(ids)}."
    raise BadInput(where="--machine", what=f"there is no machine {machine!r}.", do=do)


def _letter(metal: Material) -> str:
    return next(r.text("iso_letter") for r in rows("material_groups") if int(r.number("group")) == metal.group)


def _printed(metal: Material, kind: str) -> Iterable[RuleFound]:
    """What the tables print for a metal: speeds, feeds, and how fast a band saw goes through it."""
    for work, machine, says in WORKS:
        if kind and machine and kind != machine:
            continue
        for tool in TOOLS:
            band = cutting.cutting_speed(metal.group, work=work, tool=tool)
            if band is not None:
                yield _band(f"{says}_speed_{tool}", band, "m/min", f"{says} {metal.id} with {tool}", machine)
    if kind in ("", "lathe"):
        yield from _feeds(metal)
    if kind in ("", "saw"):
        try:
            rate = cutting.saw_rate(metal.group)
        except KeyError:
            return
        yield _band("saw_band_speed", rate.band_m_min, "m/min", f"speed of a bimetal band in {metal.id}", "saw")
        yield _band("saw_area_rate", rate.area_cm2_min, "cm2/min", f"area of {metal.id} sawn, solid bar", "saw")


def _feeds(metal: Material) -> Iterator[RuleFound]:
    cuts: tuple[Literal["rough", "finish"], ...] = ("rough", "finish")
    for cut in cuts:
        band = cutting.turning_feed(metal.group, cut)
        yield _band(f"turning_feed_{cut}", band, "mm/rev", f"feed to {cut} {metal.id}", "lathe")


def _band(name: str, band: cutting.Band, unit: str, note: str, machine: str) -> RuleFound:
    value = f"{band.low:.3g} to {band.high:.3g} {unit}"
    return RuleFound(name, value, note, f"{band.standing} ({band.source})", (machine,) if machine else (), True,
                     about=PRINTED)  # fmt: skip
