"""UUIDv7 against the example that RFC 9562 publishes."""

import uuid

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import from_key, is_uuid7, to_key, uuid7, uuid7_ms
from tests.published import published

# RFC 9562, Appendix A.6: February 22, 2022 2:22:22.00 PM GMT-05:00
RFC_EXAMPLE = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
RFC_UNIX_MS = 0x017F22E279B0
RFC_RAND_A, RFC_RAND_B = 0xCC3, 0x18C4DC0C0C07398F


@published(
    "Records, passwords, files", "RFC 9562", "UUIDv7 test vector", "secondary",
    what="id made from time and random bits", value="017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
)  # fmt: skip
def test_an_id_is_the_published_example_when_made_from_its_fields() -> None:
    assert uuid7(RFC_UNIX_MS, RFC_RAND_A << 62 | RFC_RAND_B) == RFC_EXAMPLE


@published(
    "Records, passwords, files", "RFC 9562", "UUIDv7 test vector", "secondary",
    what="time of that id", value="1645557742000 ms",
)  # fmt: skip
def test_the_time_of_the_published_example_is_read_back() -> None:
    assert uuid7_ms(RFC_EXAMPLE) == RFC_UNIX_MS == 1645557742000


def test_keys_of_sixteen_bytes_go_there_and_back() -> None:
    assert from_key(to_key(RFC_EXAMPLE)) == RFC_EXAMPLE
    assert len(to_key(RFC_EXAMPLE)) == 16


@settings(max_examples=30)
@given(st.binary(min_size=16, max_size=16))
def test_an_id_is_written_as_the_standard_library_writes_it(key: bytes) -> None:
    assert from_key(key) == str(uuid.UUID(bytes=key))


@pytest.mark.parametrize("key", [b"", b"1" * 15, b"1" * 17])
def test_a_key_of_another_length_is_refused(key: bytes) -> None:
    with pytest.raises(ValueError, match="16 bytes"):
        from_key(key)


@pytest.mark.parametrize(
    "text", [RFC_EXAMPLE.upper(), RFC_EXAMPLE.replace("-7", "-4"), "", None, 7, RFC_EXAMPLE + "\n", RFC_EXAMPLE[:-1]]
)
def test_anything_else_is_no_uuid7(text: object) -> None:
    assert not is_uuid7(text)


def test_an_id_that_is_none_is_refused_with_words() -> None:
    with pytest.raises(BadValue, match="is not an id"):
        to_key("twelve")


def test_a_finding_has_an_id_of_its_own_made_from_its_entry() -> None:
    first, second = finding_id(RFC_EXAMPLE, 0), finding_id(RFC_EXAMPLE, 1)
    assert first != second
    assert finding_id(RFC_EXAMPLE, 0) == first
    assert first[14] == "5"  # the version of a name-based id, RFC 9562 section 5.5
