"""What a log says of each guess, and that every figure then takes it."""

import datetime
import math
from pathlib import Path

import numpy as np
import pytest

from econ.farm.files import load
from econ.farm.known import with_known
from econ.farm.log import Log, Row
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.numbers.posterior import Ratios
from econ.questions.balances import balances
from econ.questions.draws import guesses, sampler
from econ.questions.learning import Learned, known, learn, years_to_tell
from econ.questions.observed import Count, Seen, months_between, observe, unlisted_repairs

SOURCE, PUMP = "Fleet yard next door", "Lift pump, north"
PART = f"{PUMP}: Early fuel filter"


@pytest.fixture(scope="module")
def farm() -> Scenario:
    return load(Path(__file__).parents[2] / "scenarios" / "tamsel-pumps.toml")


def row(number: int, day: str, what: str, which: str, **values: object) -> Row:
    date = datetime.date.fromisoformat(day)
    return Row(number, number, date, what, which, **values)  # type: ignore[arg-type]


def seen(farm: Scenario, rows: list[Row]) -> dict[str, Seen]:
    ordered = tuple(sorted(rows, key=lambda r: r.order))
    log = Log(Path("log.csv"), ordered, (), (), None, ())
    account = balances(ordered, lambda machine, day: 0.5)
    return {one.name: one for one in observe(farm, log, account)}


def test_whole_months_lie_between_two_days() -> None:
    day = datetime.date
    assert months_between(day(2026, 1, 2), day(2026, 3, 30)) == (day(2026, 2, 1),)
    assert months_between(day(2026, 1, 1), day(2026, 2, 28)) == (day(2026, 1, 1), day(2026, 2, 1))
    assert months_between(day(2026, 1, 5), day(2026, 1, 31)) == ()


def test_ratios_are_those_of_the_rows_that_have_the_figure(farm: Scenario) -> None:
    result = seen(
        farm,
        [
            row(1, "2026-01-01", "fetched", SOURCE, volume=200.0, left=20.0, hours=1.5),
            row(2, "2026-01-20", "fetched", SOURCE, volume=100.0),
            row(3, "2026-01-21", "cleaned", "", volume=240.0, left=216.0, hours=5.0),
            row(4, "2026-01-22", "cleaned", "", volume=60.0, left=57.0),
            row(5, "2026-02-28", "tested", "raw"),
        ],
    )

    loss = result["Lost as water and sludge"].record
    assert isinstance(loss, Ratios)
    assert (loss.mean, loss.count) == (pytest.approx(27.0 / 300.0), 2)
    # Sample variance of 0.10 and 0.05.
    assert loss.variance == pytest.approx(0.00125)
    hours = result["Hands-on hours a batch"].record
    assert isinstance(hours, Ratios)
    assert (hours.mean, hours.count) == (pytest.approx(5.0), 1)
    refused = result[f"{SOURCE}: refused"].record
    assert isinstance(refused, Ratios)
    assert (refused.mean, refused.count) == (pytest.approx(20.0 / 220.0), 1)
    trip = result[f"{SOURCE}: hours a trip"].record
    assert isinstance(trip, Ratios)
    assert trip.mean == pytest.approx(1.5 / (220.0 / 220.0))
    # January brought 320 with what was refused, February nothing; year 1 brings nine tenths.
    promise = result[f"{SOURCE}: what turns up a month"]
    assert isinstance(promise.record, Ratios)
    assert (promise.record.mean, promise.record.count) == (pytest.approx(320.0 / 1.8), 2)
    assert promise.path == ("oils", 2, "volume_per_month")
    # Two filters in the line: the life of neither can be told.
    assert not any("element" in name for name in result)


