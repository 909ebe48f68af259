"""What every test may ask for."""

import pytest

from tests.make import make_user


@pytest.fixture
def as_role(client, db):
    """Return a function that signs the test client in with a role (None: an outsider)."""

    def sign_in(role: str | None):
        client.force_login(make_user(role))
        return client

    return sign_in
