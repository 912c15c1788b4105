"""Three-point hours against published and independently computed figures.

Sources: planning/beta_pert.csv, computed with a statistics library (beta distribution with lambda 4), to 1e-5;
planning/pert_examples.json, networks of textbooks (Heizer and Render; Hillier and Lieberman; Taylor) named one by
one in the file, means and variances after Malcolm et al., Operations Research 7(5), 1959. Printed probabilities
come from rounded tables and are held to 0.003, computed ones to 1e-5, simulated ones to 0.005.
"""

import csv
import json
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from workshop.estimating.hours import ThreePoint

PLANNING = Path(__file__).parent / "planning"
BETA_PERT = list(csv.DictReader((PLANNING / "beta_pert.csv").read_text().splitlines()))
EXAMPLES: dict[str, Any] = json.loads((PLANNING / "pert_examples.json").read_text())
NETWORKS = {network["id"]: network for network in EXAMPLES["networks"]}
PATHS = {example["source"].split(";")[0]: example for example in EXAMPLES["critical_path_sums"]}


def three_point(row: dict[str, Any]) -> ThreePoint:
    return ThreePoint(float(row["optimistic"]), float(row["most_likely"]), float(row["pessimistic"]))


@pytest.mark.parametrize(
    "row", BETA_PERT, ids=lambda row: f"{row['optimistic']}-{row['most_likely']}-{row['pessimistic']}"
)
def test_beta_pert_agrees_with_the_table(row: dict[str, str]) -> None:
    operation = three_point(row)
    assert operation.mean == pytest.approx(float(row["mean"]), abs=1e-5)
    assert operation.classic_variance == pytest.approx(float(row["variance_textbook"]), abs=1e-5)
    assert operation.variance == pytest.approx(float(row["variance_beta_exact"]), abs=1e-5)
    assert operation.alpha == pytest.approx(float(row["alpha"]), abs=1e-5)
    assert operation.beta == pytest.approx(float(row["beta"]), abs=1e-5)
    for probability, column in ((0.1, "p10"), (0.5, "p50"), (0.8, "p80"), (0.9, "p90")):
        assert operation.quantile(probability) == pytest.approx(float(row[column]), abs=1e-5)
    # The most likely value is the quantile of its own probability.
    probability = float(row["probability_not_over_most_likely"])
    assert operation.quantile(probability) == pytest.approx(float(operation.likely), abs=1e-4)


class Schedule:
    """Earliest and latest times of a network of activities, as the textbooks reckon them."""

    def __init__(self, activities: list[dict[str, Any]]) -> None:
        self.hours = {activity["id"]: three_point(activity) for activity in activities}
        self.before = {activity["id"]: activity["predecessors"] for activity in activities}
        self.earliest_finish: dict[str, float] = {}
        for name in self.hours:
            start = max((self.earliest_finish[earlier] for earlier in self.before[name]), default=0.0)
            self.earliest_finish[name] = start + self.hours[name].mean
        self.duration = max(self.earliest_finish.values())
        self.latest_finish: dict[str, float] = {}
        for name in reversed(list(self.hours)):
            after = [later for later, earlier in self.before.items() if name in earlier]
            self.latest_finish[name] = min(
                (self.latest_finish[later] - self.hours[later].mean for later in after), default=self.duration
            )
        self.critical = [name for name in self.hours if self.slack(name) < 1e-9]
        self.variance = sum(self.hours[name].classic_variance for name in self.critical)

    def slack(self, name: str) -> float:
        return self.latest_finish[name] - self.earliest_finish[name]

    def simulated(self, draws: int) -> NDArray[np.float64]:
        """How long the whole takes when chance draws the hours of each activity."""
        chance = np.random.default_rng(1959)
        finish: dict[str, NDArray[np.float64]] = {}
        for name, hours in self.hours.items():
            low, width = float(hours.low), float(hours.high) - float(hours.low)
            start = np.max([finish[earlier] for earlier in self.before[name]] or [np.zeros(draws)], axis=0)
            taken = low + width * chance.beta(hours.alpha, hours.beta, draws) if width else low
            finish[name] = start + taken
        total: NDArray[np.float64] = np.max(list(finish.values()), axis=0)
        return total