def test_failures_count_by_their_note_over_oil_burned_in_their_machine(farm: Scenario) -> None:
    result = seen(
        farm,
        [
            row(1, "2026-05-01", "mixed", PUMP, volume=600.0, left=600.0),
            row(2, "2026-06-01", "burned", PUMP, volume=1000.0),
            row(3, "2026-06-02", "repaired", PART, note="blend yes"),
            row(4, "2026-06-03", "repaired", PART, note="no, it was old"),
            row(5, "2026-06-04", "repaired", PART, note="unsure", count=3.0),
            row(6, "2026-06-05", "repaired", f"{PUMP}: Turbo", note="yes"),
        ],
    )

    assert result[PART].record == Count(2.5, 0.5)
    assert result[f"{PUMP}: Nozzle set"].record == Count(0.0, 0.5)
    # The other pump burned nothing: its guesses are left alone.
    assert not any(name.startswith("Lift pump, south") for name in result)


def test_a_part_that_is_not_listed_is_told_and_counted_nowhere(farm: Scenario) -> None:
    turbo = row(6, "2026-06-05", "repaired", f"{PUMP}: Turbo", note="yes")
    log = Log(Path("log.csv"), (turbo,), (), (), None, ())

    assert unlisted_repairs(farm, log) == (turbo,)
    assert f"{PUMP}: Turbo" not in seen(farm, [turbo])


def test_a_month_with_the_raw_store_full_says_nothing_of_the_promise(farm: Scenario) -> None:
    result = seen(
        farm,
        [
            row(1, "2026-01-01", "fetched", SOURCE, volume=60.0),
            row(2, "2026-02-10", "fetched", SOURCE, volume=595.0),
            row(3, "2026-02-11", "cleaned", "", volume=600.0, left=550.0),
            row(4, "2026-03-31", "fetched", SOURCE, volume=90.0),
        ],
    )
    record = result[f"{SOURCE}: what turns up a month"].record

    assert isinstance(record, Ratios)
    assert (record.mean, record.count) == (pytest.approx(150.0 / 1.8), 2)


def test_what_turns_up_is_one_number_with_the_product_s_mean_and_variance(farm: Scenario) -> None:
    result = seen(
        farm,
        [
            row(1, "2026-01-01", "fetched", SOURCE, volume=40.0),
            row(2, "2026-02-28", "tested", "raw"),
        ],
    )
    one = result[f"{SOURCE}: what turns up a month"]
    # (50, 80, 120) x (0.6, 0.85, 0.95), each a modified PERT: products of moments.
    means = [(50 + 320 + 120) / 6, (0.6 + 3.4 + 0.95) / 6]
    variances = [
        (m - lo) * (hi - m) / 7 for m, lo, hi in zip(means, (50, 0.6), (120, 0.95), strict=True)
    ]
    squares = [m * m + v for m, v in zip(means, variances, strict=True)]

    assert one.prior is not None
    assert one.prior.mean == pytest.approx(means[0] * means[1], rel=1e-12)
    expected = squares[0] * squares[1] - (means[0] * means[1]) ** 2
    assert one.prior.variance == pytest.approx(expected, rel=1e-9)
    assert (one.prior.low, one.prior.high) == (pytest.approx(30.0), pytest.approx(114.0))
    # volume_per_month carries it; reliability is certain at its mean.
    values = known((learn(one),))
    volume, reliability = values["oils", 2, "volume_per_month"], values["oils", 2, "reliability"]
    assert reliability.low == reliability.high == reliability.expected == means[1]
    assert volume.expected * means[1] == pytest.approx(learn(one).now[0], rel=1e-9)


def _learned(farm: Scenario) -> tuple[Learned, ...]:
    result = seen(
        farm,
        [
            row(1, "2026-01-01", "fetched", SOURCE, volume=90.0, left=10.0, hours=1.5),
            row(2, "2026-01-21", "cleaned", "", volume=90.0, left=81.0, hours=2.5),
            row(3, "2026-02-21", "cleaned", "", volume=60.0, left=52.0, hours=2.0),
            row(4, "2026-02-22", "mixed", PUMP, volume=60.0, left=60.0),
            row(5, "2026-03-22", "burned", PUMP, volume=110.0),
            row(6, "2026-03-31", "repaired", PART, note="yes"),
        ],
    )
    return tuple(learn(one) for one in result.values())


