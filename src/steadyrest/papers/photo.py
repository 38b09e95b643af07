"""A photo on a paper: upright, as its camera meant it, and no larger than it has to be.

Sizes stand in a JPEG's frame header and a PNG's first chunk; a phone writes how it was held into the EXIF orientation.
Sources: ITU-T T.81 (JPEG markers), ISO/IEC 15948 (PNG), CIPA DC-008 (EXIF orientation); from memory.
"""

from __future__ import annotations

import base64
import struct

# SVG transforms by EXIF orientation, for a picture of w x h: what the camera stored, turned upright.
TURNED = {
    2: "matrix(-1 0 0 1 {w} 0)",
    3: "matrix(-1 0 0 -1 {w} {h})",
    4: "matrix(1 0 0 -1 0 {h})",
    5: "matrix(0 1 1 0 0 0)",
    6: "matrix(0 1 -1 0 {h} 0)",
    7: "matrix(0 -1 -1 0 {h} {w})",
    8: "matrix(0 -1 1 0 0 {w})",
}
FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
ORIENTATION = 0x0112


def photo_svg(data: bytes) -> str:
    """A photo as SVG, which typst sets with its text.

    Args:
        data: a JPEG or PNG file.
    Returns: SVG text; empty where the file is none, or is cut short.
    """
    try:
        if data.startswith(b"\x89PNG\r\n\x1a\n"):
            kind, (w, h), turned = "png", struct.unpack(">II", data[16:24]), 1
        elif data.startswith(b"\xff\xd8"):
            kind, (w, h), turned = "jpeg", *jpeg(data)
        else:
            return ""
    except (struct.error, IndexError):
        return ""
    if not (0 < w < 100_000 and 0 < h < 100_000):
        return ""
    wide, high = (h, w) if turned >= 5 else (w, h)
    turn = f' transform="{TURNED[turned].format(w=w, h=h)}"' if turned in TURNED else ""
    href = f"data:image/{kind};base64,{base64.b64encode(data).decode()}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}">'
        f'<image{turn} width="{w}" height="{h}" href="{href}"/></svg>'
    )


def jpeg(data: bytes) -> tuple[tuple[int, int], int]:
    """A JPEG's width and height, and its orientation, 1 where it says none.

    Raises: struct.error, IndexError: the file ends before its frame begins.
    """
    at, turned = 2, 1
    while True:
        if data[at] != 0xFF:
            raise IndexError(at)
        marker = data[at + 1]
        (length,) = struct.unpack_from(">H", data, at + 2)
        if marker in FRAMES:
            h, w = struct.unpack_from(">HH", data, at + 5)
            return (w, h), turned
        if marker == 0xE1 and data[at + 4 : at + 10] == b"Exif\0\0":
            turned = orientation(data[at + 10 : at + 2 + length])
        at += 2 + max(length, 2)


def orientation(tiff: bytes) -> int:
    """The orientation in an EXIF block, 1 to 8; 1 where it says none."""
    try:
        order = "<" if tiff[:2] == b"II" else ">"
        (first,) = struct.unpack_from(f"{order}I", tiff, 4)
        (count,) = struct.unpack_from(f"{order}H", tiff, first)
        for k in range(min(count, 200)):
            tag, _, _, value = struct.unpack_from(f"{order}HHIH", tiff, first + 2 + 12 * k)
            if tag == ORIENTATION:
                return value if 1 <= value <= 8 else 1
    except struct.error:
        pass
    return 1
