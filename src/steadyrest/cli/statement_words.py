"""A statement as the contract prints it and as words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json
from steadyrest.desk.accounts.statement import Stated
from steadyrest.price.statement.statement import Line, rounding_in_words

DOUBTS = {
    "open": "has no end: it is listed and not billed",
    "clash": "overlaps another entry of the same person: neither is billed",
}


def statement_answer(stated: Stated) -> Json:
    """The contract's section 4 document."""
    made = stated.statement
    return {
        "labour": str(made.labour),
        "machine": str(made.machine),
        "travel": str(made.travel),
        "goods": str(made.goods),
        "tax": str(made.tax),
        "total": str(made.total),
        "currency": made.currency,
        "lines": [line_answer(line) for line in made.lines],
        "doubts": [{"kind": doubt.kind, "entry": doubt.entry} for doubt in made.doubts],
        "tax_spared": made.spared,
        "rounding": rounding_in_words(stated.said.rounding),
    }


def line_answer(line: Line) -> Json:
    return {
        "kind": line.kind,
        "what": line.what,
        "quantity": float(line.quantity),
        "unit": line.unit,
        "rate": f"{float(line.rate):.10g}",
        "factor": float(line.factor),
        "amount": str(line.amount),
        "taxable": line.taxable,
        "day": line.day or None,
        "entries": list(line.entries),
    }


def statement_lines(stated: Stated) -> Iterator[str]:
    """The same in words, line by line."""
    made = stated.statement
    yield f"Statement of {stated.said.date.isoformat()}, {rounding_in_words(stated.said.rounding)}"
    for line in made.lines:
        much = f"{float(line.quantity):.4g} {line.unit} at {float(line.rate):g}" if line.unit else ""
        times = f" x {float(line.factor):g}" if line.factor != 1 else ""
        yield f"  {line.day:10} {line.what:28} {much}{times:6} {line.amount:>12}"
    spared = " (spared by a certificate)" if made.spared else ""
    yield f"  labour {made.labour}, machine {made.machine}, travel {made.travel}, goods {made.goods}"
    yield f"  tax {made.tax}{spared}"
    yield f"  total {made.total} {made.currency}"
    for doubt in made.doubts:
        yield f"  {doubt.entry} {DOUBTS[doubt.kind]}"
    yield "  Hours and amounts as entered; whether and how tax is owed is for the owner and the accountant to say."
