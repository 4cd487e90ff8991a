"""Handing one message to a mail server over SMTP (RFC 5321), and what is known afterwards."""

import smtplib
import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.mail_server import MailServer, Security

_TIMEOUT_S = 30
_POLICY = SMTP.clone(cte_type="7bit")  # any server takes it, whatever it offers


class Answer(StrEnum):
    """What became of a message."""

    TAKEN = "taken"  # the server said so
    LATER = "later"  # it was surely not taken; try again
    REFUSED = "refused"  # it said that it never will
    IN_DOUBT = "in_doubt"  # all of it was handed over and no answer came


class Outcome(NamedTuple):
    """The answer with the server's words; no password is ever among them."""

    answer: Answer
    words: str = ""


class Letter(NamedTuple):
    """A message as it was queued; the same letter makes the same bytes."""

    message_id: str
    sender: str
    address: str
    subject: str
    body: str
    queued_at: datetime


def compose(letter: Letter) -> EmailMessage:
    """The message of a letter: plain text, dated when it was queued."""
    message = EmailMessage(policy=_POLICY)
    message["Message-ID"] = letter.message_id
    message["Date"] = format_datetime(letter.queued_at)
    message["From"] = letter.sender
    message["To"] = letter.address
    message["Subject"] = letter.subject
    message["Auto-Submitted"] = "auto-generated"  # RFC 3834: no answering machine replies
    message.set_content(letter.body)
    return message


@contextmanager
def connected(server: MailServer) -> Iterator[smtplib.SMTP]:
    """A session with the server, signed in. Raises smtplib.SMTPException or OSError when there is none."""
    context = ssl.create_default_context(cafile=server.ca_file or None)
    if server.security is Security.TLS:
        smtp: smtplib.SMTP = smtplib.SMTP_SSL(server.host, server.port, timeout=_TIMEOUT_S, context=context)
    else:
        smtp = smtplib.SMTP(server.host, server.port, timeout=_TIMEOUT_S)
    try:
        if server.security is Security.STARTTLS:
            smtp.starttls(context=context)
        if server.user:
            smtp.login(server.user, server.password)
        yield smtp
        with suppress(smtplib.SMTPException, OSError):
            smtp.quit()
    finally:
        smtp.close()  # after a failure nothing more is said: a server that no longer listens would keep us waiting


def send(smtp: smtplib.SMTP, letter: Letter) -> Outcome:
    """Hand one letter over, step by step, so that it is known how far it came.

    Before the end of its text was sent a broken connection means *later*; after that it means *in doubt*, since the
    server may have taken it (RFC 5321 section 4.2.5 leaves the duty with whoever has no answer).
    """
    handed_over = False
    try:
        smtp.ehlo_or_helo_if_needed()
        for code, words in (smtp.mail(letter.sender), smtp.rcpt(letter.address)):
            if code not in (250, 251):
                with suppress(smtplib.SMTPException, OSError):
                    smtp.rset()
                return _answered(code, words)
        smtp.putcmd("data")
        code, words = smtp.getreply()
        if code != 354:
            return _answered(code, words)
        smtp.send(_wire(letter))
        handed_over = True
        code, words = smtp.getreply()
        return Outcome(Answer.TAKEN) if code == 250 else _answered(code, words)
    except (smtplib.SMTPException, OSError) as error:
        return Outcome(Answer.IN_DOUBT if handed_over else Answer.LATER, why_not(error))


def _answered(code: int, words: bytes) -> Outcome:
    """What a reply code means: 5 is for good, anything else for now (RFC 5321 section 4.2.1)."""
    text = f"{code} {words.decode('utf-8', 'replace')}"[:200]
    return Outcome(Answer.REFUSED if 500 <= code < 600 else Answer.LATER, text)


def _wire(letter: Letter) -> bytes:
    """The text as it goes over the line: CRLF, leading dots doubled, and the dot that ends it (RFC 5321 4.5.2)."""
    text = compose(letter).as_bytes()
    lines = text.replace(b"\r\n", b"\n").split(b"\n")
    stuffed = b"\r\n".join(b"." + line if line.startswith(b".") else line for line in lines)
    return stuffed + (b".\r\n" if stuffed.endswith(b"\r\n") else b"\r\n.\r\n")


def why_not(error: Exception) -> str:
    """Why there is no session or no answer, fit to be shown; it never holds a password."""
    if isinstance(error, smtplib.SMTPAuthenticationError):
        return "the mail server refused the user name or password"
    if isinstance(error, smtplib.SMTPResponseException):
        return f"{error.smtp_code} {error.smtp_error!r}"[:200]
    return (str(error) or type(error).__name__)[:200]
