"""Bodies that are not turned, for tests: a block with holes and pockets, cut out of cells by formulas, no kernel."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from steadyrest.shop.floor import Machine, MillLimits, Shop
from steadyrest.shop.part import Feature, FeatureKind, Part, Size, UnitSaid, Vec3
from steadyrest.shop.solid_grid import BoolArray, grid_of
from steadyrest.shop.work import Blank
from steadyrest.stations.answer import Ask, State
from tests.stations.parts import WHY, demo_shop, size

FRAME = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
FACES: tuple[Vec3, ...] = ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1))


class Block:
    """A block from (0, 0, 0) to its size; what is cut out of it becomes features."""

    def __init__(self, length: float, width: float, height: float, pitch: float = 0.5) -> None:
        self.size: Vec3 = (length, width, height)
        self.pitch = pitch
        counts = tuple(round(one / pitch) for one in self.size)
        self.filled: BoolArray = np.ones(counts, dtype=np.bool_)
        self.middles = [(np.arange(n) + 0.5) * pitch for n in counts]
        self.features: list[Feature] = []
        for k, out in enumerate(FACES, 1):
            at = tuple(s / 2 + o * s / 2 for s, o in zip(self.size, out, strict=True))
            self.features.append(Feature(f"S{k}", "face", (), out, (at[0], at[1], at[2])))

    def cut(self, where: Callable[[np.ndarray, np.ndarray, np.ndarray], np.ndarray]) -> Block:
        """Take away the cells where a formula of x, y, z is true."""
        x, y, z = np.meshgrid(*self.middles, indexing="ij", sparse=True)
        self.filled &= ~where(x, y, z)
        return self

    def named(
        self,
        kind: FeatureKind,
        sizes: tuple[Size, ...],
        axis: Vec3,
        at: Vec3,
        *,
        inside: bool = False,
        area: float = 100.0,
        through: bool | None = None,
    ) -> Block:
        letter = "G" if kind == "slot" else kind[0].upper()  # S is a side of the block
        name = f"{letter}{sum(f.kind == kind for f in self.features) + 1}"
        self.features.append(Feature(name, kind, sizes, axis, at, through=through, inside=inside, area_mm2=area))
        return self

    def hole(self, x0: float, y0: float, diameter: float, depth: float | None = None) -> Block:
        """A hole from the top, through without a depth."""
        deep, top = depth or self.size[2], self.size[2]
        self.cut(lambda x, y, z: (np.hypot(x - x0, y - y0) < diameter / 2) & (z > top - deep))
        long = size("depth_mm" if depth else "length_mm", deep)
        return self.named(
            "bore", (size("diameter_mm", diameter), long), DOWN, (x0, y0, top - deep / 2), inside=True,
            through=depth is None,
        )  # fmt: skip

    def pocket(self, low: tuple[float, float], high: tuple[float, float], depth: float, corner: float = 0.0) -> Block:
        """A pocket from the top; its upright corners are rounded where a radius is given."""
        top = self.size[2]

        def where(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
            dx = np.maximum(np.maximum(low[0] + corner - x, x - high[0] + corner), 0)
            dy = np.maximum(np.maximum(low[1] + corner - y, y - high[1] + corner), 0)
            inside = (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
            return inside & (np.hypot(dx, dy) <= max(corner, 1e-9)) & (z > top - depth)

        self.cut(where)
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        wide, long = sorted((high[0] - low[0], high[1] - low[1]))
        sizes = (size("depth_mm", depth), size("width_mm", wide), size("length_mm", long))
        self.named("pocket", sizes, UP, (*middle, top - depth), inside=True)
        if corner:
            off = corner - corner / math.sqrt(2)
            for x in (low[0] + off, high[0] - off):
                for y in (low[1] + off, high[1] - off):
                    self.named(
                        "fillet",
                        (size("radius_mm", corner),),
                        UP,
                        (x, y, top - depth / 2),
                        inside=True,
                        area=math.pi / 2 * corner * depth,
                    )
        return self

    def part(self) -> Part:
        grid = grid_of(self.filled, pitch_mm=self.pitch, origin_mm=(0.0, 0.0, 0.0), frame=FRAME)
        volume = float(np.count_nonzero(self.filled)) * self.pitch**3
        return Part(
            "block", "solid", UnitSaid("mm", "sure", WHY), self.size, volume, tuple(self.features), False,
            frame=FRAME, grid=grid,
        )  # fmt: skip


def blank(part: Part, allowance: float = 2.0, *, as_stock: tuple[str, ...] = ()) -> Blank:
    """A block about a part, alike on all sides; none on the sides that stay as the stock comes."""
    length, width, thickness = part.size_mm
    width += 0.0 if "width" in as_stock else 2 * allowance
    thickness += 0.0 if "thickness" in as_stock else 2 * allowance
    mass = (length + 2 * allowance) * width * thickness * 7.85e-6
    return Blank(
        "block", (width, thickness), length + 2 * allowance, mass, "C45", (WHY,), as_stock=as_stock
    )  # fmt: skip


def mill(shop: Shop | None = None) -> tuple[Machine, MillLimits]:
    machine = (shop or demo_shop()).machine("mill")
    assert isinstance(machine.limits, MillLimits)
    return machine, machine.limits


def ask(part: Part, *, shop: Shop | None = None, quantity: int = 1, metal: str = "C45", **given: object) -> Ask:
    """The mill asked for a whole part from its block."""
    floor = shop or demo_shop()
    stock = blank(part, **given)  # type: ignore[arg-type]
    state = State(stock, "hot rolled", stock.length_mm, stock.mass_kg, sawn=True)
    names = tuple(feature.id for feature in part.features)
    return Ask(part, names, state, floor.material(metal), quantity, floor, floor.machine("mill"))
