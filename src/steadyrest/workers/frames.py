"""Messages between the house and a worker process: a length, then a pickled value."""

from __future__ import annotations

import pickle
import struct
from typing import BinaryIO

HEAD = struct.Struct(">Q")
LARGEST = 512 * 1024 * 1024


class TooLarge(Exception):  # noqa: N818  says what the message is
    """A message above LARGEST bytes."""


def write(pipe: BinaryIO, message: object) -> None:
    """Write one message and flush it.

    Args:
        pipe: open for writing, binary.
        message: any picklable value.
    Raises: TooLarge: above LARGEST bytes when pickled; nothing was written then.
    """
    body = pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    if len(body) > LARGEST:
        raise TooLarge(f"{len(body)} bytes")
    pipe.write(HEAD.pack(len(body)))
    pipe.write(body)
    pipe.flush()


def read(pipe: BinaryIO) -> object:
    """Read one message.

    Args:
        pipe: open for reading, binary.
    Returns: the value written at the other end.
    Raises: EOFError: the other end is gone, in mid-message too. TooLarge: announced above LARGEST bytes.
    """
    head = pipe.read(HEAD.size)
    if len(head) < HEAD.size:
        raise EOFError
    (length,) = HEAD.unpack(head)
    if length > LARGEST:
        raise TooLarge(f"{length} bytes")
    body = pipe.read(length)
    if len(body) < length:
        raise EOFError
    return pickle.loads(body)
