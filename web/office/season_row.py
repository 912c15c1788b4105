"""One row of the season's table, written by a pattern of its own.

Three hundred of them stand on a page. A template takes as long for each of their thirty values as the whole pattern
takes for a row, and that was most of the page's time. What people have typed is escaped here, by name.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from html import escape
from typing import Final

from django.utils.safestring import SafeString

from web.office.season_line import SeasonLine

NO_QUOTE: Final = '<td role="cell" class="empty"><span class="none">none</span></td>'
NO_DUE: Final = '<td role="cell" class="empty"><span class="none">nothing</span></td>'
NOT_SEEN: Final = SafeString("Not seen")


def row_written(line: SeasonLine, heads: Sequence[SafeString], *, with_week: bool) -> SafeString:
    """The row of a boat; where the weeks have no bands of their own, with the week beside the day."""
    looked = "not looked at yet"
    if line.inspection_at:
        looked = f'<a href="{line.inspection_at}">{line.answered} of {line.checks}</a> looked at'
    counts = "".join(map(_count, (*heads, NOT_SEEN), (*line.counts, line.not_seen)))
    quote = NO_QUOTE
    if line.quote:
        quote = (
            f'<td role="cell"><span class="cell-name">Quote</span><a href="{line.quote_at}">{line.quote}</a> '
            f"<small>{line.quote_day}</small></td>"
        )
    due = NO_DUE
    if line.due:
        told = f"<strong>overdue</strong> <small>since {line.due}</small>"
        told = told if line.overdue else f'<span class="day">{line.due}</span>'
        due = f'<td role="cell"><span class="cell-name">Due back</span>{told}</td>'
    blocks = '<span class="none">Nothing</span>'
    if line.first:
        blocks = escape(line.first)
        if line.more:
            blocks += f" <small>then {escape(line.more)}</small>"
    week = f" <small>{line.week}</small>" if with_week else ""
    hours = f'{"" if line.hours else " nought"}"><span class="cell-name">Hours open</span>{line.hours or "0"}'
    return SafeString(
        f'<tr role="row"><th role="rowheader" scope="row"><a href="{line.at}">{escape(line.name)}</a> '
        f"<small>{line.about}</small></th>"
        f'<td role="cell" class="day"><span class="cell-name">To go in</span>{line.launch}{week}</td>'
        f'<td role="cell"><span class="cell-name">On her way</span>{line.stage}{line.way} '
        f"<small>{looked}</small></td>"
        f"{counts}{quote}"
        f'<td role="cell" class="number{hours}</td>'
        f"{due}"
        f'<td role="cell" class="wrap"><span class="cell-name">Blocks her</span>{blocks}</td></tr>'
    )


@lru_cache(maxsize=4096)
def _count(head: SafeString, count: int) -> str:
    nought = "" if count else " nought"
    return f'<td role="cell" class="number{nought}"><span class="cell-name">{head}</span>{count}</td>'


__all__ = ["row_written"]
