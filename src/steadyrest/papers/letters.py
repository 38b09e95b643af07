"""Which characters the papers' letters have; what they lack is shown as an empty square, never left out unseen.

A font file tells its characters in its `cmap` table: ISO/IEC 14496-22, formats 4 (16 bit) and 12 (32 bit).
"""

from __future__ import annotations

import struct
from functools import cache
from pathlib import Path
from typing import Any

FONTS = Path(__file__).parent / "fonts"
LACKING = "□"
SPACES = {"\t": " ", "\n": " ", "\r": " ", "\u2028": " ", "\u2029": " "}
# Joiners and direction marks have no shape of their own, and typesetting needs them.
SHAPELESS = frozenset({0x00AD, 0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0x2060, 0xFEFF})


@cache
def known() -> frozenset[int]:
    """The code points that our fonts have between them."""
    return frozenset().union(SHAPELESS, *(code_points(path.read_bytes()) for path in sorted(FONTS.glob("*.ttf"))))


def code_points(font: bytes) -> set[int]:
    """The code points that a TrueType file has a glyph for.

    Args:
        font: the whole file.
    Returns: code points; those mapped to the missing glyph left out.
    """
    (tables,) = struct.unpack_from(">H", font, 4)
    directory = (struct.unpack_from(">4sIII", font, 12 + 16 * i) for i in range(tables))
    start = next(offset for tag, _, offset, _ in directory if tag == b"cmap")
    (count,) = struct.unpack_from(">H", font, start + 2)
    found: set[int] = set()
    for i in range(count):
        _, _, offset = struct.unpack_from(">HHI", font, start + 4 + 8 * i)
        (kind,) = struct.unpack_from(">H", font, start + offset)
        if kind == 4:
            found |= format_4(font, start + offset)
        elif kind == 12:
            found |= format_12(font, start + offset)
    return found


def format_4(font: bytes, at: int) -> set[int]:
    """Segments of 16-bit code points."""
    (twice,) = struct.unpack_from(">H", font, at + 6)
    n = twice // 2
    ends = struct.unpack_from(f">{n}H", font, at + 14)
    starts = struct.unpack_from(f">{n}H", font, at + 16 + twice)
    deltas = struct.unpack_from(f">{n}H", font, at + 16 + 2 * twice)
    ranges_at = at + 16 + 3 * twice
    ranges = struct.unpack_from(f">{n}H", font, ranges_at)
    found: set[int] = set()
    for i, (first, last, delta, jump) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for code in range(first, last + 1):
            glyph = code
            if jump:
                (glyph,) = struct.unpack_from(">H", font, ranges_at + 2 * i + jump + 2 * (code - first))
            if code != 0xFFFF and (glyph + delta if glyph or not jump else 0) & 0xFFFF:
                found.add(code)
    return found


def format_12(font: bytes, at: int) -> set[int]:
    """Groups of 32-bit code points."""
    (groups,) = struct.unpack_from(">I", font, at + 12)
    found: set[int] = set()
    for i in range(groups):
        first, last, glyph = struct.unpack_from(">III", font, at + 16 + 12 * i)
        found.update(code for code in range(first, last + 1) if glyph + code - first)
    return found


def printable(data: Any) -> Any:
    """Plain data with every character that our letters lack shown as an empty square.

    Args:
        data: text, or lists and mappings of it.
    Returns: the same, printable.
    """
    if isinstance(data, str):
        return "".join(c if ord(c) in known() else SPACES.get(c, LACKING) for c in data)
    if isinstance(data, dict):
        return {name: printable(value) for name, value in data.items()}  # pyright: ignore[reportUnknownVariableType]
    if isinstance(data, list | tuple):
        return [printable(value) for value in data]  # pyright: ignore[reportUnknownVariableType]
    return data
