"""The daily digest: one text for each person who asked for it, queued once a day, sent until the mail server has it."""

import smtplib
from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.today import today_of
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import House
from inspect_app.domain.mail_server import MailServer, read_address
from inspect_app.domain.role import Role
from inspect_app.domain.today import MATTER_TITLES, Matter, Sentence
from inspect_app.output.mail import Answer, Letter, connected, send, why_not
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_houses
from inspect_app.store.journal import append_journal, item
from inspect_app.store.membership import get_membership
from inspect_app.store.outbox import (
    DigestChoice,
    Mail,
    MailState,
    drop_mail_of,
    drop_mail_of_leavers,
    end_digest_choice,
    list_digest_choices,
    list_unsent,
    queue_mail,
    set_digest_choice,
    set_mail_state,
    set_mail_trying,
)
from inspect_app.store.point_clock import zone_of

CLOSING_WORDS = (
    "This log records observations; it certifies nothing. Local codes, the maker's instructions and a qualified "
    "person's judgement come first."
)
_FOR_ALL = (Matter.STOPPED, Matter.OVERDUE, Matter.DUE)
_KEPT_BY = frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER})
_STATES = {
    Answer.TAKEN: MailState.SENT,
    Answer.LATER: MailState.WAITING,
    Answer.REFUSED: MailState.REFUSED,
    Answer.IN_DOUBT: MailState.IN_DOUBT,
}
Opener = Callable[[MailServer], AbstractContextManager[smtplib.SMTP]]


def digest_text(
    house: House, sentences: Iterable[Sentence], today: date, person: str = "", roles: frozenset[Role] = frozenset(Role)
) -> str:
    """What a person reads of a house's day: what is stopped, overdue and due, and what waits for them; '' for nothing.

    Without a person it holds everything. What was never recorded goes to those who decide about walks.
    """
    rows = [row for row in sentences if _is_told(row, person, roles)]
    if not rows:
        return ""
    lines = [f"{house.name}, {today.isoformat()}", ""]
    for matter in Matter:
        here = [row for row in rows if row.matter is matter]
        if here:
            title = "Waiting for you" if matter is Matter.WAITS and person else MATTER_TITLES[matter]
            lines += [title, *(f"- {row.text}" for row in here), ""]
    return "\n".join([*lines, CLOSING_WORDS, ""])


def _is_told(row: Sentence, person: str, roles: frozenset[Role]) -> bool:
    if row.matter is Matter.AHEAD:
        return False
    if not person or row.matter in _FOR_ALL:
        return True
    if row.matter is Matter.NEVER:
        return bool(roles & _KEPT_BY)
    return row.is_for(person, roles)


def choose_digest(db: Database, *, at: datetime, actor: str, house: str, address: str) -> DigestChoice:
    """Send the digest of a house to oneself from now on. Raises BadValue on the address, NotAllowed."""
    choice = DigestChoice(house, actor, read_address(address))
    with write_transaction(db):
        require_role(db, house, actor, "digest.choose")
        set_digest_choice(db, choice, at)
        _journal(db, at, actor, "digest.choose", house, [actor])
    return choice


def stop_digest(db: Database, *, at: datetime, actor: str, house: str) -> None:
    """Send it no more, and nothing that waits either. Raises NotFound when none was asked for, NotAllowed."""
    with write_transaction(db):
        require_role(db, house, actor, "digest.choose")
        if not end_digest_choice(db, house, actor, at):
            raise NotFound("The digest is not sent to you.")
        drop_mail_of(db, house, actor)
        _journal(db, at, actor, "digest.stop", house, [actor])


