"""A page as a browser sees it: its form's values, its messages, what it runs inline."""

from html.parser import HTMLParser


class _Form(HTMLParser):
    def __init__(self, form_id: str) -> None:
        super().__init__()
        self.form_id = form_id
        self.inside = False
        self.values: dict[str, str] = {}
        self.labels: dict[str, dict[str, str]] = {}
        self._select: str | None = None
        self._option: str | None = None
        self._textarea: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = given.get("id") == self.form_id
        if not self.inside or "disabled" in given:
            return
        name = given.get("name", "")
        if tag == "input" and name and given.get("type") not in ("submit", "button", "image"):
            ticked = given.get("type") in ("checkbox", "radio")
            if not ticked or "checked" in given:
                self.values[name] = given.get("value", "on" if ticked else "")
        elif tag == "textarea":
            self._textarea = name
            self.values[name] = ""
        elif tag == "select":
            self._select = name
            self.labels[name] = {}
        elif tag == "option" and self._select:
            self._option = given.get("value", "")
            self.labels[self._select][self._option] = ""
            if "selected" in given or self._select not in self.values:
                self.values[self._select] = self._option

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = False
        elif tag == "select":
            self._select = self._option = None
        elif tag == "textarea":
            self._textarea = None

    def handle_data(self, data: str) -> None:
        if self._textarea:
            self.values[self._textarea] += data.removeprefix("\n")
        elif self._select and self._option is not None:
            self.labels[self._select][self._option] += data.strip()


def form_values(response, form_id: str) -> dict[str, str]:
    """Return what a browser would send from a form of a page as it stands."""
    parser = _Form(form_id)
    parser.feed(response.content.decode())
    assert parser.values, f"no form {form_id} in the page"
    return parser.values


def choices(response, form_id: str, name: str) -> dict[str, str]:
    """Return value and label of what a select of a page offers."""
    parser = _Form(form_id)
    parser.feed(response.content.decode())
    return parser.labels[name]


class _Inline(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.found += [f"<{tag} {name}>" for name in given if name == "style" or name[:2] == "on"]
        if tag == "style" or (tag == "script" and "src" not in given):
            self.found.append(f"<{tag}>")


def inline_code(response) -> list[str]:
    """Return what a strict content security policy would not let a page run or show."""
    parser = _Inline()
    parser.feed(response.content.decode())
    return parser.found


def send(client, url: str, form_id: str, **changes):
    """Fill in a page's form as it stands, change some fields, send it."""
    values = form_values(client.get(url), form_id)
    unknown = changes.keys() - values.keys()
    assert not unknown, f"the form has no {unknown}"
    return client.post(url, values | {name: str(value) for name, value in changes.items()})


def errors_of(response) -> dict[str, list[str]]:
    """Return the errors of a page's own form and of its inlines, at the name of each field."""
    told = dict(response.context["adminform"].form.errors)
    for inline in response.context.get("inline_admin_formsets", ()):
        for form in inline.formset.forms:
            told |= {form.add_prefix(name): each for name, each in form.errors.items()}
    return told
