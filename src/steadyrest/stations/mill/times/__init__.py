"""How long milling takes, from figures of geometry: what is cleared, how long its walls are, how wide its ways.

Asked a Take (what one tool takes) or a feature's sizes at a Place (machine and metal); gives a Cut: tools with their
times, what bounded them, how far they may be off, or every reason against it. No toolpath is made: accelerations,
corners, links and entries are counted. Not here: which tool reaches where (taking.py), set-ups, tool order.
Start at roughing.py; the path's clock is motion.py, its rings are rings.py. docs/times.md says how well it does.
"""

from steadyrest.stations.mill.times.between import between
from steadyrest.stations.mill.times.cut import Cut, together
from steadyrest.stations.mill.times.edges import chamfer, probe
from steadyrest.stations.mill.times.facing import face
from steadyrest.stations.mill.times.finishing import finish_floors, finish_sloped, finish_walls
from steadyrest.stations.mill.times.holes import counterbore, hole
from steadyrest.stations.mill.times.roughing import rough

__all__ = [
    "Cut", "between", "chamfer", "counterbore", "face", "finish_floors", "finish_sloped", "finish_walls", "hole",
    "probe", "rough", "together",
]  # fmt: skip
