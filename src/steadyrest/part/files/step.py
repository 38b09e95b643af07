"""What can be told of a STEP file from its text, before the kernel sees it.

The kernel dies on deep brackets, on entity numbers of twenty digits, on references into nothing and on much that breaks
the grammar, and never comes back from a coordinate of 1.E400 or 1.E9; such text stops here. ISO 10303-21 is the
grammar: strings in single quotes, comments between /* and */, a statement up to its semicolon.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from steadyrest.trouble import BadInput

OPENING = re.compile(rb"\A(?:\xef\xbb\xbf)?\s*(?:/\*.*?\*/\s*)*ISO-10303-21\s*;", re.DOTALL)
ASIDE = re.compile(rb"'(?:[^']|'')*'|/\*.*?\*/", re.DOTALL)
STRING = re.compile(rb"'[^']*'")
LONG_NUMBER = re.compile(rb"#\s*0*(\d{10,})")
EXPONENT = re.compile(rb"[0-9.][eE]([+-]?)0*(\d{2,})")
FACE = re.compile(rb"=\s*\(?\s*(?:ADVANCED_FACE|FACE_SURFACE)\s*\((?:\s*''\s*,\s*\(([#\d,\s]*)\))?")
CONTEXT = re.compile(rb"GLOBAL_UNIT_ASSIGNED_CONTEXT\s*\(\s*\(([#\d,\s]*)\)")
NAMED_UNIT = re.compile(rb"CONVERSION_BASED_UNIT\s*\(\s*'([^']*)'")
METRE = re.compile(rb"SI_UNIT\s*\(\s*(?:\.(\w+)\.|\$)\s*,\s*\.METRE\.")
PREFIXES = {"MILLI": "mm", "CENTI": "cm", "MICRO": "um", "": "m"}
NAMES = {"inch": "in", "in": "in", "foot": "ft", "ft": "ft", "millimetre": "mm", "millimeter": "mm", "mm": "mm"}
DEEPEST = 60  # brackets inside brackets; real files stay under ten
OPENS, CLOSES, ENDS = b"();"
STRETCH = 1 << 20
STATEMENT = re.compile(rb"\s*#\s*(\d+)\s*=\s*(?:\(|[A-Za-z_!][\w]*\s*\().*\)\s*\Z", re.DOTALL)
STATEMENTS = re.compile(rb";\s*#\s*(\d+)\s*=\s*(?:\(|[A-Za-z_!]\w*\s*\()[^;]*\)\s*(?=;)")
SECTION = re.compile(rb";\s*(?:(?:ENDSEC|DATA(?:\s?\([^;]*)?)\s*)?(?=;)|;\s*\Z")
REFERENCE = re.compile(rb"#\s*(\d+)")
STRANGE = re.compile(rb"[^\t\n\r\f\x20-\x7e]")
POINT = re.compile(rb"CARTESIAN_POINT\s*\([^(]*\(([^)]*)\)")
FARTHEST = 1e7  # in the file's unit; the kernel walks for ever along an edge that long
LARGEST_EXPONENT = 60  # some exporters write 1.E+20 or 2.E+50 for "no end"


@dataclass(frozen=True, slots=True)
class StepText:
    """What the text says.

    faces: how many faces it lists, each once however often an assembly repeats it.
    most_bounds: the most rims that one of them has; a plate's top has one a hole.
    units: the length units that its shapes are given in, such as ("in",); a name that is not known as it stands.
    signed: a signature follows the end mark; it was not checked.
    """

    faces: int
    most_bounds: int
    units: tuple[str, ...]
    signed: bool


def is_step(data: bytes) -> bool:
    """Whether the bytes open as a STEP file does."""
    return OPENING.match(data[:4096]) is not None


def checked_text(data: bytes, name: str) -> StepText:
    """The file's text, judged before the kernel reads it.

    Args:
        data: the whole file.
        name: the file's name, for the message.
    Returns: faces listed, and whether a signature follows.
    Raises: BadInput: cut short, nested beyond reason, or numbers that no drawing holds.
    """
    if not is_step(data):
        raise BadInput(where=name, what="this does not open as a STEP file does.", do="Export it again as STEP.")
    plain = STRING.sub(b"''", data) if b"/*" not in data else ASIDE.sub(without_words, data)
    end = plain.find(b"END-ISO-10303-21")
    if end < 0 or b"DATA" not in plain:
        what = "the file is cut short: its end mark is missing."
        raise BadInput(where=name, what=what, do="Export or copy it again.")
    if deepest(plain) > DEEPEST:
        what = f"brackets stand more than {DEEPEST} deep inside each other."
        raise BadInput(where=name, what=what, do="Export it again; this file is damaged.")
    if long := LONG_NUMBER.search(plain):
        what = f"an entity number of {len(long[1])} digits cannot be right."
        raise BadInput(where=f"{name}, line {line_of(plain, long.start())}", what=what, do="Export it again.")
    for found in EXPONENT.finditer(plain):
        if found[1] != b"-" and int(found[2]) > LARGEST_EXPONENT:
            what = "a number is larger than any length can be."
            raise BadInput(where=f"{name}, line {line_of(plain, found.start())}", what=what, do="Export it again.")
    body = plain[:end]
    check_statements(body, name)
    check_points(body, name)
    faces = FACE.findall(plain, 0, end)
    return StepText(
        faces=len(faces),
        most_bounds=max((bounds.count(b"#") for bounds in faces), default=0),
        units=length_units(data),
        signed=b"SIGNATURE" in plain[end:],
    )


def without_words(aside: re.Match[bytes]) -> bytes:
    """A string emptied, a comment gone, its line ends kept."""
    return b"''" if aside[0].startswith(b"'") else b" " + b"\n" * aside[0].count(b"\n")


def check_statements(body: bytes, name: str) -> None:
    """Refuse what breaks the grammar, and references to entities that are not there.

    Raises: BadInput: with the line of the first fault.
    """
    start = body.find(b"DATA")
    start = body.find(b";", start) + 1
    if strange := STRANGE.search(body, start):
        what = f"a byte that no STEP file holds (0x{body[strange.start()]:02x})."
        raise BadInput(where=f"{name}, line {line_of(body, strange.start())}", what=what, do="Copy or export it again.")
    defined = all_defined(body, start)
    if defined is None:
        defined = defined_one_by_one(body, start, name)
    # All at once: to ask every statement for its own references would take as long as all the rest here.
    if defined.issuperset(map(int, set(REFERENCE.findall(body, start)))):
        return
    missing = next(found for found in REFERENCE.finditer(body, start) if int(found[1]) not in defined)
    what = f"it refers to #{int(missing[1])}, which is not in it."
    line = line_of(body, body.rfind(b";", 0, missing.start()) + 1) + 1
    raise BadInput(where=f"{name}, line {line}", what=what, do="Copy or export it again.")


def all_defined(body: bytes, start: int) -> set[int] | None:
    """The numbers of all statements, where every one is sound: by two passes over the whole text; else None."""
    codes = np.frombuffer(body, dtype=np.uint8, offset=start)
    marks = codes[(codes == OPENS) | (codes == CLOSES) | (codes == ENDS)]
    depths = np.cumsum((marks == OPENS).astype(np.int64) - (marks == CLOSES))
    if len(depths) and (depths[-1] or depths[marks == ENDS].any()):
        return None
    numbers = STATEMENTS.findall(body, start - 1)
    ends = int((marks == ENDS).sum()) + 1
    return set(map(int, numbers)) if len(numbers) + len(SECTION.findall(body, start - 1)) == ends else None


def defined_one_by_one(body: bytes, start: int, name: str) -> set[int]:
    """The numbers of all statements. Raises: BadInput: with the line of the first that is none."""
    defined: set[int] = set()
    at = start
    for statement in body[start:].split(b";"):
        words = statement.strip()
        if words and words not in (b"ENDSEC", b"DATA") and not words.startswith((b"DATA(", b"DATA (")):
            found = STATEMENT.match(statement)
            if found is None or statement.count(b"(") != statement.count(b")"):
                first = at + len(statement) - len(statement.lstrip())
                what = f"this is no statement: {words[:40].decode('ascii', errors='replace')!r}."
                raise BadInput(where=f"{name}, line {line_of(body, first)}", what=what, do="Copy or export it again.")
            defined.add(int(found[1]))
        at += len(statement) + 1
    return defined


def check_points(body: bytes, name: str) -> None:
    """Refuse points farther off than any part reaches. Raises: BadInput: with the line."""
    if all_near(body):
        return
    for found in POINT.finditer(body):
        for number in found[1].split(b","):
            try:
                value = abs(float(number))
            except ValueError:
                value = 0.0  # the kernel says what is wrong with it
            if value > FARTHEST:
                what = f"a point lies {value:.3g} units off."
                raise BadInput(where=f"{name}, line {line_of(body, found.start())}", what=what, do="Export it again.")


def all_near(body: bytes) -> bool:
    """Whether all points' numbers are numbers, and none too large; False sends them through one by one."""
    numbers = b",".join(POINT.findall(body)).split(b",")
    try:
        values = np.array(numbers).astype(np.float64)
    except ValueError:
        return False
    return bool((np.abs(values) <= FARTHEST).all())


