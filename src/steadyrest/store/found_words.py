"""Words as they are looked for: capitals and marks above letters away, numbers with one kind of point, parts of a word.

What stands in a row and what somebody types are folded alike, so that "36,50" finds 36.5, "Muller" Müller, "flange"
mid-flange.step, and "7/16" 1-7/16.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

# Letters that are more than a letter with a mark, and signs that people write in several ways.
ODD = str.maketrans({
    "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "ß": "ss", "×": "x", "·": ".",
    "⁄": "/", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "⌀": " ", "∅": " ", "°": " ", "µ": "u",
})  # fmt: skip
WRITTEN_OUT = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa"})
DIAMETER = re.compile(r"[øØ](?=\s?\d)")
VULGAR = re.compile(r"(?<=\d)\s?(?=[¼½¾⅐-⅞])")
# A word: letters and digits, with single signs inside.
WORD = re.compile(r"[^\W_]+(?:[.,/:+\-][^\W_]+)*")
INSIDE = re.compile(r"(?<!\d)[./,]|[./,](?!\d)|[\-:+]")
NUMBER = re.compile(r"\d+(?:[.,]\d+)+|\d+")
THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?")
DECIMAL = re.compile(r"\d+[.,]\d+")
TIMES = re.compile(r"(?<=\d)x(?=\d)")
GLUED = re.compile(r"(\d+(?:\.\d+)?)(mm|cm|dm|m|in|inch|kg|g|t|h|min|s|rpm|hrc|deg)")
LONGEST = 60


def folded(text: str) -> str:
    """Text without capitals and marks.

    Args:
        text: as written.
    Returns: as compared; signs stay, and so do letters that have no plainer form.
    """
    apart = VULGAR.sub("-", DIAMETER.sub(" ", text))  # 1½ is 1-1/2, not 11/2
    plain = unicodedata.normalize("NFKD", apart.casefold().translate(ODD))
    return "".join(sign for sign in plain if not unicodedata.combining(sign)).translate(ODD)


def number(word: str) -> str:
    """A decimal number with a point and without idle noughts; anything else as it is."""
    if not DECIMAL.fullmatch(word):
        return word
    whole, after = re.split("[.,]", word)
    after = after.rstrip("0")
    return f"{whole}.{after}" if after else whole


def readings(word: str) -> tuple[str, ...]:
    """A folded word as it may be meant: "1,250" is one and a quarter, or twelve hundred and fifty."""
    if THOUSANDS.fullmatch(word):
        return tuple(dict.fromkeys((number(word), number(word.replace(",", "")))))
    return (number(word),)


def parts(word: str) -> tuple[str, ...]:
    """The words inside one folded word, besides itself; none where it is of one piece.

    Args:
        word: folded.
    Returns: "mid-flange.step": mid, flange, step; "1-7/16": 1, 7/16; "40x120": 40, 120; "36.5mm": 36.5, mm.
    """
    found = [number(one) for piece in INSIDE.split(word) for one in TIMES.split(piece) if one]
    glued = [part for one in found for part in (GLUED.fullmatch(one).groups() if GLUED.fullmatch(one) else (one,))]  # type: ignore[union-attr]
    return tuple(glued) if len(glued) > 1 else ()


def words(text: str) -> Iterator[str]:
    """The words of a text, folded, each whole.

    Args:
        text: as written.
    Yields: words in order.
    """
    return (one[:LONGEST] for one in WORD.findall(folded(text)))


def kept_as(texts: Iterable[str]) -> str:
    """What of texts goes into the index: every word, whole, in every reading, and its parts, between spaces.

    Args:
        texts: as written.
    Returns: each once.
    """
    found: dict[str, None] = {}
    for text in texts:
        for source in (text, unicodedata.normalize("NFC", text).casefold().translate(WRITTEN_OUT)):
            for word in words(source):
                found.update(dict.fromkeys((*readings(word), *parts(word))))
    return " ".join(found)


def asked(text: str) -> tuple[str, ...]:
    """What somebody typed, word by word.

    Args:
        text: as typed.
    Returns: folded words, each once, in order.
    """
    return tuple(dict.fromkeys(words(text)))


def one_letter_off(word: str) -> frozenset[str]:
    """Every word that one slip of the hand makes of another: a letter too many, too few, wrong, or two exchanged.

    Args:
        word: folded. Words with a digit have none: a number that is one digit off is another number.
    Returns: words, this one left out.
    """
    if len(word) < 4 or any(sign.isdigit() for sign in word):
        return frozenset()
    letters = sorted({*"abcdefghijklmnopqrstuvwxyz", *word})
    cuts = [(word[:k], word[k:]) for k in range(len(word) + 1)]
    fewer = {a + b[1:] for a, b in cuts if b}
    swapped = {a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1}
    other = {a + c + b[1:] for a, b in cuts if b for c in letters}
    more = {a + c + b for a, b in cuts for c in letters}
    return frozenset(fewer | swapped | other | more) - {word}
