"""The glossary as it is shipped, and what is said of rows that are wrong."""

from inspect_app.config import shared_dir
from inspect_app.domain.glossary import NO_SOURCE, by_letter, parse_glossary
from inspect_app.domain.part import PartKind
from inspect_app.store.reference import glossary_at, reference_at

SOURCES = reference_at(shared_dir()).sources


def test_the_shipped_glossary_has_its_hundred_terms_without_a_mistake() -> None:
    terms, problems = glossary_at(shared_dir())
    assert problems == ()
    assert 60 <= len(terms) <= 120
    assert [term.word.casefold() for term in terms] == sorted(term.word.casefold() for term in terms)


def test_each_term_says_what_it_rests_on_and_never_calls_anything_safe() -> None:
    for term in glossary_at(shared_dir())[0]:
        assert term.rests_on
        assert term.says.endswith((".", ")"))
        assert " safe " not in f" {term.says} "


def test_us_and_uk_words_of_the_trade_file_stand_in_the_glossary_too() -> None:
    terms = {term.word: term for term in glossary_at(shared_dir())[0]}
    for us, uk in reference_at(shared_dir()).words.glossary:
        for word in us.split(", "):
            if word in terms and terms[word].uk:
                assert terms[word].uk == uk
    known = {word for us, _ in reference_at(shared_dir()).words.glossary for word in us.split(", ")}
    assert known - set(terms) <= {"gridiron", "counterweight"}


def test_a_row_that_is_wrong_is_named_and_the_rest_kept() -> None:
    rows = [
        {"term": "sheave", "says": "A wheel.", "part": "loft_block"},
        {"term": "Sheave", "says": "Again."},
        {"term": "mystery"},
        {"term": "lay", "says": "A way.", "part": "no_such_part"},
        {"term": "core", "says": "A strand.", "source": "no-such-source", "clause": "1"},
        {"term": "kink", "says": "A bend.", "colour": "red"},
    ]
    terms, problems = parse_glossary({"terms": rows}, SOURCES)
    assert [term.word for term in terms] == ["sheave"]
    assert terms[0].part is PartKind.LOFT_BLOCK
    assert terms[0].rests_on == NO_SOURCE
    assert len(problems) == 5


def test_a_term_with_a_source_names_document_and_clause() -> None:
    row = {"term": "clip", "says": "A clip.", "source": "iso4309", "clause": "clause 3"}
    terms, problems = parse_glossary({"terms": [row]}, SOURCES)
    assert problems == []
    assert terms[0].rests_on.endswith(", clause 3")


def test_terms_stand_under_their_first_letter() -> None:
    terms, _ = parse_glossary({"terms": [{"term": t, "says": "X."} for t in ("well", "arbor", "Axle")]}, SOURCES)
    assert [(letter, [t.word for t in rows]) for letter, rows in by_letter(terms)] == [
        ("A", ["arbor", "Axle"]), ("W", ["well"]),
    ]  # fmt: skip
