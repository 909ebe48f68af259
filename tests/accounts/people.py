"""People with passwords, who sign in by the page as a browser does."""

from django.test import Client

from tests.make import make_user

PASSWORD = "gusset lantern ordinary plum"
FIREFOX = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"
CHROME = (
    "Mozilla/5.0 (Linux; Android 14; Tab) AppleWebKit/537.36 (KHTML, like Gecko)"
    " Chrome/140.0.0.0 Safari/537.36"
)


def make_person(role="engineer", **fields):
    """Return a user with the password of all."""
    user = make_user(role, **fields)
    user.set_password(PASSWORD)
    user.save()
    return user


def browser(address="192.0.2.1", agent=FIREFOX) -> Client:
    """Return a browser at an address."""
    return Client(REMOTE_ADDR=address, HTTP_USER_AGENT=agent)


def sign_in(client: Client, user, password=PASSWORD, **more):
    """Send the sign-in page; return the answer."""
    name = user if isinstance(user, str) else user.username
    return client.post("/sign-in/", {"username": name, "password": password, **more})


def is_in(client: Client) -> bool:
    """True where the client's next page is not the sign-in page."""
    return client.get("/account/").status_code == 200
