"""Damage by seed (damaged.py): what is read is a part or one line, whatever was done to the file.

A few seeds of every kind that needs no kernel; the many are read by sweep.py, outside of the unit tests. What failed
there once stands here by its seed.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from steadyrest.part.files.step import checked_text
from steadyrest.part.read import read
from steadyrest.trouble import BadInput
from tests.corpus.damaged import WAYS, damaged
from tests.corpus.sweep import fault_of, finite
from tests.part.files.test_meshes import WELL
from tests.part.flat.test_hostile import SEED
from tests.part.solid import made

SOUND = {
    "plate.dxf": SEED,
    **{name: WELL[name] for name in ("cube.stl", "text.ply", "big.ply", "cube.obj", "cube.3mf")},
}


@pytest.mark.parametrize("name", SOUND)
def test_a_damaged_file_is_a_part_or_one_line(name: str) -> None:
    for seed in range(5):
        _, data = damaged(SOUND[name], Path(name).suffix, seed)
        line = ""
        try:
            part = read(data, name, unit="mm", progress=lambda *_: None, stop=lambda: False)
            assert finite([part.size_mm, *(s.estimate for f in part.features for s in f.sizes)])
        except BadInput as trouble:
            line = trouble.line()
        assert "\n" not in line


def test_damaged_step_text_passes_or_is_one_line_before_the_kernel_sees_it() -> None:
    sound = made.step(made.cylinder(20, 0, 50))
    for seed in range(20):
        line = ""
        try:
            checked_text(damaged(sound, ".step", seed)[1], "x.step")
        except BadInput as trouble:
            line = trouble.line()
        assert "\n" not in line


@pytest.mark.parametrize("ending", WAYS)
def test_the_same_seed_does_the_same_damage(ending: str) -> None:
    sound = SOUND["cube.3mf"] if ending == ".3mf" else SEED
    assert damaged(sound, ending, 7) == damaged(sound, ending, 7)


@pytest.mark.parametrize(
    ("status", "out", "said", "sound"),
    [
        (0, '{"a": [1.5]}', "", True), (0, '{"a": NaN}', "", False), (0, "", "", False), (2, "", "x: no.", True),
        (2, "{}", "x: no.", False), (2, "", "two\nlines", False), (1, "", "our fault", False), (-11, "", "", False),
    ],
)  # fmt: skip
def test_the_sweep_calls_a_fault_whatever_breaks_the_contract(status: int, out: str, said: str, sound: bool) -> None:
    assert (fault_of(status, out, said) == "") is sound
