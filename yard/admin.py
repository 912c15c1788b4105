"""The back room of the ground floor: for what has no page of its own, and for looking things up."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin, messages
from django.contrib.admin.utils import unquote
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet, URLField
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone

from yard.back_room import back_room_note, log_in_note
from yard.models import (
    Boat,
    BoatDrawing,
    ClimateNormal,
    Component,
    ComponentClass,
    Deed,
    DeviceCode,
    DeviceToken,
    HourlyRate,
    Invitation,
    Mail,
    Member,
    OutboxRow,
    Owner,
    Season,
    Spot,
    Surface,
    User,
    VatClass,
    VatRate,
    Yard,
)
from yard.outbox import send_again
from yard.post import mail_send_again
from yard.refusals import Refused
from yard.services.people import device_token_revoke

# Django's classes take no type argument when they run.
if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
    TabularInline = admin.TabularInline[Any, Any]
    LogIns = UserAdmin[User]
else:
    ModelAdmin = admin.ModelAdmin
    TabularInline = admin.TabularInline
    LogIns = UserAdmin

admin.site.site_header = "Faying, back room"
admin.site.site_title = "Faying"
admin.site.index_title = "Everything that is stored"


# One way in for all, with its waits and the second factor: the back room has no door of its own.
def sign_in(request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
    """Lead to the one way in; whoever is in and has no business here is told so."""
    if admin.site.has_permission(request):
        return HttpResponseRedirect(reverse("admin:index"))
    if request.user.is_authenticated:
        raise PermissionDenied("The back room is for those who run the service.")
    return redirect_to_login(request.GET.get("next") or reverse("admin:index"))


admin.site.login = sign_in  # type: ignore[method-assign]


@admin.register(User)
class LogInAdmin(LogIns):
    """A log-in that is changed, or given a password, is told at its yard."""

    def save_related(self, request: HttpRequest, form: Any, formsets: Any, change: bool) -> None:
        super().save_related(request, form, formsets, change)
        if change:
            log_in_note(request, form.instance, form.changed_data)

    def user_change_password(self, request: HttpRequest, id: str, form_url: str = "") -> HttpResponse:  # noqa: A002
        before = self.get_object(request, unquote(id))
        answer = super().user_change_password(request, id, form_url)
        after = self.get_object(request, unquote(id))
        if before is not None and after is not None and after.password != before.password:
            log_in_note(request, after, ["password"])
        return answer


class LookedAt(ModelAdmin):
    """May be looked at, but neither made nor changed nor removed by hand."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False


class KeptForEver(ModelAdmin):
    """May be changed but not removed: other things refer to it, and history stays. The yard's deeds tell of it."""

    def has_delete_permission(self, request: HttpRequest, obj: Model | None = None) -> bool:
        return False

    def save_related(self, request: HttpRequest, form: Any, formsets: Any, change: bool) -> None:
        super().save_related(request, form, formsets, change)
        back_room_note(request, form.instance, form, formsets)


class HourlyRateInline(TabularInline):
    model = HourlyRate
    extra = 0


class VatRateInline(TabularInline):
    model = VatRate
    extra = 0
    exclude = ["yard"]


@admin.register(VatClass)
class VatClassAdmin(KeptForEver):
    list_display = ["name", "code", "category", "for_work", "yard"]
    list_filter = ["yard"]
    list_select_related = ["yard"]
    inlines = [VatRateInline]

    def save_formset(self, request: HttpRequest, form: Any, formset: Any, change: bool) -> None:
        """A rate is of its class's yard."""
        for line in formset.forms:
            line.instance.yard_id = form.instance.yard_id
        super().save_formset(request, form, formset, change)


class SeasonInline(TabularInline):
    model = Season
    extra = 0


class ClimateInline(TabularInline):
    model = ClimateNormal
    extra = 0
    max_num = 12


@admin.register(Yard)
class YardAdmin(KeptForEver):
    list_display = ["name", "time_zone", "currency", "vat_rate_pct"]
    search_fields = ["name"]
    inlines = [HourlyRateInline, SeasonInline, ClimateInline]


@admin.register(Member)
class MemberAdmin(KeptForEver):
    list_display = ["name", "role", "yard", "user", "left_on"]
    list_filter = ["yard", "role"]
    search_fields = ["name", "user__username"]
    autocomplete_fields = ["user"]
    list_select_related = ["yard", "user"]
    exclude = ["pin_salt", "pin_hash"]


@admin.register(Owner)
class OwnerAdmin(KeptForEver):
    list_display = ["name", "email", "phone", "yard"]
    list_filter = ["yard"]
    search_fields = ["name", "email"]
    list_select_related = ["yard"]


@admin.register(DeviceToken)
class DeviceTokenAdmin(LookedAt):
    list_display = ["device_name", "shared", "member", "yard", "created_at", "last_used_at", "revoked_at"]
    list_filter = ["yard", "shared"]
    search_fields = ["device_name", "member__name"]
    list_select_related = ["member", "yard"]
    fields = ["yard", "member", "shared", "device_name", "created_at", "last_used_at", "revoked_at"]
    actions = ["revoke"]

    @admin.action(description="Shut these devices out", permissions=["view"])
    def revoke(self, request: HttpRequest, queryset: QuerySet[DeviceToken]) -> None:
        for token in queryset:
            device_token_revoke(token=token, at=timezone.now())
        self.message_user(request, f"{len(queryset)} shut out.")


