"""The nominal solid of a turned part as STEP."""

from __future__ import annotations

from steadyrest.part.handover.flatted import flat_cuts
from steadyrest.part.handover.holed import hole_cuts
from steadyrest.part.handover.keyed import key_cuts
from steadyrest.part.handover.left_out import left_out, volume_off
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.part.handover.outline import outline
from steadyrest.part.handover.recessed import ring_cuts
from steadyrest.shop.part import Part
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
    keys = key_cuts(part, profile)
    holes, flats, rings = hole_cuts(part, profile), flat_cuts(part, profile), ring_cuts(part, profile)
    drawn = frozenset(cut.feature for cut in (*keys, *holes, *flats, *rings)) | line.fillets

    def notes(volume_mm3: float) -> list[str]:
        return [say(reason) for reason in (*left_out(part, drawn), *volume_off(part, volume_mm3))]

    try:
        return turned_step(line, Cuts(keys, holes, flats, rings), name=part.name, notes=notes)
    except (ValueError, RuntimeError) as error:
        what = "the recovered profile does not make a sound solid."
        raise BadInput(where=part.name, what=what, do="Settle the sizes marked ask, then hand it over.") from error