def test_expected_values_and_draws_take_what_is_known(farm: Scenario) -> None:
    learned = _learned(farm)
    wiser = with_known(farm, known(learned))
    loss = next(one for one in learned if one.seen.path[-1] == "loss_share")
    assert loss.posterior is not None

    assert float(prepare(wiser, at="expected").process.loss_share) == pytest.approx(
        loss.posterior.mean
    )
    assert float(prepare(farm, at="expected").process.loss_share) == pytest.approx(
        (0.04 + 4 * 0.08 + 0.14) / 6
    )
    before, after = sampler(farm, 4096, 7), sampler(wiser, 4096, 7)
    assert [g.path for g in after.guesses] == [g.path for g in before.guesses]
    drawn, earlier = after.values(0), before.values(0)
    path = ("process", "loss_share")
    assert np.mean(drawn[path]) == pytest.approx(loss.posterior.mean, rel=1e-3)
    # Within two standard errors of quantiles of 4,096 plain draws.
    np.testing.assert_allclose(
        np.quantile(drawn[path], (0.05, 0.95)),
        [loss.posterior.quantile(0.05), loss.posterior.quantile(0.95)],
        rtol=2e-2,
    )
    # The posterior's quantile at the guess's own score: the order of draws stays.
    np.testing.assert_array_equal(np.argsort(drawn[path]), np.argsort(earlier[path]))
    # What there is no record of stays as it was, to the bit.
    untouched = ("machines", 0, "use_factor")
    np.testing.assert_array_equal(drawn[untouched], earlier[untouched])
    pinned = drawn["oils", 2, "reliability"]
    assert np.all(pinned == pinned[0])


def test_without_records_nothing_changes_to_the_bit(farm: Scenario) -> None:
    same = with_known(farm, known(()))

    assert repr(prepare(same, at="expected")) == repr(prepare(farm, at="expected"))
    before, after = sampler(farm, 512, 3).values(0), sampler(same, 512, 3).values(0)
    for path, values in before.items():
        np.testing.assert_array_equal(after[path], values)
    assert guesses(same) == guesses(farm)


def test_a_certain_number_is_not_moved(farm: Scenario) -> None:
    certain = Seen(("process", "loss_share"), "loss", "share", None, 0.1, Ratios(0.5, 9, 0.0), 9.0)
    one = learn(certain)

    assert one.now == (0.1, 0.1, 0.1)
    assert one.fits
    assert known((one,)) == {}


def test_records_far_off_do_not_fit_and_near_ones_do(farm: Scenario) -> None:
    result = seen(
        farm,
        [
            *(
                row(k, f"2026-01-{k:02d}", "cleaned", "", volume=100.0, left=40.0)
                for k in range(1, 6)
            ),
            row(20, "2026-02-01", "mixed", PUMP, volume=4000.0, left=10.0),
            row(21, "2026-02-02", "burned", PUMP, volume=4000.0),
            row(22, "2026-02-03", "repaired", PART, note="yes", count=90.0),
        ],
    )
    loss, filters = learn(result["Lost as water and sludge"]), learn(result[PART])

    assert not loss.fits
    assert not filters.fits
    # Four thousand gallons without a failed pump: its guess expects 0.13 of them.
    assert learn(result[f"{PUMP}: Injection pump overhaul, pump idle two days"]).fits


def test_years_without_a_failure_that_would_tell() -> None:
    # Mean 0.0321 per 1,000 gal and 500 gal a year: ln 20 / 0.016 = 187 years.
    mean = (0.00625 + 4 * 0.025 + 0.0875) / 6
    assert years_to_tell(mean, 0.5) == pytest.approx(math.log(20) / (mean * 0.5))
    assert years_to_tell(mean, 0.0) is None
