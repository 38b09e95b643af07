"""Look: a shaded picture of a scan, to see with one's own eyes whether it could be real.

`python -m tests.forward2.look --kind mixed --seed 3 --count 6 OUT.png`
"""

from __future__ import annotations

import argparse
import struct
import zlib

import numpy as np

from .prismatic import mixed, prismatic
from .scanner import Scan, scan
from .sight import _depths
from .turned import turned

KINDS = {"turned": turned, "prismatic": prismatic, "mixed": mixed}


def shaded(s: Scan, look: np.ndarray, size: int) -> np.ndarray:
    """Grey picture (size, size, 3) of a scan from a direction; invented surface is tinted."""
    look = look / np.linalg.norm(look)
    side = np.cross(look, [0.1, 0.2, 0.97])
    side /= np.linalg.norm(side)
    up = np.cross(look, side)
    uv = np.stack([s.points @ side, s.points @ up], 1)
    uv -= uv.min(0)
    pixel = float(uv.max()) / (size - 2)
    cross = np.cross(
        s.points[s.triangles[:, 1]] - s.points[s.triangles[:, 0]],
        s.points[s.triangles[:, 2]] - s.points[s.triangles[:, 0]],
    )
    normal = cross / np.maximum(np.linalg.norm(cross, axis=1), 1e-12)[:, None]
    corners = s.triangles.ravel()
    index = np.arange(corners.size).reshape(-1, 3)
    # One depth picture holds which triangle is in front: the light is coded into the depth's last digits.
    w = s.points @ look
    depth = _depths(uv[corners, 0], uv[corners, 1], w[corners], index, pixel, size, size)
    picture = np.full((size, size, 3), 255, np.uint8)
    back = depth < -1e8
    gu, gv = np.gradient(np.where(back, np.nan, depth), pixel)
    n = np.stack([-gu, -gv, np.ones_like(gu)], -1)
    n /= np.linalg.norm(n, axis=-1)[..., None]
    light = np.clip(n @ np.array([0.45, 0.35, 0.82]), 0, 1)
    picture[~back] = np.nan_to_num(60 + 180 * light, nan=40.0).astype(np.uint8)[~back][:, None]
    del normal
    fake = np.zeros((size, size), bool)
    p = (uv / pixel).round().astype(int)
    front = s.invented & (w > depth[p[:, 0], p[:, 1]] - 0.4)
    fake[p[front, 0], p[front, 1]] = True
    picture[fake, 0] = 255
    return picture.transpose(1, 0, 2)[::-1]


def write_png(path: str, picture: np.ndarray) -> None:
    """An RGB picture (h, w, 3) uint8 as PNG."""
    h, w, _ = picture.shape
    raw = b"".join(b"\0" + row.tobytes() for row in picture)

    def chunk(tag: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + tag + data + struct.pack(">I", zlib.crc32(tag + data))

    with open(path, "wb") as out:
        out.write(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", w, h, 8, 2, 0, 0, 0)))
        out.write(chunk(b"IDAT", zlib.compress(raw)) + chunk(b"IEND", b""))


def main() -> None:
    """Write a sheet of pictures."""
    ask = argparse.ArgumentParser()
    ask.add_argument("out")
    ask.add_argument("--kind", choices=KINDS, default="turned")
    ask.add_argument("--count", type=int, default=6)
    ask.add_argument("--seed", type=int, default=1)
    given = ask.parse_args()
    tiles = []
    for i in range(given.count):
        rng = np.random.default_rng([given.seed, i])
        drawing = KINDS[given.kind](rng)
        s = scan(drawing, rng)
        look = s.turn @ np.array([0.7, 0.45, 0.55])
        tiles.append(np.concatenate([shaded(s, look, 420), shaded(s, s.turn @ np.array([-0.3, 0.5, -0.8]), 420)], 0))
        print(drawing.name, len(s.triangles), f"noise {s.noise_mm:.3f} film {s.film_mm:.3f}",
              [(t.kind, t.nominal_mm, round(t.seen, 2)) for t in drawing.truths])  # fmt: skip
    write_png(given.out, np.concatenate(tiles, 1))


if __name__ == "__main__":
    main()
