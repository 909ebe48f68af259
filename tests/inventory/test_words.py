"""Labels within a sentence, and texts that are cut."""

import pytest
from django.utils.translation import override

from inventory.words import in_sentence, shortened


@pytest.mark.parametrize(
    ("label", "told"),
    [
        ("Away from its expected position", "away from its expected position"),
        ("PTFE sliding bearing", "PTFE sliding bearing"),
        ("A reading at A1", "a reading at A1"),
        ("Cracks, CS4", "cracks, CS4"),
        ("", ""),
    ],
)
def test_a_label_within_a_sentence_keeps_what_is_spelled_in_capitals(label, told):
    with override("en"):
        assert in_sentence(label) == told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("short", "short"),
        ("a survey is arranged", "a survey is …"),
        ("unbrokenwordsofaninspector", "unbrokenwordsof …"),
    ],
)
def test_a_long_text_is_cut_between_two_words_where_it_has_any(text, told):
    assert shortened(text, 15) == told
