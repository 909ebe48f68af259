"""Who may what: the table that the manual's page shows and that the tests hold the site to.

It says what is promised, page by page and call by call of the API; what enforces it are the
permissions of :mod:`inspections.roles`.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext_noop as mark

from inspections.roles import Role

INSPECTOR, ENGINEER = Role.INSPECTOR, Role.ENGINEER
MANAGER, ADMINISTRATOR = Role.MANAGER, Role.ADMINISTRATOR
EVERY_ROLE = frozenset(Role)


@dataclass(frozen=True, slots=True)
class Action:
    """What somebody may do, in words; ``get`` and ``post`` name the addresses that do it."""

    words: str
    roles: frozenset[Role]
    get: str = ""
    post: str = ""
    for_all: bool = False

    @property
    def addresses(self) -> list[tuple[str, str]]:
        """Method and name of each address."""
        return [
            (method, name)
            for method, names in (("GET", self.get), ("POST", self.post))
            for name in names.split()
        ]


ACTIONS = (
    Action(
        mark(
            "See bridges, elements, verdicts, flags, plans, events, options, orders and"
            " thresholds, as pages and as files"
        ),
        EVERY_ROLE,
        get="""
            home queue-csv queue-xlsx flag plain-flag plain-bridge elements elements-csv
            elements-xlsx bridges bridges-csv bridges-xlsx element bridge plan plan-due-csv
            plan-due-xlsx plan-not-enough plan-calendar plan-route visit bridge-intervals events
            events-csv events-xlsx event options options-csv options-xlsx study orders orders-csv
            orders-xlsx order thresholds inspections inspections-csv inspections-xlsx inspection
            imports export-register export-register-xlsx export-readings export-readings-xlsx
            element-data-out export-element-data photo photo-thumbnail drawing-file
            api-drawings-list api-drawings-detail api-drawings-file
            api-districts-list api-districts-detail api-bridges-list api-bridges-detail
            api-bridges-explanations
            api-elements-design-demands api-elements-earlier-devices api-best-times-list
            api-best-times-detail api-intervals-changes api-intervals-in-force
            api-element-data-not-told api-events-summary
            api-units-list api-units-detail api-supports-list api-supports-detail
            api-elements-list api-elements-detail api-inspections-list api-inspections-detail
            api-readings-list api-readings-detail api-temperatures-list api-temperatures-detail
            api-verdicts-list api-verdicts-detail api-flags-list api-flags-detail api-due-list
            api-due-detail api-work-orders-list api-work-orders-detail api-events-list
            api-events-detail api-events-bridges api-option-studies-list
            api-option-studies-detail api-conditions-list api-conditions-detail api-notes-list
            api-notes-detail api-critical-findings-list api-critical-findings-detail
            api-left-out-list api-left-out-detail api-photos-list api-photos-detail
            api-photos-image api-photos-thumbnail api-set-aside-list api-set-aside-detail
            api-sign-offs-list api-sign-offs-detail api-ratings-list api-ratings-detail
            api-air-temperatures-list api-air-temperatures-detail api-air-days-list
            api-air-days-detail api-air-stations-list api-histories-list api-histories-detail
            api-diagnoses-list api-diagnoses-detail api-capacity-checks-list
            api-capacity-checks-detail api-intervals-list api-intervals-detail
            api-planned-visits-list api-planned-visits-detail api-element-data-list
            api-thresholds api-threshold-changes
        """,
    ),
    Action(
        mark("Read this table, and how a reading is judged"),
        EVERY_ROLE,
        get="who-may-what how-it-is-judged",
    ),
    Action(
        mark("Keep lists, calendar addresses and API keys of one's own, and follow one's own jobs"),
        EVERY_ROLE,
        get="plan-subscriptions jobs job job-state api-keys",
        post="""
            saved-list-save saved-list-rename saved-list-remove plan-subscriptions
            plan-subscription-end api-keys api-key-revoke
        """,
    ),
    Action(
        mark("Open an inspection, planned or not"),
        frozenset({INSPECTOR, ENGINEER}),
        get="inspection-new",
        post="inspection-new visit-open api-inspections-list api-planned-visits-open",
    ),
    Action(
        mark(
            "Enter readings, temperatures, conditions, ratings and photos, on tablet, page or"
            " paper; set a reading of an open inspection aside; hand in"
        ),
        frozenset({INSPECTOR, ENGINEER}),
        get="""
            tablet-inspections tablet-packet inspection-form bridge-labels temperature-form
            reading-form reading-correct temperature-correct
        """,
        post="""
            tablet-records tablet-photo temperature-form reading-form reading-correct
            temperature-correct inspection-submit rating-add reading-set-aside
            api-inspections-records api-inspections-hand-in api-inspections-rate
            api-readings-correct api-readings-set-aside api-temperatures-correct
        """,
    ),
    Action(
        mark(
            "Review an inspection: accept or return it, correct it once handed in, acknowledge"
            " critical findings"
        ),
        frozenset({ENGINEER}),
        post="""
            inspection-accept inspection-return critical-seen api-inspections-accept
            api-inspections-return-to-team api-critical-findings-seen
        """,
    ),
    Action(
        mark("See who changed what, and from what to what"),
        frozenset({ENGINEER, MANAGER, ADMINISTRATOR}),
        get="changes changes-csv changes-xlsx",
    ),
    Action(
        mark("Decide on flags"),
        frozenset({ENGINEER}),
        post="flags-decide flag api-flags-decisions api-flags-decide-several",
    ),
    Action(
        mark("Plan visits, set intervals, record events"),
        frozenset({ENGINEER}),
        get="visit-new visit-change event-new api-events-in-reach",
        post="""
            visit-new visit-change visit-cancel bridge-intervals bridge-interval-end event-new
            event-bridges event-remove event-inspections api-planned-visits-list
            api-planned-visits-change api-planned-visits-cancel api-intervals-list
            api-intervals-end api-events-list api-events-bridges api-events-remove-bridge
            api-events-inspections
        """,
    ),
    Action(
        mark("Hold options side by side and order work"),
        frozenset({ENGINEER}),
        get="""
            study-new option-new criterion-new study-weights study-choose option-change
            option-judge option-drop option-take-up order-new order-change order-begin
            order-cancel order-finish
        """,
        post="""
            study-new option-new criterion-new study-weights study-choose option-change
            option-judge option-drop option-take-up order-new order-change order-begin
            order-cancel order-finish api-work-orders-list api-work-orders-change
            api-work-orders-begin api-work-orders-cancel api-work-orders-finish
            api-option-studies-list
            api-option-studies-add-option api-option-studies-add-criterion
            api-option-studies-weigh api-option-studies-choose
            api-option-studies-change-option api-option-studies-judge-option
            api-option-studies-drop-option api-option-studies-take-up-option
        """,
    ),
    Action(
        mark("Add drawings, say anew what they are, withdraw them"),
        frozenset({ENGINEER}),
        get="drawing-new drawing-change",
        post="""
            drawing-new drawing-change drawing-withdraw api-drawings-list api-drawings-change
            api-drawings-withdraw
        """,
    ),
    Action(
        mark("Print reports"),
        frozenset({ENGINEER, MANAGER}),
        get="""
            bridge-report study-paper element-card event-report work-list district-summary
            plain-flag-paper plain-bridge-paper job-result
        """,
        post="job-again",
    ),
    Action(
        mark("Edit a page in plain words"),
        frozenset({ENGINEER, MANAGER}),
        post="plain-flag plain-bridge",
    ),
    Action(
        mark("Import readings, and see what a file may hold"),
        frozenset({ENGINEER}),
        get="import-readings import-columns import-template",
        post="import-readings job-import",
    ),
    Action(
        mark("Import the register, air records and element data"),
        frozenset({ENGINEER}),
        get="import-register import-air import-element-data",
        post="import-register import-air import-element-data",
        for_all=True,
    ),
    Action(
        mark("Change the thresholds"),
        frozenset({ENGINEER}),
        post="thresholds api-thresholds",
        get="thresholds-preview api-threshold-preview api-threshold-preview-bridge",
        for_all=True,
    ),
    Action(
        mark(
            "Invite people, give out roles and end them, close accounts; for all districts only"
            " where one is an administrator for all"
        ),
        frozenset({ADMINISTRATOR}),
        get="people person person-invite person-second-factor",
        post="person person-invite person-link person-state person-second-factor role-end",
    ),
)
ANYBODY = """
    healthz readyz metrics login logout language account password-change password-forgotten
    password-set second-factor second-factor-set-up second-factor-codes second-factor-off
    session-end sessions-end units tablet tablet-worker tablet-manifest calendar-feed api-schema
    api-docs
"""
"""Addresses that ask for no role: signing in, one's own account, the empty tablet, what describes
the API, what watches over the site, and a calendar whose address is its key."""
