"""What a hand may do, by address. What is not listed here is the owner's, so that a new page is never open by mistake.

Not the hand's, and why: prices and money owed (what a customer pays is between the owner and them), the shop's figures
(every price and promise follows from them), PINs, yes and no to customers (one person answers for what was said).
"""

from __future__ import annotations

from starlette.routing import compile_path

READ = frozenset({"GET", "HEAD"})
TELL = READ | {"POST"}

HAND: dict[str, frozenset[str]] = {
    "/": READ,
    "/today": READ,
    "/week": TELL,
    "/week/night/{look}.svg": READ,
    "/week.ics": READ,
    "/week/of/{whose}.ics": READ,
    "/new": TELL,
    "/several": TELL,
    "/reading/{task:int}": READ,
    "/reading/{task:int}/watch": READ,
    "/reading/{task:int}/stop": TELL,
    "/reading/{task:int}/unit": TELL,
    "/jobs/{job:int}": READ,
    "/jobs/{job:int}/answer": TELL,  # ready and gone; the handler refuses a hand's yes or no
    "/jobs/{job:int}/readings": TELL,
    "/jobs/{job:int}/before": TELL,
    "/jobs/{job:int}/bought": TELL,
    "/jobs/{job:int}/revisions": TELL,
    "/jobs/{job:int}/beside/{before:int}": READ,
    "/jobs/{job:int}/plates": TELL,
    "/jobs/{job:int}/theirs": TELL,
    "/jobs/{job:int}/theirs/photo/{sha}": READ,
    "/jobs/{job:int}/theirs.pdf": READ,
    "/jobs/{job:int}/revisions/{at:int}/{which}/{look}.svg": READ,
    "/jobs/{job:int}/measure": TELL,
    "/jobs/{job:int}/measuring-report.pdf": READ,
    "/jobs/{job:int}/job-sheet.pdf": READ,
    "/jobs/{job:int}/measuring-sheet.pdf": READ,
    "/jobs/{job:int}/{picture}/{look}.svg": READ,
    "/rules": READ,
    "/lift": READ,
    "/find": READ,  # without customers and invoices
    "/leave": TELL,
    "/leave/{check:int}": READ,
    "/leave/{check:int}/release": TELL,
    "/leave/{check:int}/edges": TELL,
    "/leave/{check:int}/leaving-sheet.pdf": READ,
    "/leave/{check:int}/{picture}/{look}.svg": READ,
    "/clock": TELL,
    "/rack": TELL,
    "/rack/{label}": TELL,
    "/rack/{label}/paper": TELL,
    "/rack/{label}/paper/{sha}": READ,
    "/count": TELL,
    "/labels": READ,
    "/cut": TELL,  # what bars cost is left out for a hand
    "/cut/{key}": TELL,
    "/cut/{key}/cut-list.pdf": READ,
    "/cut/{key}/{bar:int}/{look}.svg": READ,
    "/nest": TELL,  # what plates cost is left out for a hand
    "/nest/{nest:int}": TELL,
    "/nest/{nest:int}/nest-sheet.pdf": READ,
    "/nest/{nest:int}/{sheet:int}/{look}.svg": READ,
    "/carry": READ,  # without what it costs
    "/carry/{look}.svg": READ,
    "/carry/carry-blank.pdf": READ,
    "/keep": READ,  # without what it is worth
    "/scrap": TELL,  # without what it brings; bins and hauls are the owner's
    "/things": TELL,
    "/spent": TELL,
    "/things/{thing:int}": TELL,
    "/things/{thing:int}/photo/{sha}": READ,
    "/alone": TELL,
    "/alone/now": READ,
    "/sign-in": TELL,
    "/sign-in/certificate": READ,
}
# Addresses that a hand does not open, and what they are, for the one line that says so.
OWNER: dict[str, str] = {
    "/jobs/{job:int}/{paper}.pdf": "a quote",
    "/record/{job:int}": "what a customer pays",
    "/record/{job:int}.pdf": "what a customer pays",
    "/record/{job:int}/photo/{sha}": "what a customer pays",
    "/record/{job:int}/tax": "what a customer pays",
    "/record/{job:int}/invoice": "an invoice",
    "/record/{job:int}/invoice/{invoice:int}.pdf": "an invoice",
    "/customers": "what customers owe",
    "/customers/{customer:int}": "what a customer owes",
    "/customers/{customer:int}/remind": "what a customer owes",
    "/customers/{customer:int}/{paper}.pdf": "what a customer owes",
    "/customers/{customer:int}/file/{sha}": "a customer's papers",
    "/owed": "what customers owe",
    "/owed.csv": "what customers owe",
    "/owed/heaps/{look}.svg": "what customers owe",
    "/true": "the figures that prices follow from",
    "/people": "who may come in",
    "/import": "lists of customers, pieces, quotes and hours",
    "/export": "everything that the shop keeps",
    "/changes": "who changed what",
    "/alone/rules": "who is told when somebody does not answer",
}
PATTERNS = tuple((compile_path(path)[0], methods) for path, methods in HAND.items())
NAMED = tuple((compile_path(path)[0], what) for path, what in OWNER.items())


def a_hand_may(method: str, path: str) -> bool:
    """Whether a hand may send this.

    Args:
        method: of HTTP.
        path: of the address.
    Returns: whether it is listed.
    """
    return any(method in methods and pattern.match(path) for pattern, methods in PATTERNS)


def what_it_is(path: str) -> str:
    """What stands at an address of the owner's, in words."""
    return next((what for pattern, what in NAMED if pattern.match(path)), "this")
