"""What a part's label says and what is read out of one; anything else that a camera sees is none of ours."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import uuid7
from inspect_app.domain.part_label import PartLabel, make_label, read_label

HOUSE, PART = uuid7(1_772_600_000_000, 1), uuid7(1_772_600_000_000, 2)
IDS = st.builds(uuid7, st.integers(0, 2**48 - 1), st.integers(0, 2**74 - 1))
ORIGINS = st.sampled_from(
    ["https://walk.theatre.example", "http://127.0.0.1:8137", "https://grid.local:8443/", "http://[::1]:8137"]
)


@given(ORIGINS, IDS, IDS)
def test_a_label_is_read_back_whatever_address_it_was_made_for(origin: str, house: str, part: str) -> None:
    assert read_label(make_label(origin, PartLabel(house, part))) == PartLabel(house, part)


def test_a_label_is_the_address_of_the_part_in_the_office() -> None:
    made = make_label("https://walk.theatre.example/", PartLabel(HOUSE, PART))
    assert made == f"https://walk.theatre.example/houses/{HOUSE}/parts/{PART}/"


@given(st.text(max_size=200))
def test_any_other_text_is_no_label(text: str) -> None:
    assert read_label(text) is None


@pytest.mark.parametrize(
    "text",
    [
        f"javascript:alert(1)//houses/{HOUSE}/parts/{PART}/",
        f"https://x.example/houses/{HOUSE}/parts/{PART}/edit",
        f"https://x.example/houses/{HOUSE}/parts/{PART}/?next=/",
        f"https://x.example/houses/{HOUSE}/parts/{PART}/#top",
        f"https://x.example/a/houses/{HOUSE}/parts/{PART}/",
        f" https://x.example/houses/{HOUSE}/parts/{PART}/",
        f"https://x.example/houses/{HOUSE}/parts/{PART}/\n",
        f"https://x.example/houses/{HOUSE}/parts/3f2b8a54-0c1d-4e6f-9a7b-5d3c2e1f0a98/",
        f"/houses/{HOUSE}/parts/{PART}/",
    ],
)
def test_what_only_looks_like_a_label_is_none(text: str) -> None:
    assert read_label(text) is None


@pytest.mark.parametrize("origin", ["", "walk.theatre.example", "https://x.example/path", "ftp://x.example"])
def test_no_label_is_made_that_could_not_be_read(origin: str) -> None:
    with pytest.raises(BadValue):
        make_label(origin, PartLabel(HOUSE, PART))
