"""Every way of working that this floor plans with, and which kind of machine does it."""

from __future__ import annotations

from collections.abc import Mapping

from steadyrest.stations import bend, deliver, hand, inspect, outside, prepare, saw, sheet
from steadyrest.stations.answer import Station
from steadyrest.stations.mill import answering as mill
from steadyrest.stations.plate import answering as plate
from steadyrest.stations.turn import answering as turn

STATIONS: Mapping[str, Station] = {
    "saw": saw.answer,
    "turn": turn.answer,
    "mill": mill.answer,
    "hand": hand.answer,
    "inspect": inspect.answer,
    "deliver": deliver.answer,
    "outside": outside.answer,
    "prepare": prepare.answer,
    "grind": sheet.grind,
    "bend": bend.answer,
    "plate": plate.answer,
}

# The kind of machine a station works on; those not named need none.
MACHINE_OF: Mapping[str, str] = {
    "saw": "saw", "turn": "lathe", "mill": "mill", "hand": "bench", "grind": "grinder", "bend": "brake",
    "plate": "cutter",
}  # fmt: skip