def length_units(data: bytes) -> tuple[str, ...]:
    """The length units of the contexts that shapes are given in, each once."""
    found: list[str] = []
    numbers = {number for context in CONTEXT.findall(data) for number in re.findall(rb"\d+", context)}
    for number in sorted(numbers, key=int):
        entity = re.search(rb"#\s*" + number + rb"\s*=([^;]*);", data)
        if entity is None or b"LENGTH_UNIT" not in entity[1]:
            continue
        if named := NAMED_UNIT.search(entity[1]):
            name = named[1].decode("ascii", errors="replace").strip().lower()
            found.append(NAMES.get(name, name))
        elif metre := METRE.search(entity[1]):
            prefix = (metre[1] or b"").decode("ascii")
            found.append(PREFIXES.get(prefix, f"{prefix.lower()}metre"))
    return tuple(dict.fromkeys(found))


def deepest(plain: bytes) -> int:
    """How deep the brackets go; read on only until they go too deep."""
    depth = most = 0
    for start in range(0, len(plain), STRETCH):
        codes = np.frombuffer(plain, dtype=np.uint8, count=min(STRETCH, len(plain) - start), offset=start)
        brackets = codes[(codes == OPENS) | (codes == CLOSES)]
        depths = depth + np.cumsum(np.where(brackets == OPENS, 1, -1))
        if len(depths):
            most, depth = max(most, int(depths.max())), int(depths[-1])
        if most > DEEPEST:
            break
    return most


def line_of(plain: bytes, position: int) -> int:
    """The line, from 1; comments and strings that held line ends shift it a little."""
    return plain.count(b"\n", 0, position) + 1
