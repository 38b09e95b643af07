"""What the file could not settle, and the question that would."""

from __future__ import annotations

from steadyrest.part.nominal.choice import AS_MEASURED, RUNNING
from steadyrest.part.nominal.habits import habits
from steadyrest.part.nominal.partners import bearing_bores, bearing_outsides
from steadyrest.part.nominal.shown import shown
from steadyrest.part.nominal.unknowns import is_worn, modelled, seat_share, worn_all_over
from steadyrest.shop.figure import because
from steadyrest.shop.part import LIKELY, Doubt, Feature, Part, Size

# More questions than this at once are not answered; the next reading names the one that matters most.
MOST_RIVALS = 4
EVEN_MM = (0.06, 0.6)  # of a diameter: less is the fit, more is no wear that a bearing outlives; judgement
MINE = ("unit_size", "worn_all_over", "k6_or_m6", "bearing_number", "mixed", "no_system", "rivals", "what_runs",
        "built_or_worn", "worn_evenly")  # fmt: skip


def doubts(part: Part) -> tuple[Doubt, ...]:
    """All doubts of the part: those that others raised, then those about its sizes.

    Args:
        part: with nominals and limits.
    Returns: doubts; naming a part twice does not double them.
    """
    kept = tuple(d for d in part.doubts if d.what.key.partition(".")[2] not in MINE)
    if part.unit.state == "ask":
        return (*kept, *unit_doubt(part))
    found: list[Doubt] = []
    for feature in sorted(part.features, key=lambda f: -f.area_mm2):
        of_rivals = sum(doubt.what.key == "doubt.rivals" for doubt in found)
        found.extend(d for d in about(part, feature) if d.what.key != "doubt.rivals" or of_rivals < MOST_RIVALS)
    if part.system == "mixed":
        found.append(Doubt(because("doubt.mixed"), because("ask.mixed")))
    if part.system is None and not modelled(part) and len(part.features) > 1:
        found.append(Doubt(because("doubt.no_system"), because("ask.no_system")))
    return (*kept, *found)


def unit_doubt(part: Part) -> tuple[Doubt, ...]:
    """Ask for the one size that is easiest to take: the largest diameter, else the longest edge."""
    round_sizes = [(s.estimate, f.id) for f in part.features if f.kind == "shaft" and (s := f.size("diameter_mm"))]
    if round_sizes:
        largest, feature = max(round_sizes)
        return (
            Doubt(because("doubt.unit_size", size=f"{largest:.6g}"), because("ask.unit_diameter", feature=feature)),
        )
    return (Doubt(because("doubt.unit_size", size=f"{max(part.size_mm):.6g}"), because("ask.unit_length")),)


def about(part: Part, feature: Feature) -> tuple[Doubt, ...]:
    """Doubts about the sizes of one feature."""
    if not feature.sizes or feature.sizes[0].nominal is None:
        return ()
    first = feature.sizes[0]
    assert first.nominal is not None
    found: list[Doubt] = []
    if not modelled(part) and first.reading is None:
        found.extend(about_scan(part, feature, first))
    if first.nominal.source == "bearing bore" and first.nominal.odds >= LIKELY:
        found.append(
            Doubt(
                because("doubt.bearing_number", feature=feature.id, bore=first.nominal.shown),
                because("ask.bearing_number"),
            )
        )
    return tuple(found)


def about_scan(part: Part, feature: Feature, first: Size) -> tuple[Doubt, ...]:
    """What a scan cannot tell about a feature's principal size."""
    nominal = first.nominal
    assert nominal is not None
    found: list[Doubt] = []
    worn = is_worn(part, feature)
    if worn and worn_all_over(feature, first):
        found.append(Doubt(because("doubt.worn_all_over", feature=feature.id), because("ask.worn_all_over")))
    found.extend(built_or_worn(feature, first))
    found.extend(worn_evenly(part, feature, first))
    why = nominal.limits.why[0].key if nominal.limits is not None else ""
    if why in ("limits.worn_shaft", "limits.worn_bore"):
        found.append(
            Doubt(because("doubt.what_runs", feature=feature.id), because("ask.what_runs", feature=feature.id))
        )
    if any(reason.key == "limits.micrometer_decides" for reason in (nominal.limits.why if nominal.limits else ())):
        ask = "ask.k6_or_m6_worn" if worn else "ask.k6_or_m6"
        found.append(Doubt(because("doubt.k6_or_m6", feature=feature.id), because(ask, feature=feature.id)))
    if nominal.state == "ask" and nominal.rivals and feature.kind not in ("chamfer", "fillet"):
        first_said = f"{nominal.shown} as measured" if nominal.source == AS_MEASURED else nominal.shown
        found.append(
            Doubt(
                because("doubt.rivals", feature=feature.id, first=first_said, second=nominal.rivals[0][0]),
                because("ask.rivals", feature=feature.id),
            )
        )
    return tuple(found)


def built_or_worn(feature: Feature, first: Size) -> tuple[Doubt, ...]:
    """A smooth patch stands proud of a seat that is even elsewhere: which of two levels is the seat's."""
    if first.below is None:
        return ()
    above_mm = first.estimate if first.scanned is None else first.scanned[0]
    what = because("doubt.built_or_worn", feature=feature.id, above_mm=above_mm, below_mm=first.below[0])
    return (Doubt(what, because("ask.built_or_worn", feature=feature.id)),)


def worn_evenly(part: Part, feature: Feature, first: Size) -> tuple[Doubt, ...]:
    """A sound-looking seat a little off what a bearing takes: wear all round and from end to end leaves no witness."""
    nominal = first.nominal
    if first.name != "diameter_mm" or nominal is None or is_worn(part, feature) or nominal.source in RUNNING:
        return ()
    way = 1 if feature.kind == "shaft" else -1 if feature.kind == "bore" and feature.along_mm is not None else 0
    if not way or (way > 0 and seat_share(part, feature) < habits().standard["bearing_bore"]):
        return ()
    system = "in" if part.system == "inch" else "mm"
    fits = bearing_bores(system) if way > 0 else bearing_outsides(system)
    lost = [way * (fit.value_mm - first.estimate) for fit in fits]
    near = min((one for one in lost if EVEN_MM[0] < one < EVEN_MM[1]), default=None)
    if near is None or abs(nominal.value - first.estimate) > near:
        return ()
    fit = fits[lost.index(near)]
    what = because(
        "doubt.worn_evenly", feature=feature.id, named=nominal.shown, bearing=shown(fit.value_mm, fit.unit),
        lost_um=near * 1000,
    )  # fmt: skip
    return (Doubt(what, because("ask.worn_evenly", feature=feature.id)),)
