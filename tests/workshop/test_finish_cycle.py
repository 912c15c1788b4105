"""When a finish wants a coat and when a strip: figures worked by hand, and orders that hold for any history.

How long finishes last is common practice, no source; the rule data names the one figure that has one.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.estimating.finish_cycle import FinishAdvice, FinishedSurface, FinishWork, finish_advice
from workshop.estimating.finish_rules import Deed, finish_rules
from yard.refusals import Refused
from yard.vocabulary import Exposure, Finish

TODAY = date(2027, 4, 6)
LAY_UP = date(2027, 10, 15)
FOUR_M2 = FinishedSurface(Decimal(4), Finish.VARNISH, Exposure.FULL_SUN)


def advice(*works: FinishWork, surface: FinishedSurface = FOUR_M2, on: date = TODAY) -> FinishAdvice:
    return finish_advice(surface=surface, works=works, on_date=on, lay_up_on=LAY_UP, rules=finish_rules())


def stripped(on: date) -> tuple[FinishWork, FinishWork]:
    return FinishWork(Deed.STRIPPED, on), FinishWork(Deed.COATED, on)


def patch(on: date, area: str) -> FinishWork:
    return FinishWork(Deed.PATCHED, on, Decimal(area))


def test_an_old_finish_in_the_sun_has_had_its_time_after_eight_years() -> None:
    told = advice(*stripped(date(2019, 5, 4)))  # 4 May 2019 and eight years: 4 May 2027, before the lay-up
    assert (told.strip_due_on, told.strip_advised) == (date(2027, 5, 4), True)
    assert told.reasons[:3] == (
        "Stripping to bare wood is due by 4 May 2027.",
        "So exposed, this finish has had its time after 8 years.",
        "It was last stripped on 4 May 2019, 7 years and 11 months ago.",
    )
    assert (told.coat_due_on, told.coat_due) == (date(2020, 5, 4), True)


def test_patches_over_a_third_bring_the_strip_half_a_year_on() -> None:
    before = advice(*stripped(date(2024, 5, 4)), patch(date(2025, 4, 10), "0.80"), patch(date(2026, 4, 12), "0.51"))
    assert before.patched_m2 == Decimal("1.31")  # 32.75 % of 4 m²: still under 33 %
    assert (before.strip_due_on, before.strip_advised) == (date(2032, 5, 4), False)
    told = advice(*stripped(date(2024, 5, 4)), patch(date(2025, 4, 10), "0.80"), patch(date(2027, 4, 5), "0.52"))
    assert told.patched_share == Decimal("0.33")  # 1.32 of 4 m²
    assert (told.strip_due_on, told.strip_advised) == (date(2027, 10, 5), True)
    assert "Patches make up 33 % of it or more." in told.because
    assert "Patches since then: 1.32 m² of 4 m², 33 %." in told.reasons


def test_a_strip_begins_anew_and_patches_count_as_the_whole_at_most() -> None:
    told = advice(patch(date(2020, 4, 1), "3.9"), *stripped(date(2026, 5, 1)))
    assert (told.patched_m2, told.strip_advised, told.stripped_on) == (Decimal(0), False, date(2026, 5, 1))
    over = advice(*stripped(date(2026, 5, 1)), patch(date(2026, 6, 1), "3"), patch(date(2026, 7, 1), "3"))
    assert (over.patched_m2, over.patched_share) == (Decimal(6), Decimal(1))
    # the first of them passed the share, so the strip was due before the second's half year
    assert over.strip_due_on == date(2026, 12, 1)
    assert over.reasons[0] == "Stripping to bare wood was due by 1 December 2026."


def test_bare_wood_after_a_strip_wants_its_coats_at_once_and_no_history_says_so() -> None:
    assert advice(FinishWork(Deed.STRIPPED, date(2027, 4, 1))).coat_due_on == date(2027, 4, 1)
    unknown = advice()
    assert (unknown.strip_due_on, unknown.coat_due_on) == (None, None)
    assert unknown.reasons == ("Nothing is on record. Enter when it was last stripped and coated.",)
    first = advice(FinishWork(Deed.COATED, date(2018, 4, 6)))
    assert "No strip is on record; its finish is at least 9 years old." in first.reasons
    assert first.strip_due_on == date(2026, 4, 6)


def test_the_yards_own_figures_and_other_finishes() -> None:
    own = FinishedSurface(Decimal(4), Finish.VARNISH, Exposure.FULL_SUN, coat_every_months=6, strip_after_years=4)
    told = advice(*stripped(date(2024, 5, 4)), surface=own)
    assert (told.strip_due_on, told.coat_due_on) == (date(2028, 5, 4), date(2024, 11, 4))
    oiled = FinishedSurface(Decimal(4), Finish.OIL, Exposure.FULL_SUN)
    assert advice(*stripped(date(1990, 5, 4)), patch(date(2026, 5, 1), "4"), surface=oiled).strip_due_on is None
    unknown = FinishedSurface(Decimal(4), Finish.VARNISH, Exposure.UNKNOWN)
    assert advice(*stripped(date(2019, 5, 4)), surface=unknown) == advice(*stripped(date(2019, 5, 4)))


def test_the_worse_the_exposure_the_sooner() -> None:
    rules = finish_rules()
    ladder = (Exposure.FULL_SUN, Exposure.WEATHER, Exposure.SHADED, Exposure.INTERIOR)
    for finish in Finish:
        for figure in ("coat_every_months", "strip_after_years", "strip_at_patched_pct"):
            spans = [getattr(rules.of(finish, exposure), figure) or 10_000 for exposure in ladder]
            assert spans == sorted(spans), (finish, figure)


DAYS = st.integers(0, 9000).map(lambda back: TODAY - timedelta(days=back))
AREAS = st.integers(1, 4000).map(lambda thousandths: Decimal(thousandths) / 1000)
PATCHES = st.lists(st.builds(lambda on, area: FinishWork(Deed.PATCHED, on, area), DAYS, AREAS), max_size=4)
FULL = st.lists(
    st.builds(FinishWork, st.sampled_from([Deed.STRIPPED, Deed.COATED, Deed.STAINED]), DAYS), max_size=4
)
SURFACES = st.builds(FinishedSurface, AREAS, st.sampled_from(list(Finish)), st.sampled_from(list(Exposure)))


def no_later(first: date | None, second: date | None) -> bool:
    return second is None or (first is not None and first <= second)


@settings(max_examples=60, deadline=None)
@given(SURFACES, FULL, PATCHES, DAYS, AREAS, st.integers(1, 4000))
def test_more_patches_or_more_years_never_make_it_later(
    surface: FinishedSurface, full: list[FinishWork], patches: list[FinishWork], on: date, area: Decimal, days: int
) -> None:
    works = [*full, *patches]
    before = advice(*works, surface=surface)
    if works:
        more = advice(*works, FinishWork(Deed.PATCHED, on, area), surface=surface)
        assert no_later(more.strip_due_on, before.strip_due_on)
        assert more.patched_share >= before.patched_share
    back = timedelta(days=days)
    older = advice(*(FinishWork(each.deed, each.on - back, each.area_m2) for each in works), surface=surface)
    for one, other in ((older.strip_due_on, before.strip_due_on), (older.coat_due_on, before.coat_due_on)):
        assert no_later(one, other)
    assert older.patched_share == before.patched_share <= 1


@settings(max_examples=30, deadline=None)
@given(SURFACES, FULL, PATCHES, st.integers(1, 30))
def test_the_order_in_which_lines_were_written_makes_no_difference(
    surface: FinishedSurface, full: list[FinishWork], patches: list[FinishWork], turn: int
) -> None:
    by_day = {work.on: work for work in [*full, *patches]}  # lines of one day keep their order
    works = list(by_day.values())
    shuffled = sorted(works, key=lambda work: work.on.day * turn % 31)
    assert advice(*works, surface=surface) == advice(*shuffled, surface=surface)


@pytest.mark.parametrize("area", ["0", "-1", "10000.01", "NaN", "Infinity"])
def test_an_area_that_is_none_is_refused(area: str) -> None:
    for make in (
        lambda: FinishedSurface(Decimal(area), Finish.VARNISH, Exposure.SHADED),
        lambda: FinishWork(Deed.PATCHED, TODAY, Decimal(area)),
    ):
        with pytest.raises(Refused) as refused:
            make()
        assert refused.value.field == "area_m2"


def test_other_bad_input_is_refused() -> None:
    bad: dict[str, Callable[[], object]] = {
        "done_on": lambda: advice(FinishWork(Deed.STAINED, TODAY + timedelta(days=1))),
        "lay_up_on": lambda: advice(on=LAY_UP + timedelta(days=1)),
        "area_m2": lambda: FinishWork(Deed.COATED, TODAY, Decimal(1)),
        "strip_after_years": lambda: FinishedSurface(Decimal(1), Finish.OIL, Exposure.SHADED, strip_after_years=61),
        "coat_every_months": lambda: FinishedSurface(Decimal(1), Finish.OIL, Exposure.SHADED, coat_every_months=0),
    }
    for field, make in bad.items():
        with pytest.raises(Refused) as refused:
            make()
        assert refused.value.field == field
    with pytest.raises(Refused):
        FinishWork(Deed.PATCHED, TODAY)
