"""Ways to make a sound file hostile, each seeded: the same seed does the same damage.

By bytes: cut short, bits flipped, stretches swapped, repeated, wiped. By sense: numbers that are none or beyond reason,
counts beyond reason, references that run in a circle, nesting without end, the same thing many times over, triangles
without area. `damaged` picks one way that the kind of file knows.
"""

from __future__ import annotations

import io
import random
import re
import struct
import zipfile
from collections.abc import Callable, Mapping

Way = Callable[[bytes, random.Random], bytes]
MODEL = "3D/3dmodel.model"
NUMBER = re.compile(rb"[-+]?\d+\.\d*(?:[eE][-+]?\d+)?")
WORDS = (
    b"nan",
    b"NaN",
    b"inf",
    b"-inf",
    b"1e308",
    b"-1.E400",
    b"1e-320",
    b"1e30",
    b"-9e15",
    b"0.",
    b"",
    b"1e6.5",
    b"0x7f",
)
COUNTS = (b"0", b"-1", b"4294967295", b"2147483648", b"99999999999999999999", b"1000000000")
FLOATS = (float("nan"), float("inf"), float("-inf"), 3e38, -3e38, 1e30, 1e-44, 0.0, -1e9)


def cut_short(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data))]


def head_lost(data: bytes, rng: random.Random) -> bytes:
    return data[rng.randrange(1, len(data)) :]


def flipped(data: bytes, rng: random.Random) -> bytes:
    """One to thirty bits turned over."""
    out = bytearray(data)
    for _ in range(rng.choice((1, 1, 3, 10, 30))):
        out[rng.randrange(len(out))] ^= 1 << rng.randrange(8)
    return bytes(out)


def stretches(data: bytes, rng: random.Random) -> tuple[int, int, int, int]:
    """Two stretches that do not overlap: from, to, from, to."""
    a, b, c, d = sorted(rng.randrange(len(data) + 1) for _ in range(4))
    return a, b, c, d


def swapped(data: bytes, rng: random.Random) -> bytes:
    a, b, c, d = stretches(data, rng)
    return data[:a] + data[c:d] + data[b:c] + data[a:b] + data[d:]


def repeated(data: bytes, rng: random.Random) -> bytes:
    a, b, _, _ = stretches(data, rng)
    return data[:b] + data[a:b] * rng.choice((1, 2, 20)) + data[b:]


def wiped(data: bytes, rng: random.Random) -> bytes:
    a = rng.randrange(len(data))
    b = min(len(data), a + rng.choice((1, 8, 80, 800)))
    return data[:a] + bytes([rng.choice((0, 32, 255))]) * (b - a) + data[b:]


def left_out(data: bytes, rng: random.Random) -> bytes:
    a = rng.randrange(len(data))
    return data[:a] + data[a + rng.choice((1, 7, 60, 500)) :]


def number_changed(data: bytes, rng: random.Random) -> bytes:
    """Some written numbers become none, or are beyond reason."""
    found = list(NUMBER.finditer(data))
    for one in sorted(rng.sample(found, min(len(found), rng.choice((1, 1, 4, 40)))), key=lambda m: -m.start()):
        data = data[: one.start()] + rng.choice(WORDS) + data[one.end() :]
    return data


def count_changed(data: bytes, rng: random.Random) -> bytes:
    """A whole number, wherever it stands, becomes a count beyond reason."""
    found = list(re.finditer(rb"(?<![\d.#])\d+(?![\d.])", data))
    if not found:
        return cut_short(data, rng)
    one = rng.choice(found)
    return data[: one.start()] + rng.choice(COUNTS) + data[one.end() :]


def all_far(data: bytes, rng: random.Random) -> bytes:
    """Every written number enormous, or next to nothing."""
    power = rng.choice((b"e12", b"e-12", b"e40", b"e-40", b"E7"))
    return NUMBER.sub(lambda m: m[0] + power if b"e" not in m[0].lower() else m[0], data)


def lines_repeated(data: bytes, rng: random.Random) -> bytes:
    """The same lines over and over: triangles, entities, vertices twice and a hundred times."""
    rows = data.split(b"\n")
    a = rng.randrange(len(rows))
    some = rows[a : a + rng.choice((1, 3, 40))]
    return b"\n".join(rows[:a] + some * rng.choice((2, 100)) + rows[a:])


