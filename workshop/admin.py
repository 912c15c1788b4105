"""The back room of the workshop: catalogue and prices to be changed, everything that was said to be looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest

from workshop.models import (
    CalendarFeed,
    Caution,
    Decision,
    DigestChoice,
    ExtraWork,
    Hold,
    HoursAdopted,
    Job,
    JobNeed,
    LinkOpening,
    Material,
    MaterialLog,
    MaterialPack,
    MeterReading,
    Operation,
    OptionGroup,
    OwnerLink,
    Quote,
    QuoteLine,
    ReminderStop,
    Reply,
    Report,
    SecondLook,
    StepTick,
    SurfaceWork,
    Treatment,
    Verification,
    VerificationReading,
    WorkLog,
)
from yard.admin import KeptForEver, LookedAt

if TYPE_CHECKING:
    TabularInline = admin.TabularInline[Any, Any]
else:
    TabularInline = admin.TabularInline


class LookedAtInline(TabularInline):
    """Rows of a parent, to be read."""

    extra = 0
    can_delete = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(Treatment)
class TreatmentAdmin(KeptForEver):
    list_display = ["name", "code", "unit", "hours_low", "hours_likely", "hours_high", "setup_hours", "yard"]
    list_filter = ["yard", "trade"]
    search_fields = ["name", "code"]
    list_select_related = ["yard"]


class MaterialPackInline(TabularInline):
    model = MaterialPack
    extra = 0
    exclude = ["yard"]


@admin.register(Material)
class MaterialAdmin(KeptForEver):
    list_display = ["name", "code", "unit", "unit_price", "waste_pct", "charged_by", "vat_class", "yard"]
    list_filter = ["yard", "charged_by"]
    search_fields = ["name", "code"]
    list_select_related = ["yard", "vat_class"]
    inlines = [MaterialPackInline]

    def save_formset(self, request: HttpRequest, form: Any, formset: Any, change: bool) -> None:
        """A pack is of its material's yard."""
        for line in formset.forms:
            line.instance.yard_id = form.instance.yard_id
        super().save_formset(request, form, formset, change)


@admin.register(Caution)
class CautionAdmin(KeptForEver):
    list_display = ["title", "code", "yard"]
    list_filter = ["yard"]
    search_fields = ["title", "text"]
    list_select_related = ["yard"]


class OperationInline(LookedAtInline):
    model = Operation


class HoldInline(LookedAtInline):
    model = Hold


class WorkLogInline(LookedAtInline):
    model = WorkLog


class NeedInline(LookedAtInline):
    model = JobNeed
    fk_name = "job"


class StepTickInline(LookedAtInline):
    model = StepTick


class MeterReadingInline(LookedAtInline):
    model = MeterReading


class MaterialLogInline(LookedAtInline):
    model = MaterialLog


@admin.register(Job)
class JobAdmin(LookedAt):
    """Jobs are changed on the office's pages, by services that know what may follow what."""

    list_display = ["title", "boat", "state", "unsafe_to_leave", "changed_at", "yard"]
    list_filter = ["yard", "state", "unsafe_to_leave"]
    search_fields = ["title", "boat__name"]
    list_select_related = ["boat", "yard"]
    inlines = [
        OperationInline,
        NeedInline,
        HoldInline,
        StepTickInline,
        MeterReadingInline,
        WorkLogInline,
        MaterialLogInline,
    ]


class QuoteLineInline(LookedAtInline):
    model = QuoteLine


class OptionGroupInline(LookedAtInline):
    model = OptionGroup


@admin.register(ExtraWork)
class ExtraWorkAdmin(LookedAt):
    list_display = ["found_at", "job", "what", "hours_likely", "hours_ceiling", "more", "by", "yard"]
    list_filter = ["yard"]
    search_fields = ["what", "job__title"]
    list_select_related = ["job", "more", "by", "yard"]


@admin.register(Quote)
class QuoteAdmin(LookedAt):
    list_display = ["number", "boat", "state", "valid_until", "sent_at", "ended_at", "yard"]
    list_filter = ["yard", "state"]
    search_fields = ["number", "boat__name", "digest"]
    list_select_related = ["boat", "yard"]
    inlines = [OptionGroupInline, QuoteLineInline]


@admin.register(Decision)
class DecisionAdmin(LookedAt):
    list_display = ["decided_at", "verdict", "line", "owner", "member", "from_address", "yard"]
    list_filter = ["yard", "verdict"]
    search_fields = ["line__job__title", "digest"]
    list_select_related = ["line__job", "owner", "member", "yard"]


class LinkOpeningInline(LookedAtInline):
    model = LinkOpening


@admin.register(OwnerLink)
class OwnerLinkAdmin(LookedAt):
    list_display = ["quote", "boat", "owner", "member", "created_at", "expires_at", "revoked_at", "yard"]
    list_filter = ["yard"]
    search_fields = ["boat__name"]
    list_select_related = ["quote", "boat", "owner", "member", "yard"]
    inlines = [LinkOpeningInline]


@admin.register(Report)
class ReportAdmin(LookedAt):
    list_display = ["made_at", "boat", "quote", "pages", "sha256", "yard"]
    list_filter = ["yard"]
    search_fields = ["boat__name", "sha256"]
    list_select_related = ["boat", "quote", "yard"]


class VerificationReadingInline(LookedAtInline):
    model = VerificationReading


class SecondLookInline(LookedAtInline):
    model = SecondLook
    fk_name = "verification"


@admin.register(Verification)
class VerificationAdmin(LookedAt):
    list_display = ["seen_at", "finding", "by", "needs_second_look", "look_again_on", "yard"]
    list_filter = ["yard", "needs_second_look"]
    list_select_related = ["finding", "by", "yard"]
    inlines = [VerificationReadingInline, SecondLookInline]


@admin.register(SurfaceWork)
class SurfaceWorkAdmin(LookedAt):
    list_display = ["done_on", "surface", "deed", "coats", "area_m2", "product", "job", "by", "yard"]
    list_filter = ["yard", "deed"]
    search_fields = ["surface__name", "surface__boat__name", "note"]
    list_select_related = ["surface", "product", "job", "by", "yard"]


@admin.register(Reply)
class ReplyAdmin(LookedAt):
    list_display = ["written_at", "line", "member", "yard"]
    list_filter = ["yard"]
    search_fields = ["line__job__title", "text"]
    list_select_related = ["line__job", "member", "yard"]


@admin.register(ReminderStop)
class ReminderStopAdmin(LookedAt):
    list_display = ["owner", "member", "stopped_at", "yard"]
    list_filter = ["yard"]
    list_select_related = ["owner", "member", "yard"]


@admin.register(CalendarFeed)
class CalendarFeedAdmin(LookedAt):
    list_display = ["boat", "made_by", "created_at", "revoked_at", "last_used_at", "yard"]
    list_filter = ["yard"]
    search_fields = ["boat__name"]
    list_select_related = ["boat", "made_by", "yard"]


@admin.register(DigestChoice)
class DigestChoiceAdmin(LookedAt):
    list_display = ["member", "chosen_at", "yard"]
    list_filter = ["yard"]
    list_select_related = ["member", "yard"]


@admin.register(HoursAdopted)
class HoursAdoptedAdmin(LookedAt):
    list_display = ["treatment", "hours_likely_before", "hours_likely", "jobs", "adopted_by", "adopted_at", "yard"]
    list_filter = ["yard"]
    list_select_related = ["treatment", "adopted_by", "yard"]
