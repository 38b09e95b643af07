"""The nominal solid of a part as STEP."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.part.handover.datum_marks import DatumMark, outline_marks
from steadyrest.part.handover.flatted import FlatCut, flat_cuts
from steadyrest.part.handover.holed import HoleCut, hole_cuts
from steadyrest.part.handover.keyed import KeyCut, key_cuts
from steadyrest.part.handover.left_out import as_read, left_out, own_volume_mm3, volume_off
from steadyrest.part.handover.milled import Milled, milled_of
from steadyrest.part.handover.nominal_profile import nominal_profile
from steadyrest.part.handover.outline import outline
from steadyrest.part.handover.recessed import RingCut, ring_cuts
from steadyrest.part.handover.slotted import SlotCut, slot_cuts
from steadyrest.shop.figure import Reason
from steadyrest.shop.part import Outline, Part, Profile
from steadyrest.trouble import BadInput
from steadyrest.wording.say import say

GOOD_SHARE = 0.005  # of the volume: so near, nothing is drawn a second time
WORST_SHARE = 0.15  # further off than that it is not this part


@dataclass(frozen=True, slots=True)
class Handed:
    """The nominal solid as a STEP file, and what is not in it or not as it was read. data: b"" where there is none.

    outlines: of a part that is not turned, the lines round its largest flat face.
    """

    data: bytes
    said: tuple[Reason, ...]
    outlines: tuple[Outline, ...] = ()
    marks: tuple[DatumMark, ...] = ()


def nominal_step(part: Part) -> bytes:
    """The nominal solid as STEP in mm; see `nominal_solid`."""
    return nominal_solid(part).data


def nominal_solid(part: Part) -> Handed:
    """The nominal solid in mm: of a turned part its profile turned round the z axis, with bores, fillets, arcs,
    recesses, keyways, flats, hexagons, slots and holes; of another what lies between its faces, with bosses, rounded
    corners, holes, countersinks and chamfers.

    What it leaves out stands in the file's description, too.

    Args:
        part: a turned part, or one that was read with its cells.
    Returns: the file; the same part gives the same bytes.
    Raises: BadInput: there is none of this part, or it does not close.
    """
    if part.profile is None:
        return milled_solid(part)
    from steadyrest.part.solid.kernel.building import Cuts, turned_step

    profile = nominal_profile(part)
    line = outline(part, profile)
    cuts = Cuts(*all_cuts(part, profile))
    said: list[Reason] = []

    def notes(volume_mm3: float) -> list[str]:
        said.extend((*not_drawn(part), *volume_off(part, volume_mm3)))
        return [say(reason) for reason in said]

    try:
        data = turned_step(line, cuts, name=part.name, notes=notes)
    except (ValueError, RuntimeError) as error:
        what = "the recovered profile does not make a sound solid."
        raise BadInput(where=part.name, what=what, do="Settle the sizes marked ask, then hand it over.") from error
    return Handed(data, tuple(said))


def milled_solid(part: Part) -> Handed:
    """The nominal solid of a part that is not turned: with its boxes split at slanted faces where that tells more."""
    from steadyrest.part.solid.kernel.milled import milled_step

    made: list[tuple[float, Handed]] = []
    trouble: Exception | None = None
    for split in (False, True):
        shapes = milled_of(part, split=split)
        said: list[Reason] = []
        drawn: list[float] = []

        def notes(
            volume_mm3: float,
            unsound: frozenset[str],
            shapes: Milled = shapes,
            said: list[Reason] = said,
            drawn: list[float] = drawn,
        ) -> list[str]:
            drawn.append(volume_mm3)
            said.extend((*left_out(part, shapes.features - unsound), *as_read(part), *volume_off(part, volume_mm3)))
            return [say(reason) for reason in said]

        try:
            made_of = milled_step(shapes, name=part.name, notes=notes)
        except (ValueError, RuntimeError) as error:
            trouble = error
            continue
        own = own_volume_mm3(part)
        off = abs(drawn[0] / own - 1) if own else 0.0
        high = tuple(max(box[1][k] for box in shapes.boxes) for k in range(3))
        marks = outline_marks(part, made_of.outlines, made_of.across, high)
        made.append((off, Handed(made_of.data, tuple(said), made_of.outlines, marks)))
        if made[0][0] <= GOOD_SHARE or not shapes.slants:
            break
    if not made:
        what = "its faces do not make a sound solid."
        raise BadInput(where=part.name, what=what, do="Hand over the file as it is.") from trouble
    off, best = made[-1] if made[-1][0] < 0.5 * made[0][0] else made[0]
    if off > WORST_SHARE:
        what = f"most of it is no prism: what could be drawn is {100 * off:.0f} % off in volume."
        raise BadInput(where=part.name, what=what, do="Hand over the file as it is.")
    return best


def not_drawn(part: Part) -> tuple[Reason, ...]:
    """What the nominal solid leaves out, and which of its sizes nobody named.

    Args:
        part: any.
    Returns: reasons; none of a part that is not turned: what its solid leaves out is known once it is made.
    """
    if part.profile is None:
        return ()
    profile = nominal_profile(part)
    cut = {one.feature for cuts in all_cuts(part, profile) for one in cuts}
    return left_out(part, frozenset(cut) | outline(part, profile).fillets)


def all_cuts(
    part: Part, profile: Profile
) -> tuple[tuple[KeyCut, ...], tuple[HoleCut, ...], tuple[FlatCut, ...], tuple[RingCut, ...], tuple[SlotCut, ...]]:
    """Keyways, holes off the axis, flats, recesses in faces, slots across an end."""
    return (
        key_cuts(part, profile),
        hole_cuts(part, profile),
        flat_cuts(part, profile),
        ring_cuts(part, profile),
        slot_cuts(part, profile),
    )
