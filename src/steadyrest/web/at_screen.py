"""The person at the screen of the request that is being answered, and what every page tells them.

Set by signin.py before a handler runs; it travels with the request into the threads that answer it. A handler's own
functions ask `person()`; nothing below web/ knows of it.
"""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass

from starlette.exceptions import HTTPException

from steadyrest.desk.floor.who import OWNER_HERE, Who


@dataclass(frozen=True, slots=True)
class Alarm:
    """What the check-in of somebody alone says on every screen.

    says: in words. missed: nobody answered; else it is this person who is asked. watch: its number, for the answer.
    mine: whoever is at the screen is the one. touch: marks its form.
    """

    says: str
    missed: bool
    mine: bool
    watch: int
    touch: str


@dataclass(frozen=True, slots=True)
class Screen:
    """who: at the screen; None: nobody who came in. key: of their session, "" without one. alarms: on every page.

    guard, back: the token of a form in an alarm, and where to go on after it.
    """

    who: Who | None
    key: str = ""
    alarms: tuple[Alarm, ...] = ()
    guard: str = ""
    back: str = "/alone"

    @property
    def name(self) -> str:
        """Who came in, by name; "" where nobody had to."""
        return self.who.name if self.who is not None and self.who.signed_in else ""

    @property
    def is_owner(self) -> bool:
        """Whether they may do what only the owner may."""
        return self.who is not None and self.who.is_owner


NOBODY_ASKED = Screen(OWNER_HERE)
SCREEN: ContextVar[Screen] = ContextVar("screen", default=NOBODY_ASKED)


def screen() -> Screen:
    """The screen that is being answered."""
    return SCREEN.get()


def person() -> Who:
    """The person at the screen: `person().id` is who did it, `person().is_owner` whether they may do what an owner may.

    Raises: PermissionError: nobody came in; a page that is open to nobody must not ask.
    """
    found = SCREEN.get().who
    if found is None:
        raise PermissionError("nobody is at the screen")
    return found


def money_shown() -> bool:
    """Whether prices and money owed may stand on the page that is being made: an owner reads it."""
    return SCREEN.get().is_owner


def only_the_owner(what: str) -> None:
    """Refuse a hand. what: as "says yes or no". Raises: HTTPException: a hand is at the screen."""
    if not SCREEN.get().is_owner:
        raise HTTPException(403, f"Only the owner {what}.")


def by(typed: str) -> str:
    """Who does it: whoever signed in; where nobody has to, whom the form names."""
    found = person()
    return found.id if found.signed_in else typed
