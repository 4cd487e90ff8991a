"""The strict reader, checked against Python's own lenient one and by properties."""

import json
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.strict_json import read_batch, read_strict

WHOLE = st.integers(min_value=-(2**63), max_value=2**63 - 1)
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
JSON = st.recursive(
    st.none() | st.booleans() | WHOLE | TEXT | st.floats(allow_nan=False, allow_infinity=False),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4),
    max_leaves=20,
)
SPACING = st.sampled_from(["", " ", "\n", "\t\r\n  "])


@given(JSON, st.booleans(), st.sampled_from([None, 2]))
def test_well_formed_json_reads_as_pythons_own_reader_reads_it(
    value: object, ascii_only: bool, indent: int | None
) -> None:
    text = json.dumps(value, ensure_ascii=ascii_only, indent=indent)
    assert read_strict(text) == json.loads(text)


@given(st.lists(JSON, max_size=6), st.data())
def test_the_text_of_each_item_is_exactly_what_stood_in_the_request(values: list[object], data: st.DataObject) -> None:
    texts = [json.dumps(value, indent=data.draw(st.sampled_from([None, 1]))) for value in values]
    gap = data.draw(SPACING)
    body = f'{gap}{{{gap}"sent_at"{gap}:{gap}"x"{gap},{gap}"entries"{gap}:{gap}[{gap}' + f"{gap},{gap}".join(texts)
    batch = read_batch(f"{body}{gap}]{gap}}}{gap}", "entries")
    assert [item.text for item in batch.items] == texts
    assert [item.data for item in batch.items] == values
    assert batch.members == {"sent_at": "x"}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('{"a":1,"a":2}', "stands there twice"),
        ("NaN", "not a number"),
        ("[1, Infinity]", "not a number"),
        ("-Infinity", "not a number"),
        ("1e999", "too large"),
        ("9223372036854775808", "too large"),
        ("9" * 5000, "too large"),
        ('"\\ud800"', "surrogate"),
        ('{"\\udfff": 1}', "surrogate"),
        ('"a\nb"', "not JSON"),
        ("[1,]", "not JSON"),
        ("{'a': 1}", "not JSON"),
        ("", "not JSON"),
        ("[" * 21 + "]" * 21, "nested deeper"),
        ("[" * 100_000, "nested deeper"),
        ('{"a":' * 100_000, "nested deeper"),
    ],
)
def test_what_others_would_read_differently_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadValue, match=why):
        read_strict(text)


def test_twenty_levels_are_read() -> None:
    assert read_strict("[" * 20 + "]" * 20)


def test_one_bad_item_spoils_no_other() -> None:
    batch = read_batch('{"entries": [{"a": 1}, {"a": 1, "a": 2}, {"b": NaN}, "\\ud800", {"c": 3}]}', "entries")
    assert [item.data for item in batch.items] == [{"a": 1}, None, None, None, {"c": 3}]
    assert [bool(item.problem) for item in batch.items] == [False, True, True, True, False]
    assert batch.items[1].text == '{"a": 1, "a": 2}'


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"entries":{}}', '{"entries":[1 2]}', '{"entries":[1]', '{"entries":[1]} x', '{"entries":[1,]}',
     '{"entries":[],"entries":[]}', '{"a":1,"a":1,"entries":[]}', '{"a":nul,"entries":[]}', "{1:2}",
     '{"entries":' + "[" * 100_000],
)  # fmt: skip
def test_a_request_that_cannot_be_taken_apart_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        read_batch(text, "entries")


@given(st.text(max_size=60))
def test_no_text_at_all_makes_it_fail_in_another_way(text: str) -> None:
    for read in (read_strict, lambda t: read_batch(t, "entries")):
        with suppress(BadValue):
            read(text)
