from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from inspections.models import Inspection
from workshop.models.jobs import Job
from yard.database_rules import AppendOnly, FrozenOnce, SameYard
from yard.models import Boat, Mail, Member, Owner, YardOwned
from yard.models.fields import one_of


class QuoteState(models.TextChoices):
    DRAFT = "draft", "draft"
    SENT = "sent", "sent"
    DECIDED = "decided", "decided"
    LAPSED = "lapsed", "lapsed"
    SUPERSEDED = "superseded", "superseded"


class Quote(YardOwned):
    """Jobs put to the boat's decider. Frozen when sent: `content` is canonical JSON, `digest` its SHA-256."""

    database_rules = (
        SameYard("boat"),
        SameYard("inspection"),
        SameYard("created_by"),
        SameYard("sent_by"),
        FrozenOnce("sent_at", ("content", "digest", "boat", "number", "valid_until", "currency")),
    )

    State = QuoteState

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="quotes")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="quotes")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=20, choices=State.choices, default=State.DRAFT)
    currency = models.CharField(max_length=3)
    valid_until = models.DateField()
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    content = models.TextField(blank=True)
    digest = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "number"], name="quote_numbers_are_unique"),
            models.UniqueConstraint(
                fields=["inspection"], condition=Q(state="draft"), name="one_draft_quote_per_inspection"
            ),
            one_of("state", QuoteState, name="quote_state_is_known"),
            models.CheckConstraint(
                condition=Q(state="draft", sent_at__isnull=True, digest="")
                | Q(state="superseded", sent_at__isnull=True)
                | (Q(sent_at__isnull=False, digest__regex=r"^[0-9a-f]{64}$") & ~Q(content="") & ~Q(state="draft")),
                name="sent_quote_has_a_digest",
            ),
        ]

    def __str__(self) -> str:
        return f"quote {self.number}"


class QuoteLine(YardOwned):
    """One job of a quote, with its price when the quote was sent."""

    database_rules = (
        SameYard("quote"),
        SameYard("job"),
        FrozenOnce(
            "frozen_at",
            (
                "quote",
                "job",
                "position",
                "hours_likely",
                "hours_ceiling",
                "net_labour",
                "net_materials",
                "vat_rate_pct",
            ),
        ),
    )

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="quote_lines")
    position = models.PositiveSmallIntegerField()
    hours_likely = models.DecimalField(max_digits=8, decimal_places=2, help_text="as likely more as less")
    hours_ceiling = models.DecimalField(max_digits=8, decimal_places=2, help_text="the yard asks again before this")
    net_labour = models.DecimalField(max_digits=12, decimal_places=2)
    net_materials = models.DecimalField(max_digits=12, decimal_places=2)
    vat_rate_pct = models.DecimalField(max_digits=5, decimal_places=2)
    frozen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "job"], name="a_job_stands_once_in_a_quote"),
            models.CheckConstraint(
                condition=Q(hours_likely__gte=0, hours_ceiling__gte=models.F("hours_likely")),
                name="quote_ceiling_not_below_likely",
            ),
            models.CheckConstraint(
                condition=Q(net_labour__gte=0, net_materials__gte=0), name="quote_amounts_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.job}"


class Verdict(models.TextChoices):
    APPROVE = "approve", "approved"
    DECLINE = "decline", "declined"
    ASK = "ask", "asked"


class Decision(YardOwned):
    """The decider's word on one job of a sent quote, naming the digest of what they saw."""

    database_rules = (AppendOnly(), SameYard("line"), SameYard("owner"), SameYard("member"))

    line = models.ForeignKey(QuoteLine, on_delete=models.PROTECT, related_name="decisions")
    verdict = models.CharField(max_length=20, choices=Verdict.choices)
    question = models.TextField(blank=True)
    digest = models.CharField(max_length=64)
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="decisions")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="decisions")
    decided_at = models.DateTimeField()
    from_address = models.GenericIPAddressField(null=True, blank=True)

    class Meta:
        ordering = ["decided_at"]
        constraints = [
            one_of("verdict", Verdict, name="decision_verdict_is_known"),
            models.UniqueConstraint(
                fields=["line"], condition=~Q(verdict="ask"), name="one_yes_or_no_per_job_of_a_quote"
            ),
            models.CheckConstraint(
                condition=Q(owner__isnull=False, member__isnull=True) | Q(owner__isnull=True, member__isnull=False),
                name="decision_is_somebodys",
            ),
            models.CheckConstraint(condition=~Q(verdict="ask") | ~Q(question=""), name="a_question_has_words"),
            models.CheckConstraint(condition=Q(digest__regex=r"^[0-9a-f]{64}$"), name="decision_names_a_digest"),
        ]

    def __str__(self) -> str:
        return f"{self.verdict} {self.line}"


