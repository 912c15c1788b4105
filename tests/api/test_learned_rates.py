"""What a yard's own rechecks say of the rates, over the API."""

import pytest
import time_machine

from tests.api.callers import Caller, problem_of
from tests.api.worlds import NOW
from tests.factories import TechnicianFactory
from tests.inspections.test_rechecks import History

pytestmark = pytest.mark.django_db
ADDRESS = "learned-rates/"


def test_a_manager_reads_table_data_posterior_and_what_is_in_use() -> None:
    history = History()
    history.rechecked("water_way_open", "water_in", 12)
    history.rechecked("water_in", "water_in", 3)
    with time_machine.travel(NOW, tick=False):
        told = Caller(history.manager).get(ADDRESS).json()
    assert (told["as_of"], told["least_observations"], told["interval_probability"]) == ("2027-04-06", 10, 0.9)
    assert told["not_told_by_looks"] == ["decay_spreads", "decayed_part_breaks", "leak_runs"]
    rates = {(rate["step"], rate["exposure"]): rate for rate in told["rates"]}
    assert len(rates) == len(told["rates"]) == 14
    learned, few, none = (
        rates[key] for key in (("water_enters", "wet"), ("decay_starts", "wet"), ("decay_starts", "dry"))
    )
    assert (learned["observations"], learned["transitions"], learned["applied"]) == (12, 12, True)
    assert learned["prior_per_year"] == 1.5
    assert learned["low_per_year"] < learned["in_use_per_year"] == learned["posterior_per_year"]
    assert learned["factor"] == pytest.approx(learned["in_use_per_year"] / 1.5)
    assert learned["factor"] > 1
    assert (few["observations"], few["transitions"], few["applied"], few["factor"]) == (3, 0, False, 1)
    assert few["posterior_per_year"] < few["in_use_per_year"] == few["prior_per_year"] == 0.3
    assert (none["observations"], none["exposure_years"], none["factor"]) == (0, 0, 1)


def test_it_is_for_managers_and_tells_of_their_own_yard(stranger: Caller) -> None:
    history = History()
    history.rechecked("water_way_open", "water_in", 12)
    problem_of(Caller(TechnicianFactory.create(yard=history.yard)).get(ADDRESS), 403)
    assert {rate["observations"] for rate in stranger.get(ADDRESS).json()["rates"]} == {0}