def lines_shuffled(data: bytes, rng: random.Random) -> bytes:
    rows = data.split(b"\n")
    a = rng.randrange(len(rows))
    some = rows[a : a + 60]
    rng.shuffle(some)
    return b"\n".join(rows[:a] + some + rows[a + 60 :])


BY_BYTES: Mapping[str, Way] = {
    f.__name__: f for f in (cut_short, head_lost, flipped, swapped, repeated, wiped, left_out)
}
BY_WORDS: Mapping[str, Way] = {
    **BY_BYTES,
    **{f.__name__: f for f in (number_changed, count_changed, all_far, lines_repeated, lines_shuffled)},
}


def reference_swapped(data: bytes, rng: random.Random) -> bytes:
    """STEP: references into another entity, of whatever kind; now and then in a circle."""
    numbers = re.findall(rb"(?m)^#(\d+)\s*=", data)
    found = list(re.finditer(rb"(?<!\n)#(\d+)", data))
    if not numbers or not found:
        return flipped(data, rng)
    for one in sorted(rng.sample(found, min(len(found), rng.choice((1, 2, 6)))), key=lambda m: -m.start()):
        data = data[: one.start()] + b"#" + rng.choice(numbers) + data[one.end() :]
    return data


def in_a_circle(data: bytes, rng: random.Random) -> bytes:
    """STEP: an entity that names itself."""
    found = list(re.finditer(rb"(?m)^#(\d+)\s*=[^;]*?#(\d+)", data))
    if not found:
        return flipped(data, rng)
    one = rng.choice(found)
    return data[: one.start(2)] + one[1] + data[one.end(2) :]


def keyword_swapped(data: bytes, rng: random.Random) -> bytes:
    """STEP: an entity becomes one of another kind."""
    found = list(re.finditer(rb"(?m)^#\d+\s*=\s*([A-Z_0-9]+)", data))
    if len(found) < 2:
        return flipped(data, rng)
    one, other = rng.sample(found, 2)
    return data[: one.start(1)] + other[1] + data[one.end(1) :]


def nested_step(data: bytes, rng: random.Random) -> bytes:
    at = data.find(b"(", rng.randrange(len(data)))
    depth = rng.choice((50, 5_000, 200_000))
    return data[:at] + b"(" * depth + b")" * depth + data[at:]


def turned_solid(data: bytes, rng: random.Random) -> bytes:
    """STEP: faces turned inside out, or edges run the other way."""
    found = list(re.finditer(rb"\.[TF]\.", data))
    for one in rng.sample(found, min(len(found), rng.choice((1, 5, 50)))):
        data = data[: one.start()] + (b".F." if one[0] == b".T." else b".T.") + data[one.end() :]
    return data


STEP: Mapping[str, Way] = {
    **BY_WORDS,
    **{f.__name__: f for f in (reference_swapped, in_a_circle, keyword_swapped, nested_step, turned_solid)},
}


def block_in_a_circle(data: bytes, rng: random.Random) -> bytes:
    """DXF: an insert of the block that it stands in, and one block in another and back."""
    names = re.findall(rb"BLOCK\n\s*8\n[^\n]*\n\s*2\n([^\n]+)", data) or [b"hole"]
    name = rng.choice(names)
    insert = b"  0\nINSERT\n  8\n0\n  2\n" + name + b"\n 10\n1.0\n 20\n1.0\n 41\n1.5\n"
    return data.replace(b"ENDBLK", (insert * rng.choice((1, 3)))[4:].strip() + b"\n  0\nENDBLK", 1)


DXF: Mapping[str, Way] = {**BY_WORDS, block_in_a_circle.__name__: block_in_a_circle}


def floats_changed(data: bytes, rng: random.Random) -> bytes:
    """Binary meshes: coordinates that are none, enormous, or all one."""
    out = bytearray(data)
    body = range(84, max(85, len(out) - 4))
    for _ in range(rng.choice((1, 5, 60))):
        struct.pack_into("<f", out, rng.choice(body) if len(out) > 90 else 0, rng.choice(FLOATS))
    return bytes(out)


def count_in_head(data: bytes, rng: random.Random) -> bytes:
    """Binary STL: the count of triangles."""
    return data[:80] + struct.pack("<I", rng.choice((0, 1, 2**31, 2**32 - 1, 10**6))) + data[84:]


