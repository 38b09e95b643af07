"""The first channel of a PNG of 8 bits a channel, not interlaced: by the format's own description (W3C PNG, chunks and
filters 0 to 4)."""

from __future__ import annotations

import struct
import zlib

import numpy as np


def grey(data: bytes) -> np.ndarray:
    """(high, wide), 0 black to 255 white; of a coloured one, its red."""
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    at, packed, wide, high, channels = 8, b"", 0, 0, 0
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + size]
        at += size + 12
        if kind == b"IHDR":
            wide, high, depth, colour, *_, interlaced = struct.unpack(">IIBBBBB", body)
            channels = {0: 1, 2: 3, 4: 2, 6: 4}[colour]
            assert (depth, interlaced) == (8, 0)
        elif kind == b"IDAT":
            packed += body
    raw = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(high, 1 + wide * channels)
    # A filter works on each channel by itself; the first is grey, or red.
    out, before = np.zeros((high, wide), np.uint8), [0] * (wide + 1)
    for y in range(high):
        filtered, line = int(raw[y, 0]), raw[y, 1::channels].tolist()
        now = [0]
        for x, found in enumerate(line):
            a, b, c = now[x], before[x + 1], before[x]
            now.append((found + guess(filtered, a, b, c)) % 256)
        out[y] = now[1:]
        before = now
    return out


def guess(filtered: int, a: int, b: int, c: int) -> int:
    """What a filter expects by the left, the upper and the upper left neighbour."""
    if filtered < 4:
        return (0, a, b, (a + b) // 2)[filtered]
    p = a + b - c
    return min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]
