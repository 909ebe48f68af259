"""What the tests of accounts share."""

import pytest


@pytest.fixture(autouse=True)
def quick_digests(settings):
    """Digest passwords fast: how slow they are made is Django's affair."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