class Reply(YardOwned):
    """The yard's answer to what the decider asked about a job; with the questions it makes the job's thread."""

    database_rules = (AppendOnly(), SameYard("line"), SameYard("member"))

    line = models.ForeignKey(QuoteLine, on_delete=models.PROTECT, related_name="replies")
    text = models.TextField()
    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["written_at", "id"]
        verbose_name_plural = "replies"
        constraints = [models.CheckConstraint(condition=~Q(text=""), name="a_reply_has_words")]

    def __str__(self) -> str:
        return f"reply on {self.line}"


class Report(YardOwned):
    """The PDF of an inspection, with its quote where one was sent."""

    database_rules = (SameYard("boat"), SameYard("inspection"), SameYard("quote"))

    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="reports")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="reports")
    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, null=True, blank=True, related_name="report")
    file = models.FileField(upload_to="reports/", max_length=200)
    sha256 = models.CharField(max_length=64)
    pages = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"report of {self.made_at:%Y-%m-%d}"


class OwnerLink(YardOwned):
    """The key to one quote of one boat. The address carries the id, signed; no secret is kept."""

    database_rules = (
        SameYard("boat"),
        SameYard("quote"),
        SameYard("owner"),
        SameYard("member"),
        SameYard("mail"),
    )

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="owner_links")
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="owner_links")
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="links")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="links")
    mail = models.ForeignKey(Mail, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote"], condition=Q(revoked_at__isnull=True), name="one_live_link_per_quote"
            ),
            models.CheckConstraint(
                condition=Q(owner__isnull=False, member__isnull=True) | Q(owner__isnull=True, member__isnull=False),
                name="owner_link_is_somebodys",
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=models.F("created_at")), name="owner_link_expires_later"
            ),
        ]

    def __str__(self) -> str:
        return f"link for {self.quote}"


class LinkOpening(YardOwned):
    """Somebody, or a mail scanner, opened a link. That changes nothing but this log."""

    database_rules = (AppendOnly(), SameYard("link"))

    link = models.ForeignKey(OwnerLink, on_delete=models.PROTECT, related_name="openings")
    opened_at = models.DateTimeField()
    from_address = models.GenericIPAddressField(null=True, blank=True)
    user_agent = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return f"{self.opened_at:%Y-%m-%d %H:%M}"


class ReminderStop(YardOwned):
    """A decider who wants no reminders. It is taken away when they want them again."""

    database_rules = (SameYard("owner"), SameYard("member"))

    owner = models.OneToOneField(
        Owner, on_delete=models.CASCADE, null=True, blank=True, related_name="reminder_stop"
    )
    member = models.OneToOneField(
        Member, on_delete=models.CASCADE, null=True, blank=True, related_name="reminder_stop"
    )
    stopped_at = models.DateTimeField()

    class Meta:
        ordering = ["-stopped_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(owner__isnull=False, member__isnull=True) | Q(owner__isnull=True, member__isnull=False),
                name="reminder_stop_is_somebodys",
            ),
        ]

    def __str__(self) -> str:
        return f"no reminders for {self.owner or self.member}"


__all__ = ["Decision", "LinkOpening", "OwnerLink", "Quote", "QuoteLine", "ReminderStop", "Reply", "Report"]
