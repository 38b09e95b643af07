"""From a file's bytes to lines of plain text: code pages, line ends, and what is no program at all."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable

import numpy as np

from steadyrest.trouble import BadInput

_WORD = re.compile(rb"[A-Za-z%#][ \t]*[-+.#\[]?[ \t]*\d", re.M)
# Control characters that belong to text, or that a serial line and an old system leave in it.
_SERIAL = np.array([9, 10, 12, 13, 17, 18, 19, 20, 26], np.uint8)
_LOOKED_AT = 1 << 20
# A program is text: more control characters than this share of its first megabyte, and it is something else.
_MOST_RUBBISH = 0.02


def plain_text(source: bytes | Iterable[bytes], name: str, most_bytes: int) -> tuple[bytes, int]:
    """The file as bytes of a one-byte code, lines parted by a newline alone.

    Args:
        source: the file's bytes, or pieces of them in order. name: the file's. most_bytes: how long it may be.
    Returns: the text, and how many lines it has.
    Raises: BadInput: empty, longer than allowed, or no NC program.
    """
    text = source if isinstance(source, bytes) else _joined(source, name, most_bytes)
    if len(text) > most_bytes:
        raise _long(name, most_bytes)
    for mark, code in ((codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be")):
        if text.startswith(mark):
            text = text[2:].decode(code, "replace").encode("latin-1", "replace")
    text = text.removeprefix(codecs.BOM_UTF8).strip(b"\0")  # a punched tape's blank leader and end
    if not text.strip():
        raise BadInput(where=name, what="the file is empty.", do="Send the program again.")
    _refuse_rubbish(text, name)
    if b"\n" not in text:
        text = text.replace(b"\r", b"\n")
    lines = text.count(b"\n") + (not text.endswith(b"\n"))
    return text, lines


def _joined(source: Iterable[bytes], name: str, most_bytes: int) -> bytes:
    whole = bytearray()
    for piece in source:
        whole += piece
        if len(whole) > most_bytes:
            raise _long(name, most_bytes)
    return bytes(whole)


def _long(name: str, most_bytes: int) -> BadInput:
    what = f"the file is longer than {most_bytes / 1e6:.0f} MB."
    return BadInput(where=name, what=what, do="Part it into programs that a control can hold.")


def _refuse_rubbish(text: bytes, name: str) -> None:
    head = np.frombuffer(text[:_LOOKED_AT], np.uint8)
    rubbish = float(np.mean((head < 32) & ~np.isin(head, _SERIAL)))
    if rubbish > _MOST_RUBBISH or not _WORD.search(text):
        what = "this is no NC program: it holds no words such as G1 or X10."
        raise BadInput(where=name, what=what, do="Choose the program as text, as the control reads it.")
