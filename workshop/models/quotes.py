from __future__ import annotations

from django.db import models
from django.db.models import Q

from inspections.models import Inspection
from workshop.models.jobs import Job
from yard.database_rules import AppendOnly, FrozenOnce, SameYard
from yard.models import Boat, Member, Owner, YardOwned
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
        SameYard("adds_to"),
        SameYard("replaces"),
        FrozenOnce(
            "sent_at", ("content", "digest", "boat", "number", "valid_until", "currency", "adds_to", "replaces")
        ),
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
    # an addendum: extra work that was found after this quote was agreed
    adds_to = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="addenda")
    # the one that was taken back and drawn up anew as this
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )

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

    @property
    def successor(self) -> Quote | None:
        """The quote that took its place, if one did."""
        return getattr(self, "replaced_by", None)


class OptionGroup(YardOwned):
    """Jobs of a quote that exclude each other: the decider says yes to one of them at most."""

    database_rules = (SameYard("quote"),)

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="option_groups")
    title = models.CharField(max_length=120, help_text="what is to be chosen, as the decider reads it")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "title"], name="option_groups_have_titles_of_their_own")
        ]

    def __str__(self) -> str:
        return self.title


class QuoteLine(YardOwned):
    """One job of a quote, with its price when the quote was sent."""

    database_rules = (
        SameYard("quote"),
        SameYard("job"),
        SameYard("option_group"),
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
                "option_group",
                "recommended",
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
    option_group = models.ForeignKey(
        OptionGroup, on_delete=models.RESTRICT, null=True, blank=True, related_name="lines"
    )
    recommended = models.BooleanField(default=False, help_text="the option that the yard advises")

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(
                fields=["option_group"], condition=Q(recommended=True), name="one_option_of_a_group_is_advised"
            ),
            models.CheckConstraint(
                condition=Q(recommended=False) | Q(option_group__isnull=False), name="only_options_are_advised"
            ),
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
    NOT_CHOSEN = "not_chosen", "not chosen"


# What a decider can say; that an option was not chosen follows from the one that was.
SAYABLE = tuple((verdict.value, verdict.label) for verdict in Verdict if verdict is not Verdict.NOT_CHOSEN)


class Decision(YardOwned):
    """The decider's word on one job of a sent quote, naming the digest of what they saw.

    `because` is the word that this one followed from: the option that was chosen instead, or the job that was
    approved or declined together with this one.
    """

    database_rules = (
        AppendOnly(),
        SameYard("line"),
        SameYard("owner"),
        SameYard("member"),
        SameYard("option_group"),
        SameYard("because"),
    )

    line = models.ForeignKey(QuoteLine, on_delete=models.PROTECT, related_name="decisions")
    verdict = models.CharField(max_length=20, choices=Verdict.choices)
    question = models.TextField(blank=True)
    digest = models.CharField(max_length=64)
    owner = models.ForeignKey(Owner, on_delete=models.PROTECT, null=True, blank=True, related_name="decisions")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, null=True, blank=True, related_name="decisions")
    decided_at = models.DateTimeField()
    from_address = models.GenericIPAddressField(null=True, blank=True)
    option_group = models.ForeignKey(OptionGroup, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    because = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="followed_by")

    class Meta:
        ordering = ["decided_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["option_group"], condition=Q(verdict="approve"), name="one_yes_per_option_group"
            ),
            models.CheckConstraint(
                condition=~Q(verdict="not_chosen") | Q(because__isnull=False), name="not_chosen_for_something_else"
            ),
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


__all__ = ["Decision", "OptionGroup", "Quote", "QuoteLine", "Reply", "Report"]
