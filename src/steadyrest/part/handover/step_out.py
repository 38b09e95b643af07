"""The nominal solid of a turned part as STEP."""

from __future__ import annotations

from steadyrest.part.handover.flatted import FlatCut, flat_cuts
from steadyrest.part.handover.holed import HoleCut, hole_cuts
from steadyrest.part.handover.keyed import KeyCut, key_cuts
from steadyrest.part.handover.left_out import left_out, volume_off
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.part.handover.outline import outline
from steadyrest.part.handover.recessed import RingCut, ring_cuts
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Part, Profile
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say


def nominal_step(part: Part) -> bytes:
    """The nominal profile turned round the z axis, with bores, fillets, arcs, recesses, keyways, flats, hexagons and
    holes, as STEP in mm.

    What it leaves out stands in the file's description.

    Args:
        part: a turned part.
    Returns: the file; the same part gives the same bytes.
    Raises: BadInput: the part is not a turned one, or its profile does not close.
    """
    from steadyrest.part.solid.kernel.building import Cuts, turned_step

    profile = nominal_profile(part)
    line = outline(part, profile)
    cuts = Cuts(*all_cuts(part, profile))

    def notes(volume_mm3: float) -> list[str]:
        return [say(reason) for reason in (*not_drawn(part), *volume_off(part, volume_mm3))]

    try:
        return turned_step(line, cuts, name=part.name, notes=notes)
    except (ValueError, RuntimeError) as error:
        what = "the recovered profile does not make a sound solid."
        raise BadInput(where=part.name, what=what, do="Settle the sizes marked ask, then hand it over.") from error


def not_drawn(part: Part) -> tuple[Reason, ...]:
    """What the nominal solid leaves out, and which of its sizes nobody named.

    Args:
        part: any.
    Returns: reasons; of a part that is not turned, that there is no solid.
    """
    if part.profile is None:
        return () if part.flat is not None else (because("handover.no_solid"),)
    profile = nominal_profile(part)
    cut = {one.feature for cuts in all_cuts(part, profile) for one in cuts}
    return left_out(part, frozenset(cut) | outline(part, profile).fillets)


def all_cuts(
    part: Part, profile: Profile
) -> tuple[tuple[KeyCut, ...], tuple[HoleCut, ...], tuple[FlatCut, ...], tuple[RingCut, ...]]:
    """Keyways, holes off the axis, flats, and recesses in faces."""
    return key_cuts(part, profile), hole_cuts(part, profile), flat_cuts(part, profile), ring_cuts(part, profile)
