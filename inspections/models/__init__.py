"""Tables of visits, readings, verdicts and agency settings."""

from inspections.models.access import ApiKey, IdempotentAnswer
from inspections.models.accounts import AccountHistory
from inspections.models.agency import AgencySettings, Preference
from inspections.models.element_data import ElementDataRow
from inspections.models.field_work import (
    Condition,
    CriticalFinding,
    FieldNote,
    LeftOut,
    Photo,
    SetAside,
    SignOff,
    TabletRecord,
)
from inspections.models.findings import (
    CapacityCheck,
    ElementHistory,
    Explanation,
    UnitDiagnosis,
)
from inspections.models.flags import (
    CalendarKey,
    Decision,
    Flag,
    SavedFilter,
    Sighting,
    VisitSeen,
)
from inspections.models.jobs import Job, ToJudge
from inspections.models.plain_pages import PlainPage
from inspections.models.planning import (
    Due,
    Event,
    EventBridge,
    Interval,
    PlannedVisit,
)
from inspections.models.ratings import ComponentRating
from inspections.models.readings import AirDay, AirTemperature, Reading, TemperatureReading
from inspections.models.roles import HeldRole
from inspections.models.seals import Seal, SealedKind
from inspections.models.sessions import BrowserSession
from inspections.models.verdicts import ElementStatus, Verdict
from inspections.models.visits import Inspection, Instrument
from inspections.models.work import (
    Criterion,
    Option,
    OptionJudgement,
    OptionStudy,
    WorkItem,
    WorkOrder,
)

__all__ = [
    "AccountHistory",
    "AgencySettings",
    "AirDay",
    "AirTemperature",
    "ApiKey",
    "BrowserSession",
    "CalendarKey",
    "CapacityCheck",
    "ComponentRating",
    "Condition",
    "Criterion",
    "CriticalFinding",
    "Decision",
    "Due",
    "ElementDataRow",
    "ElementHistory",
    "ElementStatus",
    "Event",
    "EventBridge",
    "Explanation",
    "FieldNote",
    "Flag",
    "HeldRole",
    "IdempotentAnswer",
    "Inspection",
    "Instrument",
    "Interval",
    "Job",
    "LeftOut",
    "Option",
    "OptionJudgement",
    "OptionStudy",
    "Photo",
    "PlainPage",
    "PlannedVisit",
    "Preference",
    "Reading",
    "SavedFilter",
    "Seal",
    "SealedKind",
    "SetAside",
    "Sighting",
    "SignOff",
    "TabletRecord",
    "TemperatureReading",
    "ToJudge",
    "UnitDiagnosis",
    "Verdict",
    "VisitSeen",
    "WorkItem",
    "WorkOrder",
]