def without_area(data: bytes, rng: random.Random) -> bytes:
    """Binary STL: triangles become lines and points, or stand there a hundred times."""
    rows = [data[i : i + 50] for i in range(84, len(data) - 49, 50)]
    if not rows:
        return data
    share, flat = rng.random(), rng.random() < 0.5
    out = [
        r[:24] + r[12:24] * (1 if flat else 2) + (r[36:] if flat else r[48:]) if rng.random() < share else r
        for r in rows
    ]
    out += rng.choices(rows, k=rng.choice((0, 5, 500)))
    return data[:80] + struct.pack("<I", len(out)) + b"".join(out)


STL: Mapping[str, Way] = {**BY_BYTES, **{f.__name__: f for f in (floats_changed, count_in_head, without_area)}}
PLY: Mapping[str, Way] = {**BY_WORDS, floats_changed.__name__: floats_changed}


def repacked(name: str, model: bytes) -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", '<?xml version="1.0"?><Types/>')
        packed.writestr(name, model)
    return kept.getvalue()


def model_damaged(data: bytes, rng: random.Random) -> bytes:
    """3MF: the packing is sound, what is packed is not."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        name = next(n for n in packed.namelist() if n.endswith(".model"))
        model = packed.read(name)
    return repacked(name, rng.choice(list(BY_WORDS.values()))(model, rng))


def components_in_a_circle(data: bytes, rng: random.Random) -> bytes:
    """3MF: an object made of itself, or each of ten made of two or ten of the next."""
    del data
    many, each = (1, 1) if rng.random() < 0.3 else (rng.choice((10, 30)), rng.choice((2, 10)))
    back = rng.random() < 0.5
    objects = "".join(
        f'<object id="{i}" type="model"><components>'
        + f'<component objectid="{i + 1 if i < many or not back else 1}"/>' * each
        + "</components></object>"
        for i in range(1, many + 1)
    )
    corners = ((0, 0, 0), (9, 0, 0), (0, 9, 0), (0, 0, 9))
    vertices = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in corners)
    faces = ((0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3))
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces)
    mesh = (
        f'<object id="{many + 1}" type="model"><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object>"
    )
    space = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
    return repacked(MODEL, (
        f'<?xml version="1.0"?><model unit="millimeter" xmlns="{space}"><resources>{objects}{mesh}</resources>'
        '<build><item objectid="1"/></build></model>'
    ).encode())  # fmt: skip


def swollen(data: bytes, rng: random.Random) -> bytes:
    """3MF: a small file that unpacks to much, or nests a hundred thousand deep."""
    del data
    if rng.random() < 0.5:
        return repacked(MODEL, b"<a>" * 100_000 + b"</a>" * 100_000)
    entity = b'<!DOCTYPE m [<!ENTITY a "aaaaaaaaaa">' + b"".join(
        b'<!ENTITY %c "%s">' % (98 + i, (b"&%c;" % (97 + i)) * 10) for i in range(9)
    )
    return repacked(MODEL, b'<?xml version="1.0"?>' + entity + b"]><model>&j;</model>")


THREEMF: Mapping[str, Way] = {
    **BY_BYTES,
    **{f.__name__: f for f in (model_damaged, components_in_a_circle, swollen)},
    "model_damaged_again": model_damaged,
}
WAYS: Mapping[str, Mapping[str, Way]] = {
    ".step": STEP,
    ".stp": STEP,
    ".dxf": DXF,
    ".stl": STL,
    ".ply": PLY,
    ".obj": BY_WORDS,
    ".3mf": THREEMF,
}


def damaged(data: bytes, ending: str, seed: int) -> tuple[str, bytes]:
    """One way to damage a file of this kind, by the seed.

    Args:
        data: a sound file.
        ending: ".step", ".dxf" and so on.
        seed: picks the way and what it does.
    Returns: the ways' names and the bytes; one time in four two ways are used one after the other.
    """
    rng = random.Random(f"{ending} {seed}")
    ways = WAYS[ending]
    names = rng.choices(sorted(ways), k=2 if rng.random() < 0.25 else 1)
    for name in names:
        try:
            data = ways[name](data, rng) if data else data
        except (zipfile.BadZipFile, StopIteration, NotImplementedError, OSError, ValueError):
            data = flipped(data, rng) if data else data
    return " then ".join(names), data
