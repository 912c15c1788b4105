"""The back room of this floor. What was recorded and what was judged may be looked at, never changed by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from inspections.judgement.vocabulary import Condition
from inspections.models import (
    Acknowledgement,
    Assessment,
    Check,
    DueBack,
    Entry,
    EntryPhoto,
    Finding,
    FindingJoin,
    Inspection,
    OpeningStep,
    Overruling,
    Photo,
    Reading,
    RuleEdition,
    SecondLookAsk,
    SetAside,
    Sign,
    StepEntry,
    Template,
    TemplateVersion,
)
from inspections.services.asking import ask_for_photo
from yard.admin import KeptForEver, LookedAt

# Django's classes take no type argument when they run.
if TYPE_CHECKING:
    ModelForm = forms.ModelForm[Any]
    TabularInline = admin.TabularInline[Any, Any]
else:
    ModelForm = forms.ModelForm
    TabularInline = admin.TabularInline


class LookedAtInline(TabularInline):
    """Rows beside another one, to be looked at."""

    extra = 0
    can_delete = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class SignForm(ModelForm):
    class Meta:
        model = Sign
        exclude = ()

    def clean_conditions(self) -> list[str]:
        conditions = self.cleaned_data["conditions"]
        known = [condition.value for condition in Condition]
        if not isinstance(conditions, list) or not conditions or not set(map(str, conditions)) <= set(known):
            raise forms.ValidationError(f"Give a list of one or more of: {', '.join(known)}.")
        return conditions


@admin.register(Sign)
class SignAdmin(KeptForEver):
    form = SignForm
    list_display = ("code", "name", "size_unit", "conditions", "yard")
    list_filter = ("yard",)
    search_fields = ("code", "name")


@admin.register(Template)
class TemplateAdmin(LookedAt):
    list_display = ("title", "component_class", "yard")
    list_filter = ("yard",)
    search_fields = ("title",)
    list_select_related = ("component_class", "yard")


@admin.register(TemplateVersion)
class TemplateVersionAdmin(LookedAt):
    """Text is written through the API and the office, where it is read and refused line by line."""

    list_display = ("template", "number", "published_at", "edited_at", "yard")
    list_filter = ("yard",)
    list_select_related = ("template", "yard")


class OpeningStepInline(LookedAtInline):
    model = OpeningStep
    fields = ("position", "component", "kind", "text", "shares")


class CheckInline(LookedAtInline):
    model = Check
    fields = ("position", "component", "origin", "prompt", "spot")


@admin.register(Inspection)
class InspectionAdmin(LookedAt):
    list_display = ("boat", "season_year", "launch_on", "opened_at", "closed_at", "yard")
    list_filter = ("yard", "season_year")
    search_fields = ("boat__name",)
    list_select_related = ("boat", "yard")
    inlines = (OpeningStepInline, CheckInline)


class ReadingInline(LookedAtInline):
    model = Reading


class EntryPhotoInline(LookedAtInline):
    model = EntryPhoto


@admin.register(Entry)
class EntryAdmin(LookedAt):
    list_display = ("id", "answer", "inspection", "component", "spot", "author", "observed_at", "received_at")
    list_filter = ("yard", "answer")
    search_fields = ("id", "note", "elsewhere")
    date_hierarchy = "received_at"
    list_select_related = ("inspection__boat", "component", "spot", "author")
    inlines = (ReadingInline, EntryPhotoInline)


@admin.register(Finding)
class FindingAdmin(LookedAt):
    list_display = ("id", "boat", "component", "spot", "state", "found_at", "ended_at")
    list_filter = ("yard", "state")
    search_fields = ("id", "boat__name")
    list_select_related = ("boat", "component", "spot")


@admin.register(Assessment)
class AssessmentAdmin(LookedAt):
    list_display = ("boat", "condition", "severity", "probability_level", "priority", "due_back_on", "made_at")
    list_filter = ("yard", "priority", "rules_version")
    list_select_related = ("boat",)


@admin.register(Overruling)
class OverrulingAdmin(LookedAt):
    list_display = ("finding", "priority", "due_back_on", "by", "made_at", "withdrawn_at")
    list_filter = ("yard",)
    list_select_related = ("finding", "by")


@admin.register(RuleEdition)
class RuleEditionAdmin(LookedAt):
    list_display = ("yard", "why", "adopted_by", "adopted_at")
    list_filter = ("yard",)
    list_select_related = ("yard", "adopted_by")


@admin.register(DueBack)
class DueBackAdmin(LookedAt):
    list_display = ("boat", "component", "spot", "kind", "due_on", "set_at", "ended_at")
    list_filter = ("yard", "kind")
    list_select_related = ("boat", "component", "spot")


@admin.register(StepEntry)
class StepEntryAdmin(LookedAt):
    list_display = ("step", "outcome", "reason", "author", "observed_at", "yard")
    list_filter = ("yard", "outcome")
    list_select_related = ("step", "author", "yard")


@admin.register(SetAside)
class SetAsideAdmin(LookedAt):
    list_display = ("entry_id", "boat", "why", "author", "received_at", "settled_at", "settled_how")
    list_filter = ("yard",)
    list_select_related = ("boat", "author")


@admin.register(Photo)
class PhotoAdmin(LookedAt):
    list_display = ("sha256", "state", "media_type", "size_bytes", "received_at", "yard")
    list_filter = ("yard", "state")
    search_fields = ("sha256",)
    list_select_related = ("yard",)
    actions = ("prepare_again",)

    @admin.action(description="Make the small sizes again")
    def prepare_again(self, request: HttpRequest, photos: QuerySet[Photo]) -> None:
        photos.update(state=Photo.State.RECEIVED)
        for photo in photos.select_related("yard"):
            ask_for_photo(photo.pk, yard=photo.yard, at=timezone.now())
        self.message_user(request, "The worker has been asked.", messages.SUCCESS)


@admin.register(Acknowledgement)
class AcknowledgementAdmin(LookedAt):
    list_display = ("finding", "by", "made_at", "yard")
    list_filter = ("yard",)
    list_select_related = ("finding", "by", "yard")


@admin.register(SecondLookAsk)
class SecondLookAskAdmin(LookedAt):
    list_display = ("finding", "note", "by", "asked_at", "asked_as", "withdrawn_at")
    list_filter = ("yard",)
    list_select_related = ("finding", "by", "asked_as")


@admin.register(FindingJoin)
class FindingJoinAdmin(LookedAt):
    list_display = ("joined", "kept", "reason", "by", "made_at", "undone_at")
    list_filter = ("yard",)
    list_select_related = ("joined", "kept", "by")