@pytest.mark.parametrize("name", NETWORKS)
def test_a_textbook_network_comes_out_as_printed(name: str) -> None:
    network = NETWORKS[name]
    schedule = Schedule(network["activities"])
    for activity in network["activities"]:
        key = activity["id"]
        assert schedule.hours[key].mean == pytest.approx(activity["expected"], abs=1e-5)
        assert schedule.hours[key].classic_variance == pytest.approx(activity["variance"], abs=1e-5)
        assert schedule.earliest_finish[key] == pytest.approx(activity["earliest_finish"], abs=1e-5)
        assert schedule.latest_finish[key] == pytest.approx(activity["latest_finish"], abs=1e-5)
        assert schedule.slack(key) == pytest.approx(activity["slack"], abs=1e-5)
    computed, published = network["computed"], network["published"]
    assert schedule.duration == pytest.approx(computed["expected_duration"], abs=1e-5)
    assert schedule.critical == computed["critical_path"]
    assert schedule.variance == pytest.approx(computed["critical_path_variance"], abs=1e-5)
    finish = NormalDist(schedule.duration, schedule.variance**0.5)
    for day, probability in computed["probability_by"].items():
        assert finish.cdf(float(day)) == pytest.approx(probability, abs=1e-5)
    for chance, day in computed["date_for_probability"].items():
        assert finish.inv_cdf(float(chance)) == pytest.approx(day, abs=1e-4)
    if "critical_path" in published:
        assert schedule.duration == pytest.approx(published["expected_duration"], abs=1e-9)
        assert schedule.critical == published["critical_path"]
        printed = [key for key in published if key.startswith("p_by_")]
        assert printed
        for key in printed:
            assert finish.cdf(float(key.split("_")[2])) == pytest.approx(published[key], abs=0.003)


@pytest.mark.parametrize("name", NETWORKS)
def test_simulated_networks_agree_with_the_stored_simulation(name: str) -> None:
    network = NETWORKS[name]
    stored = network["monte_carlo_beta_pert"]
    draws = 40_000
    totals = Schedule(network["activities"]).simulated(draws)
    assert totals.mean() == pytest.approx(stored["mean"], abs=0.05)
    for day, probability in stored["probability_by"].items():
        reached = np.mean(totals <= float(day))
        # the file's 0.005, and three standard errors of these fewer draws
        assert reached == pytest.approx(probability, abs=0.005 + 3 * (0.25 / draws) ** 0.5)


@pytest.mark.parametrize("name", PATHS)
def test_a_printed_critical_path_adds_up(name: str) -> None:
    example = PATHS[name]
    path = [three_point(activity) for activity in example["path"]]
    mean = sum(activity.mean for activity in path)
    variance = sum(activity.classic_variance for activity in path)
    computed, published = example["computed"], example["published"]
    assert mean == pytest.approx(computed["expected"], abs=1e-5) == published["expected"]
    assert variance == pytest.approx(computed["variance"], abs=1e-5)
    probability = NormalDist(mean, variance**0.5).cdf(example["deadline"])
    assert probability == pytest.approx(computed["probability"], abs=1e-5)
    assert probability == pytest.approx(published["p"], abs=0.003)


def test_classic_and_beta_variance_agree_only_at_the_shares_where_they_should() -> None:
    # ((b-a)/6)^2 = (mean-a)(b-mean)/7 where (mean-a)/(b-a) = (1 ± sqrt(1 - 7/9)) / 2, about 0.264 and 0.736.
    for share, other in ((0.264298, 0.1), (0.735702, 0.9)):
        alike = ThreePoint(0, (6 * share - 1) / 4, 1)
        assert alike.variance == pytest.approx(alike.classic_variance, rel=1e-4)
        unlike = ThreePoint(0, other, 1)
        assert unlike.variance != pytest.approx(unlike.classic_variance, rel=0.01)
