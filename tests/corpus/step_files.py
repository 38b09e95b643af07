"""Hostile STEP text, each made here, with what must come of it.

Without the judgement of the text these kill or hang the kernel: deep brackets and long entity numbers (it dies),
numbers beyond reason (it never comes back), broken statements and references into nothing (it dies now and then).
`wrong_kind` still may: a worker's limits are for such.
"""

from __future__ import annotations

import re

HEAD = (
    b"ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
    b"FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n"
)
TAIL = b"ENDSEC;\nEND-ISO-10303-21;\n"


def nested(depth: int = 200_000) -> bytes:
    return HEAD + b"#1=A(" + b"(" * depth + b")" * depth + b");\n" + TAIL


def long_entity() -> bytes:
    return HEAD + b"#12345678901234567890=CARTESIAN_POINT('',(0.,0.,0.));\n" + TAIL


def hostile(sound: bytes) -> dict[str, bytes]:
    """Hostile versions of a sound file.

    Args:
        sound: a STEP file that reads well.
    Returns: what was done to it, and the bytes. Every one must end in one line.
    """
    first = re.search(rb"CARTESIAN_POINT\('',\(([^,]+),", sound)
    assert first is not None
    a, b = first.span(1)

    def with_number(text: bytes) -> bytes:
        return sound[:a] + text + sound[b:]

    reference = next(re.finditer(rb"ADVANCED_FACE\('',\(#(\d+)", sound))
    c, d = reference.span(1)
    return {
        "no bytes": b"",
        "cut in half": sound[: len(sound) // 2],
        "cut header": sound[len(HEAD) // 2 :],
        "no end mark": sound.replace(b"END-ISO-10303-21;", b""),
        "header alone": HEAD + TAIL,
        "200 000 brackets": nested(),
        "an entity number of 20 digits": long_entity(),
        "a coordinate of 1.E400": with_number(b"1.E400"),
        "a coordinate of 1.E12": with_number(b"1.E12"),
        "a coordinate of 999999999.": with_number(b"999999999."),
        "zero bytes inside": sound[: b + 200] + bytes(300) + sound[b + 500 :],
        "a reference into nothing": sound[:c] + b"9999999" + sound[d:],
        "a semicolon lost": sound.replace(b");\n#", b")\n#", 1),
        "a bracket lost": sound.replace(b"));\n", b");\n", 1),
        "words that are not STEP": b"ISO-10303-21;\nit is not\n",
    }


def wrong_kind(sound: bytes) -> bytes:
    """A sound file in which a face is bounded by a point. The kernel may refuse it, or die of it."""
    point = re.search(rb"#(\d+)\s*=\s*CARTESIAN_POINT", sound)
    reference = next(re.finditer(rb"ADVANCED_FACE\('',\(#(\d+)", sound))
    assert point is not None
    a, b = reference.span(1)
    return sound[:a] + point[1] + sound[b:]
