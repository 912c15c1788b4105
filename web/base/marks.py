"""Priority told by a word and a shape, the same shapes as on the plan and in the report.

Filled and pointed is urgent, open and round can wait. They differ in outline as well as in filling, so that neither
colour nor a good eye is needed.
"""

from __future__ import annotations

from typing import Final

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from inspections.judgement.speech import label_in
from inspections.judgement.vocabulary import Priority
from yard.languages import language_of

# Each in a square from -5 to 5.
SHAPES: Final[dict[str, SafeString]] = {
    Priority.BEFORE_LAUNCH.value: mark_safe('<path class="solid" d="M0-4.6 4.8 4H-4.8Z"/>'),
    Priority.THIS_SEASON.value: mark_safe('<path class="solid" d="M0-4.8 4.8 0 0 4.8-4.8 0Z"/>'),
    Priority.NEXT_LAYUP.value: mark_safe('<path d="M-3.9-3.9H3.9V3.9H-3.9Z"/>'),
    Priority.WATCH.value: mark_safe('<circle r="4.1"/>'),
}


def shape(code: str) -> SafeString:
    """The shape alone; a word must stand beside it."""
    return format_html(
        '<svg class="shape" viewBox="-5 -5 10 10" aria-hidden="true" focusable="false">{}</svg>',
        SHAPES.get(code, SafeString()),
    )


def priority(code: str) -> SafeString:
    """Shape and word, in the language that the page speaks."""
    word = label_in(Priority(code), language_of(get_language() or ""))
    return format_html('<span class="priority priority-{}">{} {}</span>', code, shape(code), word)


__all__ = ["SHAPES", "priority", "shape"]
