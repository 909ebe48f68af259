"""A bare page of the site whose scripts a test calls one by one, with no screen around them."""

from typing import Any

from playwright.sync_api import Page

BARE = "/sign-in/"
"""A page of the site with no script of its own; it hands out the cookie against forgery."""
FOLDER = "/static/field"


class Scripts:
    """Calls what the tablet's modules export, in the page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def run(self, body: str, argument: Any = None, *, modules: str) -> Any:
        """Run the body of an async function; ``modules`` are loaded under their own names,
        and the argument is called ``given``.
        """
        names = modules.split()
        loaded = "\n".join(f"const {each} = await import('{FOLDER}/{each}.js');" for each in names)
        return self.page.evaluate(f"async (given) => {{ {loaded}\n{body} }}", argument)