@admin.register(DeviceCode)
class DeviceCodeAdmin(LookedAt):
    list_display = ["device_name", "made_by", "yard", "created_at", "expires_at", "used_at", "revoked_at"]
    list_filter = ["yard"]
    list_select_related = ["made_by", "yard"]
    fields = ["yard", "made_by", "device_name", "created_at", "expires_at", "used_at", "revoked_at", "token"]


@admin.register(Invitation)
class InvitationAdmin(LookedAt):
    list_display = ["email", "name", "role", "yard", "created_at", "expires_at", "accepted_at", "revoked_at"]
    list_filter = ["yard", "role"]
    search_fields = ["email", "name"]
    list_select_related = ["yard"]
    fields = [
        "yard",
        "email",
        "name",
        "role",
        "invited_by",
        "created_at",
        "expires_at",
        "accepted_at",
        "revoked_at",
        "member",
    ]


@admin.register(Deed)
class DeedAdmin(LookedAt):
    list_display = ["at", "kind", "by", "about", "told", "from_address", "yard"]
    list_filter = ["yard", "kind"]
    search_fields = ["told", "by__name", "about__name"]
    list_select_related = ["by", "about", "yard"]


@admin.register(Boat)
class BoatAdmin(KeptForEver):
    list_display = ["name", "build", "year", "yard", "left_on"]
    list_filter = ["yard", "build"]
    search_fields = ["name", "owners__name"]
    autocomplete_fields = ["owners", "decider_owner", "decider_member"]
    list_select_related = ["yard"]


@admin.register(ComponentClass)
class ComponentClassAdmin(KeptForEver):
    list_display = ["name", "code", "group", "safety_role", "recheck_months", "open_up_months", "yard"]
    list_filter = ["yard", "group", "safety_role"]
    search_fields = ["name", "code"]
    list_select_related = ["yard"]


@admin.register(Component)
class ComponentAdmin(KeptForEver):
    list_display = ["name", "position", "boat", "component_class", "removed_on"]
    list_filter = ["yard"]
    search_fields = ["name", "position", "boat__name"]
    autocomplete_fields = ["boat", "component_class", "surface"]
    list_select_related = ["boat", "component_class"]


@admin.register(Surface)
class SurfaceAdmin(LookedAt):
    """To be read: changing it has to move its line in the due-back book, which the API does."""

    list_display = ["name", "boat", "finish", "exposure", "area_m2", "yard"]
    list_filter = ["yard", "finish"]
    search_fields = ["name", "boat__name"]
    list_select_related = ["boat", "yard"]


@admin.register(BoatDrawing)
class BoatDrawingAdmin(LookedAt):
    """To be read: a drawing is cleaned when it is taken in, which the API does."""

    list_display = ["boat", "media_type", "received_at", "received_from", "yard"]
    list_filter = ["yard", "media_type"]
    search_fields = ["boat__name"]
    list_select_related = ["boat", "received_from__user", "yard"]


@admin.register(Spot)
class SpotAdmin(KeptForEver):
    list_display = ["tag", "name", "component", "level", "created_at"]
    list_filter = ["yard", "level"]
    search_fields = ["tag", "name", "component__name", "component__boat__name"]
    autocomplete_fields = ["component"]
    list_select_related = ["component"]


@admin.register(Mail)
class MailAdmin(LookedAt):
    list_display = ["subject", "to_address", "state", "created_at", "sent_at", "yard"]
    list_filter = ["state", "yard"]
    search_fields = ["subject", "to_address", "message_id"]
    list_select_related = ["yard"]
    # As the next Django will: an address without a scheme is taken for https.
    formfield_overrides = {URLField: {"assume_scheme": "https"}}
    actions = ["send_again"]

    @admin.action(description="Try refused mail again", permissions=["view"])
    def send_again(self, request: HttpRequest, queryset: QuerySet[Mail]) -> None:
        _each(self, request, queryset, lambda mail: mail_send_again(mail=mail, at=timezone.now()))


class HowItStands(admin.SimpleListFilter):
    title = "how it stands"
    parameter_name = "stands"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, str]]:
        return [("failed", "given up"), ("open", "open"), ("done", "done")]

    def queryset(self, request: HttpRequest, queryset: QuerySet[OutboxRow]) -> QuerySet[OutboxRow]:
        match self.value():
            case "failed":
                return queryset.filter(failed_at__isnull=False)
            case "open":
                return queryset.filter(done_at__isnull=True, failed_at__isnull=True)
            case "done":
                return queryset.filter(done_at__isnull=False)
        return queryset


@admin.register(OutboxRow)
class OutboxRowAdmin(LookedAt):
    list_display = [
        "task",
        "key",
        "yard",
        "created_at",
        "not_before",
        "attempts",
        "done_at",
        "failed_at",
        "last_error",
    ]
    list_filter = [HowItStands, "task", "yard"]
    search_fields = ["key", "last_error"]
    list_select_related = ["yard"]
    ordering = ["-id"]
    show_full_result_count = False
    actions = ["send_again"]

    @admin.action(description="Send again what was given up", permissions=["view"])
    def send_again(self, request: HttpRequest, queryset: QuerySet[OutboxRow]) -> None:
        _each(self, request, queryset, lambda row: send_again(row, at=timezone.now()))


def _each(page: ModelAdmin, request: HttpRequest, queryset: QuerySet[Any], act: Any) -> None:
    """Do it for each and say for which it was refused."""
    done = 0
    for one in queryset:
        try:
            act(one)
        except Refused as refusal:
            page.message_user(request, f"{one}: {refusal.problem}; {refusal.remedy}", messages.WARNING)
        else:
            done += 1
    page.message_user(request, f"{done} will be tried again.")
