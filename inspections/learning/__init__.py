"""What a yard's own records say of a figure that began as a table's: one updating for rates and for hours.

A figure starts as a prior (the table's value and how far to trust it), records are counted in, and the posterior is
shown beside both. Below a minimum number of observations it is shown and not applied. Nothing here knows what the
figure is about: judgement learns its yearly rates with it, the workshop its hours.
"""

from inspections.learning.hours import LearnedHours, LogHours, draw_in_wild, learned_hours
from inspections.learning.rates import MINIMUM_OBSERVATIONS, GammaRate, Learned, grown_rate, learned_rate

__all__ = [
    "MINIMUM_OBSERVATIONS",
    "GammaRate",
    "Learned",
    "LearnedHours",
    "LogHours",
    "draw_in_wild",
    "grown_rate",
    "learned_hours",
    "learned_rate",
]
