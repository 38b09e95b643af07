"""How long all six answers take for a prismatic solid, and how that grows: plates of 10, 30, 100 and 300 features.

The plates are made here by the kernel and written as STEP: through holes of four sizes, pockets with rounded corners
and slots with round ends, in rows. Each is planned over the example shop, from the file to the price, the file read in
a process of its own. The peer is reading that file alone, in such a process too. Every feature must be made, or refused
with a reason, before time counts. Cold: in a process that has just started, as on the command line; warm: after that.
Run: python speed/plan.py [plate_100]. One JSON line a case; the keys stand in _shared.py.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from _shared import by_turns, each_in_its_own_process, line, of_children_mb, once, peak_mb

ROWS = {10: (5, 2), 30: (10, 3), 100: (20, 5), 300: (50, 6)}
PITCH_MM, WIDE_MM, THICK_MM, POCKET_MM, CORNER_MM = 14.0, 22.0, 18.0, 6.0, 3.0
DRILLS_MM = (5.0, 6.8, 8.5, 9.0)


def plate(features: int) -> bytes:
    """STEP bytes of a plate with so many holes, pockets and slots, in turns of six, two and two."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    from steadyrest.part.solid.kernel.quiet import be_quiet

    be_quiet()
    columns, rows = ROWS[features]

    def box(x: float, y: float, z: float, size: tuple[float, float, float], radius: float):
        shape = BRepPrimAPI_MakeBox(gp_Pnt(x, y, z), *size).Shape()
        rounded = BRepFilletAPI_MakeFillet(shape)
        seen: list[object] = []
        walk = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_EDGE)
        while walk.More():
            edge = TopoDS.Edge(walk.Current())
            from OCP.BRepAdaptor import BRepAdaptor_Curve

            if abs(BRepAdaptor_Curve(edge).Line().Direction().Z()) > 0.9 and not any(edge.IsSame(e) for e in seen):
                rounded.Add(radius, edge)
                seen.append(edge)
            walk.Next()
        return rounded.Shape()

    solid = BRepPrimAPI_MakeBox(gp_Pnt(0, 0, 0), columns * PITCH_MM, rows * WIDE_MM, THICK_MM).Shape()
    floor = THICK_MM - POCKET_MM
    for number in range(features):
        column, row = divmod(number, rows)
        x, y = (column + 0.5) * PITCH_MM, (row + 0.5) * WIDE_MM
        kind = number % 10
        if kind < 6:
            axis = gp_Ax2(gp_Pnt(x, y, -1.0), gp_Dir(0, 0, 1))
            tool = BRepPrimAPI_MakeCylinder(axis, DRILLS_MM[number % len(DRILLS_MM)] / 2, THICK_MM + 2).Shape()
        elif kind < 8:
            tool = box(x - 5.0, y - 7.0, floor, (10.0, 14.0, POCKET_MM + 1), CORNER_MM)
        else:
            tool = box(x - 3.99, y - 8.0, floor, (7.98, 16.0, POCKET_MM + 1), 3.98)
        solid = BRepAlgoAPI_Cut(solid, tool).Shape()
    writer, out = STEPControl_Writer(), io.BytesIO()
    writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
    writer.WriteStream(out)
    return out.getvalue()


def quiet(_what: str, _share: float) -> None:
    """Nobody listens."""


def never() -> bool:
    return False


def case(features: int) -> None:
    """One plate, planned; beside it, only read."""
    from steadyrest.desk.incoming import read_part
    from steadyrest.desk.plan import plan_part

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"plate_{features}.step"
        file.write_bytes(plate(features))
        wanted = plan_part.Wanted(
            file=file, material="C45", quantity="5", due="2027-03-01T18:00+00:00", unit=None, shop_file=None,
            data=None, now=datetime(2027, 2, 1, 8, tzinfo=UTC), seed=1,
        )  # fmt: skip

        def ours() -> None:
            answer = plan_part.plan_file(wanted, progress=quiet, stop=never)
            best = answer.best
            assert best is not None, "no route"
            told = {name for step in best.route.steps for name in step.makes}
            told |= {name for no in best.route.cannot for name in no.features}
            missing = {feature.id for feature in answer.part.features} - told
            assert not missing, f"neither made nor refused: {sorted(missing)}"

        def peer() -> None:
            read_part.read_part(file, unit=None, progress=quiet, stop=never)

        cold_s = once(ours)
        peer_s = once(peer)
        said = f"plan of a solid with {features} features"
        most = max(peak_mb(), of_children_mb())
        line(f"{said}, cold", ours_s=cold_s, peer="reading the file alone", peer_s=peer_s, peak=most)
        warm_s, peer_s = by_turns(ours, peer, 3)
        most = max(peak_mb(), of_children_mb())
        line(f"{said}, warm", ours_s=warm_s, peer="reading the file alone", peer_s=peer_s, peak=most)


CASES: dict[str, Callable[[], None]] = {f"plate_{features}": partial(case, features) for features in ROWS}

if __name__ == "__main__":
    each_in_its_own_process(__file__, CASES)
