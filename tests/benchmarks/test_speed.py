"""The same measurements for pytest-benchmark; skipped unless asked for, and never a gate.

Run as ``pytest tests/benchmarks --benchmark-only``.
"""

from pathlib import Path

import reference
from pytest_benchmark.fixture import BenchmarkFixture

from econ.farm.files import load
from econ.farm.prepare import inputs_at, prepare, settle
from econ.model.evaluate import evaluate
from econ.questions.draws import BLOCK, pick_from, sampler
from econ.questions.plan_search import search
from econ.questions.plan_space import space_of

TWO_WAYS = Path(__file__).parents[2] / "scenarios" / "quillmere-two-ways.toml"
LARGEST = Path(__file__).parents[2] / "scenarios" / "quillmere.toml"


def test_loading_the_largest_farm(benchmark: BenchmarkFixture) -> None:
    benchmark(load, LARGEST)


def test_one_evaluation(benchmark: BenchmarkFixture) -> None:
    benchmark(evaluate, prepare(load(LARGEST)))


def test_the_plain_loop_for_comparison(benchmark: BenchmarkFixture) -> None:
    benchmark(reference.evaluate, reference.read(LARGEST))


def test_a_block_of_draws(benchmark: BenchmarkFixture) -> None:
    scenario = load(LARGEST)
    values = sampler(scenario, BLOCK, 0).values(0)
    inputs = inputs_at(scenario, pick_from(values), settle(scenario))

    benchmark(lambda: evaluate(inputs, by_month=False))


def test_every_plan_of_the_farm_with_a_choice(benchmark: BenchmarkFixture) -> None:
    benchmark(search, space_of(load(TWO_WAYS)), "time_paid")
