"""What a password may be."""

import hashlib

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ImproperlyConfigured, ValidationError
from django.core.management import call_command
from django.core.management.base import SystemCheckError

from inspections.accounts.passwords import is_listed
from inspections.project.env import at_least
from tests.make import make_user

WITHSTANDS = "gusset lantern ordinary plum"


def refusal(password: str, user=None) -> str:
    with pytest.raises(ValidationError) as refused:
        validate_password(password, user)
    return " ".join(refused.value.messages)


@pytest.mark.parametrize(
    "password",
    [
        WITHSTANDS,
        WITHSTANDS * 10,
        "tvrdkqzmwhxa",  # letters alone
        "медленный верблюд читает",
        "q " * 5 + WITHSTANDS,
    ],
)
def test_long_ones_are_taken_whatever_signs_they_are_made_of(password):
    validate_password(password)


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("tvrdkqzmwhx", "at least 12"),
        ("telechargement", "used most"),
        ("Password1234!", "similar to a commonly used password"),
        ("aaaaaaaaaaaaaaaa", "Repeats"),
        ("abcdefghijklm", "Sequences"),
        ("ledgerbridge", "easily guessed"),
        ("bearingjoint", "easily guessed"),
        ("123456789012345", "entirely numeric|easily guessed|used most"),
    ],
)
def test_what_is_guessed_early_is_refused_with_the_reason(password, why):
    told = refusal(password)
    assert any(each in told for each in why.split("|"))


@pytest.mark.django_db
@pytest.mark.parametrize("password", ["quillfeather", "Quillfeather.22", "northshire.example"])
def test_a_password_made_of_the_users_own_names_is_refused(password):
    user = make_user(
        "engineer", username="quillfeather", email="q@northshire.example", first_name="Ada"
    )
    refusal(password, user)


def digest_of(password: str) -> str:
    return hashlib.sha1(password.encode(), usedforsecurity=False).hexdigest().upper()


@pytest.fixture
def listed(tmp_path):
    """Return a file of digests, one of them that of the password which else withstands all."""

    def write(*passwords: str, line="{}:3\r\n", length=40):
        digests = sorted(digest_of(each)[:length] for each in passwords)
        path = tmp_path / "breached.txt"
        path.write_bytes("".join(line.format(each) for each in digests).encode())
        return path

    return write


def test_a_password_of_the_agencys_own_list_is_refused_and_no_other(listed, settings):
    settings.BREACHED_PASSWORDS = str(listed(WITHSTANDS, "a", "b", "c"))
    assert "breach" in refusal(WITHSTANDS)
    validate_password(WITHSTANDS + "s")


@pytest.mark.parametrize("line", ["{}:3\r\n", "{}\n", "{}:17\n"])
@pytest.mark.parametrize("length", [40, 20])
@pytest.mark.parametrize("count", [1, 2, 3, 100])
def test_every_line_of_a_list_is_found_wherever_it_stands(listed, line, length, count):
    inside = [f"inside {number}" for number in range(count)]
    path = listed(*inside, line=line, length=length)
    assert all(is_listed(path, each) for each in inside)
    assert not any(is_listed(path, f"outside {number}") for number in range(100))


def test_lines_of_unlike_lengths_and_small_letters_are_found(tmp_path):
    inside = [f"inside {number}" for number in range(50)]
    path = tmp_path / "list"
    lines = [
        f"{digest}:{10 ** (number % 7)}" for number, digest in enumerate(map(digest_of, inside))
    ]
    path.write_text("\n".join(sorted(lines)).lower())
    assert all(is_listed(path, each) for each in inside)


def test_an_empty_list_holds_nothing(tmp_path):
    path = tmp_path / "list"
    path.touch()
    assert not is_listed(path, "")


def test_the_site_says_at_its_start_that_the_list_is_not_one(settings, tmp_path, listed):
    settings.BREACHED_PASSWORDS = str(tmp_path / "missing.txt")
    with pytest.raises(SystemCheckError, match=r"missing\.txt.*cannot be read"):
        call_command("check")
    plain = tmp_path / "plain.txt"
    plain.write_text("password\n123456\n")
    settings.BREACHED_PASSWORDS = str(plain)
    with pytest.raises(SystemCheckError, match="does not begin with a SHA-1 digest"):
        call_command("check")
    settings.BREACHED_PASSWORDS = str(listed("a"))
    call_command("check")


def test_the_shortest_length_may_be_raised_but_not_lowered_below_eight(monkeypatch):
    monkeypatch.setenv("LEDGER_PASSWORD_LENGTH", "16")
    assert at_least("LEDGER_PASSWORD_LENGTH", 8, default=12) == 16
    monkeypatch.setenv("LEDGER_PASSWORD_LENGTH", "6")
    with pytest.raises(ImproperlyConfigured, match="give 8 or more"):
        at_least("LEDGER_PASSWORD_LENGTH", 8, default=12)
