"""One e-mail through the owner's own mail server. Its password lies in a file of the data folder, for nobody else.

The password is no entry: entries are kept for good, go into backups, and are read by whoever asks who changed what.
"""

from __future__ import annotations

import os
import re
import smtplib
import ssl
from collections.abc import Callable
from dataclasses import dataclass
from email.message import EmailMessage
from pathlib import Path
from typing import Literal, cast, get_args

from steadyrest.store.files import write_whole
from steadyrest.trouble import BadInput

Security = Literal["starttls", "tls", "none"]
PASSWORD = "mail-password"
WAIT_S = 20
LONGEST = 200
ADDRESS = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9](?:[A-Za-z0-9.-]{0,189}[A-Za-z0-9])?")
HOST = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.:-]{0,252}[A-Za-z0-9])?")
WAYS = get_args(Security)


@dataclass(frozen=True, slots=True)
class MailServer:
    """The owner's own. user: "" where it asks for none. sender: the address that it sends from."""

    host: str
    port: int
    security: Security
    user: str
    sender: str


@dataclass(frozen=True, slots=True)
class Letter:
    to: str
    subject: str
    text: str


Send = Callable[[MailServer, str, Letter], None]


def checked_address(typed: str, where: str) -> str:
    """An e-mail address. Raises: BadInput: it is none."""
    if not ADDRESS.fullmatch(typed):
        raise BadInput(where=where, what=f"{typed[:60]!r} is no address.", do="Write it as name@place.example.")
    return typed


def checked_server(*, host: str, port: str, security: str, user: str, sender: str) -> MailServer:
    """A mail server as typed.

    Args:
        host, port, security, user, sender: as typed; security "starttls", "tls" or "none".
    Returns: the server.
    Raises: BadInput: one of them is wrong, or a password would go through the network in the clear.
    """
    if not HOST.fullmatch(host):
        raise BadInput(where="mail server", what=f"{host[:60]!r} is no name.", do="Such as mail.place.example.")
    if not (port.isascii() and port.isdecimal() and 0 < int(port[:6]) <= 65535):
        raise BadInput(where="mail server's port", what=f"{port[:20]!r} is none.", do="Usually 587, or 465 with TLS.")
    if security not in WAYS:
        raise BadInput(where="mail server", what=f"{security[:20]!r} is no way.", do=f"Choose: {', '.join(WAYS)}.")
    if security == "none" and user:
        what = "a password would go through the network for all to read."
        raise BadInput(where="mail server", what=what, do="Choose starttls or tls, or no user.")
    if len(user) > LONGEST or not user.isprintable():
        raise BadInput(where="mail server's user", what="it is none.", do="Write it as the provider gave it.")
    return MailServer(host, int(port), cast("Security", security), user, checked_address(sender, "mail: sender"))


def keep_password(folder: Path, password: str) -> None:
    """Keep the mail server's password in a data folder, for this user of the machine alone; "" takes it away."""
    file = folder / PASSWORD
    if password:
        write_whole(file, password.encode())
        os.chmod(file, 0o600)
    else:
        file.unlink(missing_ok=True)


def password_of(folder: Path) -> str:
    """The mail server's password; "" where there is none."""
    try:
        return (folder / PASSWORD).read_text(encoding="utf-8")
    except OSError:
        return ""


def send(server: MailServer, password: str, letter: Letter) -> None:
    """Send one letter.

    Args:
        server: whose.
        password: of its user; not used where it has none.
        letter: what.
    Raises: BadInput: it was not taken; why, without any secret.
    """
    message = EmailMessage()
    message["From"], message["To"], message["Subject"] = server.sender, letter.to, letter.subject
    message.set_content(letter.text)
    safe = ssl.create_default_context()
    try:
        if server.security == "tls":
            line = smtplib.SMTP_SSL(server.host, server.port, timeout=WAIT_S, context=safe)
        else:
            line = smtplib.SMTP(server.host, server.port, timeout=WAIT_S)
        with line:
            if server.security == "starttls":
                line.starttls(context=safe)
            if server.user:
                line.login(server.user, password)
            line.send_message(message)
    except (OSError, smtplib.SMTPException) as fault:
        do = "Look at the mail server's settings on the page Alone, and try a letter there."
        raise BadInput(where="mail server", what=plainly(fault), do=do) from None


def plainly(fault: Exception) -> str:
    """What went wrong, by its kind alone: what a server answers may quote what it was sent."""
    match fault:
        case smtplib.SMTPAuthenticationError():
            return "it does not take this user and password."
        case smtplib.SMTPRecipientsRefused():
            return "it does not take letters for this address."
        case smtplib.SMTPSenderRefused():
            return "it does not send from this address."
        case smtplib.SMTPNotSupportedError():
            return "it does not speak what is set (STARTTLS, or a user)."
        case ssl.SSLError():
            return "its certificate or its TLS is not to be trusted."
        case TimeoutError():
            return f"it did not answer within {WAIT_S} s."
        case smtplib.SMTPException():
            return f"it refused the letter ({type(fault).__name__})."
        case _:
            return f"it cannot be reached ({getattr(fault, 'strerror', None) or type(fault).__name__})."
