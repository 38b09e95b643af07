"""Variables and expressions of the macro style: #1, [#2 + SIN[30]], as functions of the variables.

An expression is parsed once into a function of the variables, so that a loop does not parse its lines again. A variable
that nothing has set is empty (None): it counts as 0 in arithmetic, equals nothing but another empty one, and a word
with it is not there. Precedence, functions and FIX and FUP by NISTIR 6556; OR, AND, XOR judge truth.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Protocol


class Variables(Protocol):
    """Where values stand: numbers by number, empty is None."""

    fix_toward_zero: bool

    def get(self, number: int) -> float | None:
        """The value of a variable; None where it is empty."""
        ...


Term = Callable[[Variables], float | None]

NUMBER = re.compile(r"\d+\.?\d*|\.\d+")
_NAME = re.compile(r"[A-Z]+")
_WEAK = ("OR", "XOR", "AND", "+", "-")
_RELATIONS = ("EQ", "NE", "GT", "GE", "LT", "LE")
_LEVELS = (_RELATIONS, _WEAK, ("MOD", "*", "/"), ("**",))
_DEEPEST = 60


class NotAnExpressionError(ValueError):
    """The text is no expression; args[0] is what stands there."""


class AlarmError(ArithmeticError):
    """What a control stops at with an alarm: division by zero, root of a negative number."""


def _plain(value: float | None) -> float:
    return 0.0 if value is None else value


def _round(value: float) -> float:
    return math.copysign(math.floor(abs(value) + 0.5), value)


def _whole(value: float, variables: Variables, up: bool) -> float:
    if variables.fix_toward_zero:
        away = math.ceil(abs(value)) if up else math.floor(abs(value))
        return math.copysign(away, value)
    return float(math.ceil(value) if up else math.floor(value))


_FUNCTIONS: dict[str, Callable[[float, Variables], float]] = {
    "SIN": lambda a, _: math.sin(math.radians(a)),
    "COS": lambda a, _: math.cos(math.radians(a)),
    "TAN": lambda a, _: math.tan(math.radians(a)),
    "ASIN": lambda a, _: math.degrees(math.asin(a)),
    "ACOS": lambda a, _: math.degrees(math.acos(a)),
    "ATAN": lambda a, _: math.degrees(math.atan(a)),
    "SQRT": lambda a, _: math.sqrt(a),
    "ABS": lambda a, _: abs(a),
    "ROUND": lambda a, _: _round(a),
    "FIX": lambda a, v: _whole(a, v, up=False),
    "FUP": lambda a, v: _whole(a, v, up=True),
    "EXP": lambda a, _: math.exp(a),
    "LN": lambda a, _: math.log(a),
}


def _power(a: float, b: float) -> float:
    answer = a**b
    if isinstance(answer, complex):
        raise ValueError("power of a negative number")
    return answer


_OPERATIONS: dict[str, Callable[[float, float], float]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "MOD": lambda a, b: a - b * math.floor(a / b),
    "**": _power,
    "OR": lambda a, b: float(bool(a) or bool(b)),
    "AND": lambda a, b: float(bool(a) and bool(b)),
    "XOR": lambda a, b: float(bool(a) != bool(b)),
    "GT": lambda a, b: float(a > b),
    "GE": lambda a, b: float(a >= b),
    "LT": lambda a, b: float(a < b),
    "LE": lambda a, b: float(a <= b),
}


def _two(sign: str, left: Term, right: Term) -> Term:
    if sign in ("EQ", "NE"):
        equal = sign == "EQ"
        return lambda v: float((left(v) == right(v)) == equal)
    do = _OPERATIONS[sign]

    def both(v: Variables) -> float:
        try:
            return do(_plain(left(v)), _plain(right(v)))
        except (ArithmeticError, ValueError):
            raise AlarmError(sign) from None

    return both


def _one(name: str, inner: Term) -> Term:
    do = _FUNCTIONS[name]

    def of(v: Variables) -> float:
        try:
            return do(_plain(inner(v)), v)
        except (ArithmeticError, ValueError):
            raise AlarmError(name) from None

    return of


def _angle(up: Term, along: Term) -> Term:
    return lambda v: math.degrees(math.atan2(_plain(up(v)), _plain(along(v))))


def _constant(value: float) -> Term:
    return lambda _: value


def index_of(value: float | None) -> int:
    """A variable's number from a value.

    Args:
        value: what an expression gave; None where it was empty.
    Returns: the whole number.
    Raises: AlarmError: no whole number from 0.
    """
    if value is None or not math.isfinite(value) or abs(value - round(value)) > 1e-4 or value < -0.5:
        raise AlarmError("#")
    return round(value)


def _value_of(which: Term) -> Term:
    return lambda v: v.get(index_of(which(v)))


def value_at(text: str, at: int, deep: int = 0) -> tuple[Term, int]:
    """The value that stands at a place: a number, a variable, an expression in brackets, a function; signs before it.

    Args:
        text: upper case, without blanks and comments. at: where it begins. deep: brackets around it.
    Returns: the value as a function of the variables, and where it ended.
    Raises: NotAnExpressionError: something else stands there.
    """
    if deep > _DEEPEST:
        raise NotAnExpressionError(text[at : at + 8])
    rest = text[at : at + 1]
    if rest in ("-", "+"):
        inner, end = value_at(text, at + 1, deep + 1)
        return (_two("-", _constant(0.0), inner) if rest == "-" else inner), end
    if rest == "[":
        inner, end = expression_at(text, at + 1, deep + 1)
        return inner, _past(text, end, "]")
    if rest == "#":
        which, end = value_at(text, at + 1, deep + 1)
        return _value_of(which), end
    if number := NUMBER.match(text, at):
        return _constant(float(number[0])), number.end()
    name = _NAME.match(text, at)
    if name is None or text[name.end() : name.end() + 1] != "[":
        raise NotAnExpressionError(text[at : at + 8] or "nothing")
    inner, end = expression_at(text, name.end() + 1, deep + 1)
    if name[0] in ("ATAN", "POW") and text[end : end + 1] == ",":
        second, end = expression_at(text, end + 1, deep + 1)
        return (_angle if name[0] == "ATAN" else _raised)(inner, second), _past(text, end, "]")
    end = _past(text, end, "]")
    if name[0] == "ATAN" and text.startswith("/[", end):
        second, end = expression_at(text, end + 2, deep + 1)
        return _angle(inner, second), _past(text, end, "]")
    if name[0] not in _FUNCTIONS:
        raise NotAnExpressionError(name[0])
    return _one(name[0], inner), end


def _raised(base: Term, power: Term) -> Term:
    return _two("**", base, power)


def _past(text: str, at: int, mark: str) -> int:
    if not text.startswith(mark, at):
        raise NotAnExpressionError(text[at : at + 8] or "nothing")
    return at + len(mark)


def expression_at(text: str, at: int, deep: int = 0, level: int = 0) -> tuple[Term, int]:
    """The expression that stands inside brackets at a place.

    Args:
        text: upper case, without blanks and comments. at: where it begins. deep: brackets around it.
        level: 0 for relations, then weaker to stronger operations.
    Returns: the value as a function of the variables, and where it ended.
    Raises: NotAnExpressionError: something else stands there.
    Source: nist-rs274-ngc, precedence. Checked in tests/program/test_macro.py.
    """
    if level == len(_LEVELS):
        return value_at(text, at, deep)
    left, end = expression_at(text, at, deep, level + 1)
    while True:
        sign = next((s for s in _LEVELS[level] if text.startswith(s, end)), None)
        if sign is None or (sign == "*" and text.startswith("**", end)):
            return left, end
        right, end = expression_at(text, end + len(sign), deep, level + 1)
        left = _two(sign, left, right)
