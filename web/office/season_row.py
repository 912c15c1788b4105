"""One row of the season's table, written by a pattern of its own.

Three hundred of them stand on a page. A template takes as long for each of their thirty values as the whole pattern
takes for a row, and that was most of the page's time. What people have typed is escaped here, by name.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from django.utils.safestring import SafeString

from web.office.season_line import SeasonLine

ROW: Final = (
    '<tr role="row"><th role="rowheader" scope="row"><a href="{at}">{name}</a> <small>{about}</small></th>'
    '<td role="cell" class="day"><span class="cell-name">To go in</span>{launch}</td>'
    '<td role="cell"><span class="cell-name">On her way</span>{stage}{way} <small>{looked}</small></td>'
    "{counts}"
    "{quote}"
    '<td role="cell" class="number{no_hours}"><span class="cell-name">Hours open</span>{hours}</td>'
    "{due}"
    '<td role="cell" class="wrap"><span class="cell-name">Blocks her</span>{blocks}</td></tr>'
)
COUNT: Final = '<td role="cell" class="number{}"><span class="cell-name">{}</span>{}</td>'
QUOTE: Final = '<td role="cell"><span class="cell-name">Quote</span><a href="{}">{}</a> <small>{}</small></td>'
NO_QUOTE: Final = '<td role="cell" class="empty"><span class="none">none</span></td>'
DUE: Final = '<td role="cell"><span class="cell-name">Due back</span><span class="day">{}</span></td>'
OVERDUE: Final = (
    '<td role="cell"><span class="cell-name">Due back</span><strong>overdue</strong> <small>since {}</small></td>'
)
NO_DUE: Final = '<td role="cell" class="empty"><span class="none">nothing</span></td>'
NOT_SEEN: Final = SafeString("Not seen")


def row_written(line: SeasonLine, heads: Sequence[SafeString], *, with_week: bool) -> SafeString:
    """The row of a boat; where the weeks have no bands of their own, with the week beside the day."""
    looked = "not looked at yet"
    if line.inspection_at:
        looked = f'<a href="{line.inspection_at}">{line.answered} of {line.checks}</a> looked at'
    counts = "".join(
        COUNT.format("" if count else " nought", head, count)
        for head, count in zip((*heads, NOT_SEEN), (*line.counts, line.not_seen), strict=True)
    )
    due = NO_DUE
    if line.due:
        due = (OVERDUE if line.overdue else DUE).format(escape(line.due))
    blocks = '<span class="none">Nothing</span>'
    if line.first:
        blocks = escape(line.first)
        if line.more:
            blocks += f" <small>then {escape(line.more)}</small>"
    return SafeString(
        ROW.format(
            at=line.at,
            name=escape(line.name),
            about=escape(line.about),
            launch=escape(line.launch) + (f" <small>{line.week}</small>" if with_week else ""),
            stage=escape(line.stage),
            way=line.way,
            looked=looked,
            counts=counts,
            quote=QUOTE.format(line.quote_at, escape(line.quote), escape(line.quote_day))
            if line.quote
            else NO_QUOTE,
            no_hours="" if line.hours else " nought",
            hours=escape(line.hours) or "0",
            due=due,
            blocks=blocks,
        )
    )


__all__ = ["row_written"]
