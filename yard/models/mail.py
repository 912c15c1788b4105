from __future__ import annotations

from django.db import models
from django.db.models import Q

from yard.models.scoping import YardOwned


class Mail(YardOwned):
    """A mail as it was written. Its key keeps it single, its Message-ID makes a repeated delivery visible."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENT = "sent", "sent"
        REFUSED = "refused", "refused by the mail server"

    key = models.CharField(max_length=200)
    message_id = models.CharField(max_length=200, unique=True)
    to_address = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField(blank=True)
    # [{"name": shown file name, "path": in the media storage, "media_type": …}]
    attachments = models.JSONField(default=list, blank=True)
    # where the reader can end mail of this kind; empty for mail that is an answer to something
    unsubscribe_url = models.URLField(max_length=500, blank=True)
    # its text opens a door of the yard itself, so it is not kept once the mail is sent
    holds_key = models.BooleanField(default=False)
    state = models.CharField(max_length=20, choices=State.choices, default=State.WAITING)
    created_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    refusal = models.TextField(blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(fields=["yard", "key"], name="one_mail_per_key"),
            models.CheckConstraint(
                condition=(Q(state="sent") & Q(sent_at__isnull=False))
                | (~Q(state="sent") & Q(sent_at__isnull=True)),
                name="sent_mail_says_when",
            ),
        ]

    def __str__(self) -> str:
        return self.subject
