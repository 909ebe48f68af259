"""The catalogues: complete, with the placeholders of the English, and compiled as they stand."""

import json
import re

import pytest
from django.conf import settings

from fixtures import make_languages as made

PLACEHOLDER = re.compile(r"%\(\w+\)s|\{\w+\}")
DOMAINS = ("django", "djangojs")
EACH = pytest.mark.parametrize(
    ("language", "domain"), [(one, domain) for one in made.LANGUAGES for domain in DOMAINS]
)


def forms(text) -> tuple[str, ...]:
    """Return the forms of a text, one or those of one and of many."""
    return text if isinstance(text, tuple) else (text,)


def test_every_language_but_english_has_its_catalogues():
    assert {code for code, _name in settings.LANGUAGES} == {"en", *made.LANGUAGES}


@EACH
def test_every_marked_text_is_translated_and_nothing_else(language, domain):
    catalogue = made.catalogue_of(language, domain)
    marked = {message.id for message in made.template_of(domain) if message.id}

    assert {message.id for message in catalogue if message.id} == marked
    assert [each.id for each in catalogue if each.id and not all(forms(each.string))] == []
    assert [each.id for each in catalogue if each.id and each.fuzzy] == []


@EACH
def test_a_translation_names_what_the_english_names(language, domain):
    for message in made.catalogue_of(language, domain):
        if not message.id:
            continue
        wanted = {frozenset(PLACEHOLDER.findall(each)) for each in forms(message.id)}
        for told in forms(message.string):
            assert frozenset(PLACEHOLDER.findall(told)) in wanted, message.id


@pytest.mark.parametrize("language", made.LANGUAGES)
def test_what_is_read_at_run_time_is_the_catalogue_as_it_stands(language):
    server = made.catalogue_of(language, "django")
    tablet = made.catalogue_of(language, "djangojs")

    assert made.path_of(language, "django").with_suffix(".mo").read_bytes() == made.mo_of(server)
    kept = (made.TABLET / "languages" / f"{language}.json").read_text(encoding="utf-8")
    assert json.loads(kept) == json.loads(made.json_of(tablet, language))


@EACH
def test_english_slips_into_no_sentence(language, domain):
    """A whole text that is left as it was would be one that nobody translated."""
    same = {
        message.id
        for message in made.catalogue_of(language, domain)
        if message.id and message.string == message.id and " " in str(message.id).strip()
    }
    assert {each for each in same if not PLACEHOLDER.search(str(each))} == set()
