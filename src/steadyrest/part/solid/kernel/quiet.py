"""The kernel kept from talking on the process's standard output, which belongs to the answer."""

# The kernel's binding has no types; they stop at this package.
# pyright: reportAttributeAccessIssue=false, reportUnknownParameterType=false

from __future__ import annotations

from OCP.Message import Message


def be_quiet() -> None:
    """Take away the kernel's own printers. Lasts as long as the process; calling it again does nothing."""
    Message.DefaultMessenger_s().ChangePrinters().Clear()
