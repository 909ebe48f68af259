"""What every test may ask for."""

import gc

import pytest
from django_scopes import scopes_disabled
from hypothesis import HealthCheck, settings
from whitenoise.middleware import WhiteNoiseMiddleware

from tests.make import make_user
from tests.postgresql.emptying import emptied_by_deletes

# How long an example takes says how busy the machine is, and nothing of the product.
settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings):
    """Let migrations make their thousands of classes unwatched: to look for garbage among them
    again and again takes a third of their time.
    """
    gc.disable()


@pytest.fixture(scope="session")
def django_db_setup(django_db_modify_db_settings, django_db_setup):
    """Look for garbage again once the tables are there."""
    gc.enable()


@pytest.fixture(autouse=True, scope="session")
def every_district():
    """Let tests make and read rows of all districts; what a page asks for is narrowed as ever."""
    with scopes_disabled():
        yield


@pytest.fixture(autouse=True, scope="session")
def quickly_emptied():
    """Let tests that commit leave an empty database behind them without much ado."""
    with emptied_by_deletes():
        yield


@pytest.fixture(autouse=True, scope="session")
def static_files_found_once():
    """Look for static files once: each test client would look for them at its first request."""
    files: dict = {}
    find = WhiteNoiseMiddleware.add_files_from_finders

    def find_once(middleware: WhiteNoiseMiddleware) -> None:
        if files:
            middleware.files.update(files)
        else:
            find(middleware)
            files.update(middleware.files)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", find_once)
        yield


@pytest.fixture
def as_role(client, db):
    """Return a function that signs the test client in with a role (None: an outsider)."""

    def sign_in(role: str | None):
        client.force_login(make_user(role))
        return client

    return sign_in
