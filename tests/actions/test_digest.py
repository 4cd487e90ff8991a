"""The daily digest through a real SMTP server: once for each person and day, through every failure that can be."""

import email
import smtplib
import socket
import ssl
from collections.abc import Iterator
from datetime import timedelta
from email import policy
from email.message import EmailMessage
from pathlib import Path

import pytest
import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session
from click.testing import CliRunner
from sqlite_utils import Database

from inspect_app.actions.digest import choose_digest, queue_digests, send_waiting, stop_digest
from inspect_app.cli import main
from inspect_app.config import Settings, mail_server
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.mail_server import MailServer, Security
from inspect_app.domain.role import Role
from inspect_app.output.mail import Letter, compose
from inspect_app.store.data_folder import mail_lock
from inspect_app.store.db import write_transaction
from inspect_app.store.membership import set_roles
from inspect_app.store.outbox import MailState, list_mail_of, list_unsent
from tests.walk_builder import START, BuiltWalk, add_person

SENDER = "log@mill.example"


class Post:
    """A mail server of the test; `does` says what it does with the next messages, after which it takes them."""

    def __init__(self) -> None:
        self.taken: list[bytes] = []
        self.seen = 0
        self.does: list[str] = []

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        self.seen += 1
        act = self.does.pop(0) if self.does else "take"
        content = envelope.original_content or b""
        if act in ("take", "take_and_vanish"):
            self.taken.append(content)
        if act in ("vanish", "take_and_vanish"):
            server.transport.abort()
        return {"later": "451 4.3.0 try again later", "never": "554 5.7.1 not here"}.get(act, "250 OK")

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        if self.does and self.does[0] == "unknown":
            self.does.pop(0)
            return "550 5.1.1 nobody of that name"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    @property
    def messages(self) -> list[EmailMessage]:
        return [email.message_from_bytes(one, policy=policy.default) for one in self.taken]  # type: ignore[misc]


@pytest.fixture
def post() -> Post:
    return Post()


@pytest.fixture
def server(post: Post) -> Iterator[MailServer]:
    port = free_port()
    controller = Controller(post, hostname="127.0.0.1", port=port)
    controller.start()
    try:
        yield MailServer("127.0.0.1", port, SENDER, Security.NONE)
    finally:
        controller.stop()


