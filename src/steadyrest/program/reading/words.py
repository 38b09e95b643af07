"""A line of a program taken apart into words, settings of variables and jumps. What they mean is not asked here.

Blanks, control characters of a serial line and case do not count (NISTIR 6556, ISO 6983-1). A comment stands in
parentheses or behind a semicolon. What is no word is kept as strange, piece by piece, and the rest of the line still
read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

from steadyrest.program.reading.macro import NotAnExpressionError, Term, expression_at, value_at

_COMMENT = re.compile(r"\([^)]*\)?|;.*")
_BLANKS = re.compile(r"[\s\0-\x1f\x7f]+")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)")
_SIMPLE = re.compile(r"(?:[A-Z][+-]?(?:\d+\.?\d*|\.\d+))*")
_SIMPLE_WORDS = re.compile(r"([A-Z])([^A-Z]+)")
_PRINTS = ("DPRNT[", "BPRNT[", "POPEN", "PCLOS")
# A control's line is far shorter; a longer one with expressions is rubbish, and would only be costly to take apart.
_LONGEST_EXPRESSION = 300
_MOST_STRANGE = 4

Jump = Literal["goto", "then", "while", "do", "end"]


class Word(NamedTuple):
    """A letter and its value: a number, or a function of the variables. point: its number has a decimal point."""

    letter: str
    number: float
    term: Term | None
    text: str
    point: bool


@dataclass(frozen=True, slots=True)
class Flow:
    """A line that decides which comes next. test: None where it always does. target: line number, or loop number."""

    kind: Jump
    test: Term | None
    target: Term | None


@dataclass(frozen=True, slots=True)
class Block:
    """One line. sets: which variable, and its value. strange: pieces that are no words, as they stand.

    program: of a line that begins a program (O or colon). number: N. deleted: begins with a slash. tape: percent sign.
    """

    words: tuple[Word, ...] = ()
    sets: tuple[tuple[Term, Term], ...] = ()
    flow: Flow | None = None
    strange: tuple[str, ...] = ()
    program: int | None = None
    number: int | None = None
    deleted: bool = False
    tape: bool = False


@lru_cache(maxsize=4096)
def block_of(line: str) -> Block:
    """A line taken apart.

    Args:
        line: its text, without the line's end.
    Returns: the block; without words for an empty line.
    """
    if "(" in line or ";" in line:
        line = _COMMENT.sub("", line)
    text = _BLANKS.sub("", line).upper()
    if not text:
        return Block()
    if text[0] == "%":
        return Block(tape=True)
    deleted = text[0] == "/"
    if deleted:
        text = re.sub(r"^/[1-9]?(?=\D|$)", "", text)
    number = None
    program = None
    if text[:1] in ("O", ":") and (head := re.match(r"[O:](\d+)", text)):
        program = int(head[1][:9])
        text = text[head.end() :]
    if head := re.match(r"N(\d+)\.?", text):
        number = int(head[1][:15])
        text = text[head.end() :]
    if _SIMPLE.fullmatch(text):
        return Block(_simple(text), (), None, (), program, number, deleted)
    if text.startswith(_PRINTS):
        return Block(number=number, program=program, deleted=deleted)
    if ("[" in text or "#" in text) and len(text) > _LONGEST_EXPRESSION:
        return Block(strange=(text[:12],), number=number, program=program, deleted=deleted)
    try:
        flow, text = _flow(text)
    except NotAnExpressionError:
        return Block(strange=(text[:12],), number=number, program=program, deleted=deleted)
    words, sets, strange = _pieces(text)
    return Block(words, sets, flow, strange, program, number, deleted)


def _simple(text: str) -> tuple[Word, ...]:
    """Words whose values are plain numbers: nearly every line."""
    return tuple(
        Word(letter, float(number), None, letter + number, "." in number)
        for letter, number in _SIMPLE_WORDS.findall(text)
    )


def _flow(text: str) -> tuple[Flow | None, str]:
    """The jump that a line begins with, and what stands behind it."""
    if text.startswith("IF["):
        test, end = value_at(text, 2)
        if text.startswith("GOTO", end):
            target, end = value_at(text, end + 4)
            return Flow("goto", test, target), text[end:]
        return Flow("then", test, None), text[end + 4 * text.startswith("THEN", end) :]
    if text.startswith("GOTO"):
        target, end = value_at(text, 4)
        return Flow("goto", None, target), text[end:]
    if text.startswith("WHILE["):
        test, end = value_at(text, 5)
        if not text.startswith("DO", end):
            raise NotAnExpressionError(text[end:])
        target, end = value_at(text, end + 2)
        return Flow("while", test, target), text[end:]
    if re.match(r"DO\d", text):
        target, end = value_at(text, 2)
        return Flow("do", None, target), text[end:]
    if re.match(r"END\d", text):
        target, end = value_at(text, 3)
        return Flow("end", None, target), text[end:]
    return None, text


def _pieces(text: str) -> tuple[tuple[Word, ...], tuple[tuple[Term, Term], ...], tuple[str, ...]]:
    words: list[Word] = []
    sets: list[tuple[Term, Term]] = []
    strange: list[str] = []
    at = 0
    while at < len(text):
        letter = text[at]
        try:
            if "A" <= letter <= "Z":
                number = _NUMBER.match(text, at + 1)
                if number:
                    end = number.end()
                    words.append(Word(letter, float(number[0]), None, text[at:end], "." in number[0]))
                else:
                    term, end = value_at(text, at + 1)
                    words.append(Word(letter, 0.0, term, text[at:end], point=True))
            elif letter == "#":
                which, end = value_at(text, at + 1)
                if text[end : end + 1] != "=":
                    raise NotAnExpressionError(text[at : at + 12])
                value, end = expression_at(text, end + 1)
                sets.append((which, value))
            elif letter == "/":  # the rest of the line goes with the slash; here the switch is as the line's
                end = at + 1
            else:
                raise NotAnExpressionError(text[at : at + 12])
        except NotAnExpressionError:
            end = _next_letter(text, at + 1)
            strange.append(text[at : min(end, at + 12)])
            if len(strange) == _MOST_STRANGE:
                break
        at = end
    return tuple(words), tuple(sets), tuple(strange)


def _next_letter(text: str, at: int) -> int:
    """Where the next word may begin; a comma's letter belongs to the comma."""
    if text[at - 1] == ",":
        at += 1
    while at < len(text) and not ("A" <= text[at] <= "Z" or text[at] == "#"):
        at += 1
    return at
