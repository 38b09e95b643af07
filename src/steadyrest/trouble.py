"""What to say when the input is at fault."""

from __future__ import annotations


class BadInput(Exception):  # noqa: N818  it names what was handed in, not an error of ours
    """Input at fault: where it is, what is wrong with it, and what to do about it.

    Exit status 2, one line on standard error, nothing half done. Expected refusals ("this lathe is too short") are not
    this: they are answers, and carry reasons.

    Args:
        where: the file, line, key or field, as the person knows it.
        what: what is wrong, with the value found.
        do: what the person can do now.
    """

    def __init__(self, *, where: str, what: str, do: str) -> None:
        super().__init__(f"{where}: {what} {do}")
        self.where = where
        self.what = what
        self.do = do

    def __reduce__(self) -> tuple[object, ...]:
        # Keyword-only arguments do not survive pickling by themselves, and this crosses from worker processes.
        return (_again, (self.where, self.what, self.do))

    def line(self) -> str:
        """The one line that a person sees."""
        return " ".join(f"{self.where}: {self.what} {self.do}".split())


def _again(where: str, what: str, do: str) -> BadInput:
    return BadInput(where=where, what=what, do=do)
