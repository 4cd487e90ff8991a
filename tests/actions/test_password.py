"""Hashing: the settings, the floor, and how many at once."""

import threading

import pytest
from argon2 import extract_parameters
from argon2.low_level import Type

from inspect_app.actions import password
from inspect_app.actions.password import FLOOR_KIB, FLOOR_PASSES, check_password, hash_password, make_hasher
from tests.published import published


@published(
    "Records, passwords, files", "RFC 9106", "section 4, second recommended option", "secondary",
    what="Argon2id memory, passes, lanes", value="64 MiB, 3, 4",
)  # fmt: skip
def test_the_working_setting_is_that_of_rfc_9106() -> None:
    hasher = make_hasher(64 * 1024, 3, 4)
    found = extract_parameters(hasher.hash("nine lanterns under plaster"))
    assert (found.type, found.memory_cost, found.time_cost, found.parallelism) == (Type.ID, 65536, 3, 4)


@published(
    "Records, passwords, files", "OWASP Password Storage Cheat Sheet", "Argon2id", "read",
    what="least memory and passes", value="19 MiB, 2",
)  # fmt: skip
def test_the_least_setting_is_that_of_owasp() -> None:
    assert (FLOOR_KIB, FLOOR_PASSES) == (19456, 2)


def test_the_program_itself_hashes_with_the_working_setting() -> None:
    import subprocess
    import sys

    program = "from inspect_app.actions.password import hasher as h; print(h.memory_cost, h.time_cost, h.parallelism)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == "65536 3 4\n"


@pytest.mark.parametrize(("memory_kib", "passes"), [(FLOOR_KIB - 1, 3), (65536, 1)])
def test_a_setting_below_the_floor_is_refused(memory_kib: int, passes: int) -> None:
    with pytest.raises(ValueError, match="at least"):
        make_hasher(memory_kib, passes, 1)


def test_no_account_is_never_right() -> None:
    assert not check_password(None, "nobody has this password")
    assert not check_password("not a hash", "x")


def test_any_text_can_be_a_password() -> None:
    for text in ("ünïcödé 七つの海", "a\ud800b", " " * 20):
        assert check_password(hash_password(text), text)
        assert not check_password(hash_password(text), text + ".")


def test_no_more_than_two_hashes_run_at_once(monkeypatch) -> None:
    running, most = [0], [0]
    lock = threading.Lock()

    class Slow:
        def hash(self, _: bytes) -> str:
            with lock:
                running[0] += 1
                most[0] = max(most[0], running[0])
            threading.Event().wait(0.02)
            with lock:
                running[0] -= 1
            return ""

    monkeypatch.setattr(password, "hasher", Slow())
    threads = [threading.Thread(target=hash_password, args=("x",)) for _ in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most[0] == 2
