"""What others ask this floor. Everything is narrowed to a yard, with a number of queries that does not grow."""

from inspections.selectors.checks import CheckState, check_states, entries_outside_the_list
from inspections.selectors.due_backs import boat_due_back_on, boats_due_back_on, due_back_book
from inspections.selectors.entries import missing_photos, standing, standing_entries
from inspections.selectors.findings import Look, findings_with_judgement, photos_by_entry, spot_history
from inspections.selectors.season import SeasonRow, season_rows

__all__ = [
    "CheckState",
    "Look",
    "SeasonRow",
    "boat_due_back_on",
    "boats_due_back_on",
    "check_states",
    "due_back_book",
    "entries_outside_the_list",
    "findings_with_judgement",
    "missing_photos",
    "photos_by_entry",
    "season_rows",
    "spot_history",
    "standing",
    "standing_entries",
]
