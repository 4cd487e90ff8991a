"""The delta of a pack: laid over the old pack it gives the whole new one, whatever changed in between."""

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.output.pack import Pack
from inspect_app.output.pack_delta import etag_of

NAMES = ("house", "me", "parts", "checklists", "limits", "walks")
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=12,
)
CONTENTS = st.fixed_dictionaries({name: VALUES for name in NAMES})
HEADS = st.fixed_dictionaries({"schema": st.just(1), "made_at": st.text(max_size=30), "last_seq": st.integers(0, 999)})


def pack_of(head: dict[str, Any], content: dict[str, Any]) -> Pack:
    return Pack(head, {name: json.dumps(value, ensure_ascii=False) for name, value in content.items()})


def applied(old: dict[str, Any], delta: dict[str, Any]) -> dict[str, Any]:
    """What a phone makes of a delta, as the module describes it."""
    return {**old, **delta["changed"], "made_at": delta["made_at"], "last_seq": delta["last_seq"]}


@given(CONTENTS, HEADS, HEADS, st.dictionaries(st.sampled_from(NAMES), VALUES))
def test_a_delta_laid_over_the_old_pack_is_the_new_pack(
    content: dict[str, Any], head: dict[str, Any], later: dict[str, Any], changes: dict[str, Any]
) -> None:
    old, new = pack_of(head, content), pack_of(later, {**content, **changes})
    answer = new.delta(f'W/"{old.etag}"')
    whole = json.loads(new.body)
    if answer is None:
        sizes = {name: len(text) for name, text in new.sections.items()}
        changed = sum(size for name, size in sizes.items() if new.sections[name] != old.sections[name])
        assert changed > 0.7 * sum(sizes.values())
        return
    delta = json.loads(answer)
    assert applied(json.loads(old.body), delta) == whole
    assert delta["etag"] == new.etag
    assert delta["since"] == old.etag
    assert delta["same"] == (old.sections == new.sections) == (not delta["changed"])
    assert "since" not in whole


@given(CONTENTS, HEADS, st.text(max_size=120))
def test_an_etag_that_means_nothing_here_gets_the_whole_pack(
    content: dict[str, Any], head: dict[str, Any], etag: str
) -> None:
    assert pack_of(head, content).delta(etag) is None


def test_a_pack_of_other_sections_gets_the_whole_pack() -> None:
    old = pack_of({"schema": 1, "made_at": "", "last_seq": 0}, {"house": 1, "parts": {}})
    for content in ({"house": 1, "walks": {}}, {"house": 1, "parts": {}, "walks": []}, {"parts": {}, "house": 1}):
        assert pack_of({"schema": 1, "made_at": "", "last_seq": 0}, content).delta(old.etag) is None


def test_the_etag_tells_sections_apart_that_only_moved() -> None:
    assert etag_of({"a": "[]", "b": "{}"}) != etag_of({"a": "{}", "b": "[]"})