def queue_digests(db: Database, settings: Settings, sender: str, at: datetime, link: str = "") -> int:
    """Queue today's digest for everyone who asked, once for each person, house and day; returns how many are new.

    The words and the Message-ID are fixed here. Nobody gets a message that has nothing to say.
    """
    queued = 0
    for house in list_houses(db):
        choices = list_digest_choices(db, house.id)
        if not choices:
            continue
        sentences = today_of(db, settings, house.id, at)
        today = at.astimezone(zone_of(house.tz)).date()
        made = [mail for choice in choices if (mail := _mail(db, house, choice, sentences, today, sender, at, link))]
        with write_transaction(db):
            new = [mail.id for mail in made if queue_mail(db, mail)]
            if new:
                _journal(db, at, "system", "digest.queue", house.id, new)
        queued += len(new)
    return queued


def _mail(
    db: Database,
    house: House,
    choice: DigestChoice,
    sentences: Sequence[Sentence],
    today: date,
    sender: str,
    at: datetime,
    link: str,
) -> Mail | None:
    standing = get_membership(db, house.id, choice.person)
    body = digest_text(house, sentences, today, choice.person, standing[1] if standing else frozenset())
    if not body:
        return None
    new = clock.new_id()
    told = [row for row in sentences if row.matter in (Matter.STOPPED, Matter.OVERDUE)]
    subject = f"{house.name}: {len(told)} stopped or overdue" if told else f"{house.name}: due and waiting"
    if link:
        body += f"\n{link}/houses/{house.id}/today/\n"
    message_id = f"<{new}@{sender.rpartition('@')[2]}>"
    return Mail(new, house.id, choice.person, today, message_id, choice.address, subject, body, at, MailState.WAITING)


class Sent(NamedTuple):
    """What a run did: sent, refused for good, and still waiting with the last reason."""

    sent: int
    refused: int
    waiting: int
    why: str = ""


def send_waiting(db: Database, server: MailServer, at: datetime, opener: Opener = connected) -> Sent:
    """Hand everything that waits to the mail server, oldest first; what it does not take stays for the next run.
    What waits for somebody who has left the house is dropped.

    A message is marked as in doubt before it is handed over and as sent once the server has said so, each for good.
    When the answer is lost it goes again, unchanged and under the same Message-ID: whoever receives it can tell that
    the two are one. SMTP can promise no more than this: never lost, and never two different messages.
    """
    with write_transaction(db):
        drop_mail_of_leavers(db)
    waiting = list_unsent(db)
    if not waiting:
        return Sent(0, 0, 0)
    run = _Run(db, server, at)
    try:
        with opener(server) as smtp:
            for mail in waiting:
                if not run.hand_over(smtp, mail):
                    break
    except (smtplib.SMTPException, OSError) as error:
        run.why = why_not(error)
    return Sent(run.sent, run.refused, len(waiting) - run.sent - run.refused, run.why)


@dataclass
class _Run:
    db: Database
    server: MailServer
    at: datetime
    sent: int = 0
    refused: int = 0
    why: str = ""

    def hand_over(self, smtp: smtplib.SMTP, mail: Mail) -> bool:
        """Hand one message over; False when the connection is gone."""
        letter = Letter(mail.message_id, self.server.sender, mail.address, mail.subject, mail.body, mail.queued_at)
        before = mail.state
        with write_transaction(self.db):
            set_mail_trying(self.db, mail.id, self.at)
        answer, words = send(smtp, letter)
        state = _STATES[answer]
        if state is MailState.WAITING and before is MailState.IN_DOUBT:
            state = MailState.IN_DOUBT  # an earlier run may have delivered it
        with write_transaction(self.db):
            set_mail_state(self.db, mail.id, state, self.at, words)
        self.sent += state is MailState.SENT
        self.refused += state is MailState.REFUSED
        self.why = words or self.why
        return answer in (Answer.TAKEN, Answer.REFUSED) or smtp.sock is not None


def _journal(db: Database, at: datetime, actor: str, action: str, house: str, rows: Sequence[str]) -> None:
    append_journal(
        db, at=at, actor=actor, action=action, house=house, items=[item("digest", row, action) for row in rows]
    )
