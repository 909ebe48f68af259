"""Long jobs: what was asked for, how far it is, and what became of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy
from django.utils.translation import gettext_noop as mark

from inventory.models.of_district import OfDistrict
from inventory.scoping import of_district
from inventory.words import TextWords


class JobKind(TextWords):
    """What a job does."""

    CONDITION_REPORT = "condition_report", mark("Condition report")
    DISTRICT_SUMMARY = "district_summary", mark("District summary")
    EVENT_REPORT = "event_report", mark("Event report")
    WORK_LIST = "work_list", mark("List of work")
    IMPORT = "import", mark("Import")
    REASSESSMENT = "reassessment", mark("Judging again")


class JobState(TextWords):
    """Where a job stands."""

    WAITING = "waiting", mark("Waiting")
    RUNNING = "running", mark("Running")
    DONE = "done", mark("Done")
    REFUSED = "refused", mark("Refused")
    FAILED = "failed", mark("Failed")


REPORT_KINDS = (
    JobKind.CONDITION_REPORT,
    JobKind.DISTRICT_SUMMARY,
    JobKind.EVENT_REPORT,
    JobKind.WORK_LIST,
)
SHARED_KINDS = (JobKind.REASSESSMENT,)
"""Done by as many workers as are free, each taking some of what is left."""
ENDED = (JobState.DONE, JobState.REFUSED, JobState.FAILED)


class Job(models.Model):
    """One long piece of work that somebody asked for.

    How far it is while it runs stands in a file beside its result (see
    ``services.job_files``); the counts here are those of its end, and of what is written where
    workers share it.  ``attempt`` counts how often it was started: what an earlier attempt
    still does no longer counts.
    """

    kind = models.CharField(gettext_lazy("Kind"), max_length=20, choices=JobKind)
    title = models.CharField(gettext_lazy("What"), max_length=200)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="jobs"
    )
    parameters = models.JSONField(default=dict, blank=True)
    state = models.CharField(
        gettext_lazy("State"),
        max_length=10,
        choices=JobState,
        default=JobState.WAITING,
        db_index=True,
    )
    attempt = models.PositiveSmallIntegerField(gettext_lazy("Attempt"), default=1)
    unit = models.CharField(gettext_lazy("Counted in"), max_length=40, blank=True)
    done_count = models.PositiveIntegerField(gettext_lazy("Done"), default=0)
    total_count = models.PositiveIntegerField(gettext_lazy("In all"), default=0)
    message = models.TextField(gettext_lazy("What became of it"), blank=True)
    told = models.JSONField(gettext_lazy("What it told"), null=True, blank=True)
    result_name = models.CharField(
        gettext_lazy("Name of the result file"), max_length=200, blank=True
    )
    asked_at = models.DateTimeField(gettext_lazy("Asked"), db_index=True)
    queued_at = models.DateTimeField(gettext_lazy("Last queued"))
    started_at = models.DateTimeField(gettext_lazy("Started"), null=True, blank=True)
    finished_at = models.DateTimeField(gettext_lazy("Finished"), null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=JobKind.values), name="job_kind_known"),
            models.CheckConstraint(condition=Q(state__in=JobState.values), name="job_state_known"),
            models.CheckConstraint(
                condition=Q(state__in=ENDED, finished_at__isnull=False)
                | (~Q(state__in=ENDED) & Q(finished_at__isnull=True)),
                name="job_ended_has_its_time",
                violation_error_message=gettext_lazy(
                    "A job has a time of its end when it has ended."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def has_ended(self) -> bool:
        """True when nothing more will become of it by itself."""
        return self.state in ENDED


class ToJudge(OfDistrict):
    """A bridge whose verdicts still rest on what held before ``job`` was asked for.

    Written with the change itself and removed by whoever judges the bridge, in the transaction
    of that, so that pages can tell and a job that was broken off knows what is left.
    ``failed_attempt`` is that of the job in which the bridge could not be judged, so that no
    other worker tries it before a new start.
    """

    bridge = models.OneToOneField("inventory.Bridge", models.CASCADE, related_name="to_judge")
    job = models.ForeignKey(Job, models.PROTECT, related_name="to_judge")
    failed_attempt = models.PositiveSmallIntegerField(
        gettext_lazy("Attempt that failed"), default=0
    )
    objects = of_district("bridge__district")

    class Meta:
        verbose_name = "bridge to judge again"
        verbose_name_plural = "bridges to judge again"

    def __str__(self) -> str:
        return f"{self.bridge}: {self.job}"
