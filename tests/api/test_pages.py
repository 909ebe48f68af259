"""Every page has its resource, or says here why it has none."""

from django.urls import URLPattern, URLResolver, get_resolver

# name of a page -> where the API gives what it shows or writes
RESOURCE_OF = {
    "elements": "elements/", "bridges": "bridges/",
    "element": "elements/{id}/", "bridge": "bridges/{code}/",
    "home": "flags/", "flag": "flags/{id}/", "flags-decide": "flags/decisions/",
    "plan": "due/", "plan-not-enough": "best-times/", "plan-calendar": "planned-visits/",
    "visit": "planned-visits/{id}/", "bridge-intervals": "intervals/in-force/",
    "events": "events/", "event": "events/{id}/bridges/",
    "event-bridges": "events/{id}/bridges/", "event-remove": "events/{id}/bridges/remove/",
    "event-inspections": "events/{id}/inspections/",
    "options": "option-studies/", "study": "option-studies/{id}/",
    "study-new": "option-studies/", "option-new": "option-studies/{id}/options/",
    "criterion-new": "option-studies/{id}/criteria/",
    "study-weights": "option-studies/{id}/weights/",
    "study-choose": "option-studies/{id}/choose/",
    "option-change": "option-studies/{id}/options/{option_pk}/change/",
    "option-judge": "option-studies/{id}/options/{option_pk}/judgements/",
    "option-drop": "option-studies/{id}/options/{option_pk}/drop/",
    "option-take-up": "option-studies/{id}/options/{option_pk}/take-up/",
    "orders": "work-orders/", "order": "work-orders/{id}/",
    "thresholds": "thresholds/", "thresholds-preview": "thresholds/preview/{code}/",
    "element-data-out": "element-data/",
    "inspections": "inspections/", "inspection-new": "inspections/",
    "inspection": "inspections/{id}/", "inspection-submit": "inspections/{id}/hand-in/",
    "inspection-accept": "inspections/{id}/accept/",
    "inspection-return": "inspections/{id}/return/",
    "rating-add": "inspections/{id}/ratings/",
    "temperature-form": "inspections/{id}/records/", "reading-form": "inspections/{id}/records/",
    "reading-correct": "readings/{id}/correct/",
    "reading-set-aside": "readings/{id}/set-aside/",
    "temperature-correct": "temperatures/{id}/correct/",
    "critical-seen": "critical-findings/{id}/seen/",
    "visit-new": "planned-visits/", "visit-change": "planned-visits/{id}/change/",
    "visit-cancel": "planned-visits/{id}/cancel/", "visit-open": "planned-visits/{id}/open/",
    "bridge-interval-end": "intervals/{id}/end/", "event-new": "events/",
    "order-new": "work-orders/", "order-change": "work-orders/{id}/change/",
    "order-finish": "work-orders/{id}/finish/",
    "order-begin": "work-orders/{id}/begin/", "order-cancel": "work-orders/{id}/cancel/",
    "drawing-new": "drawings/", "drawing-change": "drawings/{id}/change/",
    "drawing-withdraw": "drawings/{id}/withdraw/", "drawing-file": "drawings/{id}/file/",
    "photo": "photos/{uid}/image/", "photo-thumbnail": "photos/{uid}/thumbnail/",
}  # fmt: skip
OF_THE_BROWSER = (
    "Belongs to a person at a browser: sign-in, units, saved lists, keys, calendars, roles."
)
OF_THE_SITE = "Looks over the shoulder of people, at a browser or as a file of its own."
A_FILE = "A file of what a resource gives, or taken in; files have their own formats."
PAPER = "A PDF for print."
A_TEXT = "A text that somebody edits before it is printed."
AN_EXPLANATION = "Explains, and shows nothing of a bridge."
A_JOB = "Follows what a page has started: a large report, or a file that was given to it."
FOR_OPERATORS = "Asked by the machines that watch over the site, each in a form of its own."
THE_TABLET = "The tablet's own way in and out."
NONE = {
    OF_THE_BROWSER: {
        "login", "logout", "account", "language", "password-forgotten", "password-set",
        "password-change", "session-end", "sessions-end",
        "second-factor", "second-factor-set-up", "second-factor-codes", "second-factor-off",
        "units", "saved-list-save", "saved-list-rename", "saved-list-remove",
        "api-keys", "api-key-revoke", "api-docs", "api-schema",
        "people", "person", "person-invite", "person-link", "person-state",
        "person-second-factor",
        "role-end", "who-may-what", "plan-subscriptions",
        "plan-subscription-end", "calendar-feed", "plan-route",
    },
    PAPER: {
        "bridge-report", "bridge-labels", "inspection-form", "study-paper", "element-card",
        "event-report", "work-list", "district-summary", "plain-flag-paper", "plain-bridge-paper",
    },
    AN_EXPLANATION: {"how-it-is-judged"},
    A_TEXT: {"plain-flag", "plain-bridge"},
    A_JOB: {"jobs", "job", "job-state", "job-result", "job-import", "job-again"},
    FOR_OPERATORS: {"healthz", "readyz", "metrics"},
    OF_THE_SITE: {"changes"},
    A_FILE: {"imports", "import-columns", "import-template"},
    THE_TABLET: {
        "tablet-worker", "tablet-manifest", "tablet", "tablet-inspections", "tablet-packet",
        "tablet-photo", "tablet-records",
    },
}  # fmt: skip


def pages() -> set[str]:
    """Return the names of all pages outside the admin and the API itself."""

    def names(patterns) -> set[str]:
        found = set()
        for each in patterns:
            if isinstance(each, URLResolver):
                if each.namespace is None and not f"{each.pattern}".startswith("api/v1"):
                    found |= names(each.url_patterns)
            elif isinstance(each, URLPattern) and each.name and "api/v1" not in f"{each.pattern}":
                found.add(each.name)
        return found

    return {
        name
        for name in names(get_resolver().url_patterns)
        if not name.endswith(("-csv", "-xlsx")) and not name.startswith(("import-", "export-"))
    } | {"import-columns", "import-template"}


def test_each_page_has_a_resource_or_says_why_it_has_none():
    told = {*RESOURCE_OF, *set().union(*NONE.values())}
    assert pages() - told == set()


def test_no_page_that_has_gone_is_still_listed():
    assert {*RESOURCE_OF, *set().union(*NONE.values())} - pages() == set()


def test_no_page_has_both_a_resource_and_a_reason_to_have_none():
    assert not {*RESOURCE_OF} & set().union(*NONE.values())


def test_each_resource_named_is_there(as_role):
    paths = as_role("engineer").get("/api/schema/").json()["paths"]
    assert {f"/api/v1/{path}" for path in RESOURCE_OF.values()} <= {*paths}