def free_port() -> int:
    """A port on which nobody listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    """A house in which a stop stands, and a director who asked for the digest."""
    built = BuiltWalk(db, settings, house)
    built.open()
    built.finding("LB 1-1", "stop_use", note="flange cracked")
    choose_digest(db, at=START, actor=built.td.id, house=house.id, address="ines@mill.example")
    return built


def test_the_digest_comes_exactly_once_through_two_failures(walk: BuiltWalk, post: Post, server: MailServer) -> None:
    """The server is down; then it breaks off after the text without taking it; then it takes it, and once only."""
    assert queue_digests(walk.db, walk.settings, SENDER, START) == 1
    down = send_waiting(walk.db, MailServer("127.0.0.1", free_port(), SENDER, Security.NONE), START)
    assert (down.sent, down.waiting) == (0, 1)
    assert "refused" in down.why.lower()
    post.does = ["vanish"]
    broken = send_waiting(walk.db, server, START)
    assert (broken.sent, broken.waiting, post.seen, post.taken) == (0, 1, 1, [])
    assert list_unsent(walk.db)[0].state is MailState.IN_DOUBT
    assert queue_digests(walk.db, walk.settings, SENDER, START + timedelta(hours=2)) == 0, "one a day"
    assert send_waiting(walk.db, server, START)[:3] == (1, 0, 0)
    assert send_waiting(walk.db, server, START)[:3] == (0, 0, 0)
    assert queue_digests(walk.db, walk.settings, SENDER, START + timedelta(hours=3)) == 0
    (message,) = post.messages
    assert message["To"] == "ines@mill.example"
    assert "flange cracked" in message.get_content()
    assert "certifies nothing" in message.get_content()
    (mail,) = list_mail_of(walk.db, walk.house.id, walk.td.id)
    assert (mail.state, mail.tries, message["Message-ID"]) == (MailState.SENT, 2, mail.message_id)


def test_a_lost_answer_repeats_the_same_message_under_the_same_id(
    walk: BuiltWalk, post: Post, server: MailServer
) -> None:
    """RFC 5321 leaves no way to know whether it was taken: it comes again, byte for byte, and can be told to be one."""
    queue_digests(walk.db, walk.settings, SENDER, START)
    post.does = ["take_and_vanish"]
    assert send_waiting(walk.db, server, START).waiting == 1
    assert send_waiting(walk.db, server, START + timedelta(days=2)).sent == 1
    first, second = post.taken
    assert first == second
    assert len({one["Message-ID"] for one in post.messages}) == 1


def test_a_refusal_for_now_is_tried_again_and_one_for_good_is_not(
    walk: BuiltWalk, post: Post, server: MailServer
) -> None:
    queue_digests(walk.db, walk.settings, SENDER, START)
    post.does = ["later"]
    assert send_waiting(walk.db, server, START)[:3] == (0, 0, 1)
    post.does = ["never"]
    assert send_waiting(walk.db, server, START)[:3] == (0, 1, 0)
    assert send_waiting(walk.db, server, START)[:3] == (0, 0, 0)
    (mail,) = list_mail_of(walk.db, walk.house.id, walk.td.id)
    assert mail.state is MailState.REFUSED
    assert mail.last_error.startswith("554")


def test_one_bad_address_does_not_keep_the_others_waiting(walk: BuiltWalk, post: Post, server: MailServer) -> None:
    other = add_person(walk.db, walk.house, "Kit", Role.INSPECTOR)
    choose_digest(walk.db, at=START, actor=other.id, house=walk.house.id, address="kit@mill.example")
    assert queue_digests(walk.db, walk.settings, SENDER, START) == 2
    post.does = ["unknown"]
    assert send_waiting(walk.db, server, START)[:3] == (1, 1, 0)
    assert len(post.taken) == 1


def test_each_person_reads_what_waits_for_them(walk: BuiltWalk, post: Post, server: MailServer) -> None:
    manager = add_person(walk.db, walk.house, "Kit Poe", Role.MANAGER)
    choose_digest(walk.db, at=START, actor=manager.id, house=walk.house.id, address="kit@mill.example")
    helper = add_person(walk.db, walk.house, "Sam", Role.HELPER)
    choose_digest(walk.db, at=START, actor=helper.id, house=walk.house.id, address="sam@mill.example")
    walk.close()
    queue_digests(walk.db, walk.settings, SENDER, START)
    send_waiting(walk.db, server, START)
    said = {one["To"]: one.get_content() for one in post.messages}
    assert all("flange cracked" in text for text in said.values()), "a stop is for everyone"
    assert "reviewed and signed" in said["ines@mill.example"]
    assert "reviewed and signed" not in said["kit@mill.example"]
    assert "to be decided" in said["kit@mill.example"]
    assert "to be decided" not in said["sam@mill.example"]


def test_nobody_gets_it_who_did_not_ask_or_has_left(walk: BuiltWalk) -> None:
    add_person(walk.db, walk.house, "Kit", Role.INSPECTOR)
    leaver = add_person(walk.db, walk.house, "Sam", Role.TD)
    choose_digest(walk.db, at=START, actor=leaver.id, house=walk.house.id, address="sam@mill.example")
    with write_transaction(walk.db):
        set_roles(walk.db, walk.house.id, leaver.id, frozenset(), START)
    stop_digest(walk.db, at=START, actor=walk.td.id, house=walk.house.id)
    assert queue_digests(walk.db, walk.settings, SENDER, START) == 0
    with pytest.raises(NotFound):
        stop_digest(walk.db, at=START, actor=walk.td.id, house=walk.house.id)


def test_whoever_asks_for_no_more_is_sent_nothing_that_waited(walk: BuiltWalk, post: Post, server: MailServer) -> None:
    queue_digests(walk.db, walk.settings, SENDER, START)
    stop_digest(walk.db, at=START, actor=walk.td.id, house=walk.house.id)
    assert send_waiting(walk.db, server, START)[:3] == (0, 0, 0)
    assert post.taken == []


def test_what_waited_for_somebody_who_has_left_is_not_sent(walk: BuiltWalk, post: Post, server: MailServer) -> None:
    leaver = add_person(walk.db, walk.house, "Sam", Role.TD)
    choose_digest(walk.db, at=START, actor=leaver.id, house=walk.house.id, address="sam@mill.example")
    assert queue_digests(walk.db, walk.settings, SENDER, START) == 2
    with write_transaction(walk.db):
        set_roles(walk.db, walk.house.id, leaver.id, frozenset(), START)
    assert send_waiting(walk.db, server, START)[:3] == (1, 0, 0)
    assert [one["To"] for one in post.messages] == ["ines@mill.example"]


def test_a_new_day_is_a_new_message_and_the_old_one_is_not_lost(
    walk: BuiltWalk, post: Post, server: MailServer
) -> None:
    queue_digests(walk.db, walk.settings, SENDER, START)
    assert queue_digests(walk.db, walk.settings, SENDER, START + timedelta(days=1)) == 1
    assert send_waiting(walk.db, server, START + timedelta(days=1)).sent == 2
    assert len({one["Message-ID"] for one in post.messages}) == 2


def test_two_runs_at_once_do_not_both_send(settings: Settings) -> None:
    with mail_lock(settings.data), pytest.raises(Conflict, match="Another run"), mail_lock(settings.data):
        pass


def test_it_signs_in_and_is_encrypted_where_the_server_asks_for_it(walk: BuiltWalk, post: Post, tmp_path: Path) -> None:
    authority = trustme.CA()
    authority.cert_pem.write_to_path(str(tmp_path / "ca.pem"))
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    authority.issue_cert("localhost").configure_cert(context)

    def known(server: SMTP, session: Session, envelope: Envelope, mechanism: str, data: object) -> AuthResult:
        good = isinstance(data, LoginPassword) and (data.login, data.password) == (b"log", b"secret word")
        return AuthResult(success=good, handled=good)

    port = free_port()
    controller = Controller(post, hostname="localhost", port=port, tls_context=context, require_starttls=True,
                            authenticator=known, auth_required=True)  # fmt: skip
    controller.start()
    try:
        ca_file = str(tmp_path / "ca.pem")
        queue_digests(walk.db, walk.settings, SENDER, START)
        wrong = MailServer("localhost", port, SENDER, Security.STARTTLS, "log", "another word", ca_file)
        refused = send_waiting(walk.db, wrong, START)
        assert (refused.waiting, refused.why) == (1, "the mail server refused the user name or password")
        distrusted = send_waiting(walk.db, MailServer("localhost", port, SENDER, Security.STARTTLS), START)
        assert distrusted.waiting == 1
        assert "certificate" in distrusted.why.lower()
        right = MailServer("localhost", port, SENDER, Security.STARTTLS, "log", "secret word", ca_file)
        assert send_waiting(walk.db, right, START).sent == 1
        assert "secret word" not in repr(right)
    finally:
        controller.stop()
    everything = "".join(str(db_row) for t in ("outbox", "journal") for db_row in walk.db.execute(f"SELECT * FROM {t}"))
    assert "secret word" not in everything


def test_the_command_queues_sends_and_says_so(
    walk: BuiltWalk, post: Post, server: MailServer, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = CliRunner()
    for name in ("HOST", "PORT", "FROM", "SECURITY", "USER", "PASSWORD", "PASSWORD_FILE"):
        monkeypatch.delenv(f"INSPECT_APP_SMTP_{name}", raising=False)
    off = run.invoke(main, ["--data", str(settings.data), "due", "--mail"])
    assert (off.exit_code, "Mail is off" in off.output) == (1, True)
    for name, value in (("HOST", server.host), ("PORT", str(server.port)), ("FROM", SENDER), ("SECURITY", "none")):
        monkeypatch.setenv(f"INSPECT_APP_SMTP_{name}", value)
    monkeypatch.setenv("INSPECT_APP_ADDRESS", "https://log.mill.example/")
    done = run.invoke(main, ["--data", str(settings.data), "due", "--mail"])
    assert (done.exit_code, done.output) == (0, "queued 1, sent 1, refused 0, waiting 0\n")
    assert f"https://log.mill.example/houses/{walk.house.id}/today/" in post.messages[0].get_content()
    printed = run.invoke(main, ["--data", str(settings.data), "due"])
    assert printed.exit_code == 1, "something is stopped"
    assert "flange cracked" in printed.output
    assert post.messages[0].get_content().splitlines()[0] == printed.output.splitlines()[0]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"HOST": "mail.example", "SECURITY": "none"}, "another machine"),
        ({"HOST": "mail.example", "PORT": "smtp"}, "number"),
        ({"HOST": "mail.example", "SECURITY": "ssl"}, "one of"),
        ({"HOST": "mail.example", "FROM": "nobody"}, "sender"),
        ({"HOST": "mail.example", "PASSWORD_FILE": "/does/not/exist"}, "PASSWORD_FILE"),
    ],
)
def test_settings_that_cannot_be_are_told(fields: dict[str, str], says: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in {"FROM": SENDER, **fields}.items():
        monkeypatch.setenv(f"INSPECT_APP_SMTP_{name}", value)
    with pytest.raises(BadValue, match=says):
        mail_server()


def test_a_line_with_a_single_dot_and_umlauts_arrive_as_they_were(post: Post, server: MailServer) -> None:
    from inspect_app.output.mail import send

    body = "Set 12: Rolle schwergängig\n.\n..two dots\n" + "x" * 1200 + "\n"
    letter = Letter("<a@mill.example>", SENDER, "ines@mill.example", "Höhe – 3 überfällig", body, START)
    with smtplib.SMTP(server.host, server.port, timeout=5) as smtp:
        assert send(smtp, letter).answer == "taken"
    (message,) = post.messages
    assert message.get_content().replace("\r\n", "\n") == body
    assert message["Subject"] == letter.subject
    assert compose(letter).as_bytes() == compose(letter).as_bytes()


@pytest.mark.parametrize("text", ["", "ines", "ines@", "a@b", "a b@mill.example", "a@mill.example\r\nBcc: x@y.example"])
def test_only_one_plain_address_is_taken(walk: BuiltWalk, text: str) -> None:
    with pytest.raises(BadValue) as caught:
        choose_digest(walk.db, at=START, actor=walk.td.id, house=walk.house.id, address=text)
    assert caught.value.field == "address"
