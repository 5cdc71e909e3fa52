"""What a log shows of each guess: counts of failures, and ratios batch by batch.

>>> first, last = datetime.date(2026, 1, 10), datetime.date(2026, 4, 30)
>>> [month.month for month in months_between(first, last)]
[2, 3, 4]
"""

import calendar
import datetime
from collections.abc import Iterator

from msgspec import Struct

from econ.farm.fields import Estimate, Quantity
from econ.farm.files import usual_wear
from econ.farm.log import Log, Row
from econ.farm.log_reading import parts_of
from econ.farm.prepare import Path
from econ.farm.schema import Scenario
from econ.numbers.posterior import Prior, Ratios, beta_with, pert, ratios_of
from econ.questions.balances import Balances

# A store is full for want of a dip to the inch where less than this share of it is free.
_FULL = 0.98


class Count(Struct, frozen=True):
    """Failures counted over what was burned."""

    count: float
    """One that may or may not come from the blend is a half."""
    exposure: float
    """Thousands of the file's volumes of oil burned in the machine."""


class Seen(Struct, frozen=True):
    """What the records show of one number of the farm."""

    path: Path
    """The field that carries what is learnt."""
    name: str
    """As people read it."""
    dimension: str
    prior: Prior | None
    """The guess; None where the farm has a certain number."""
    guess: float
    """Its mean."""
    record: Count | Ratios
    over: float
    """What the record is summed over: thousand volumes, batches, loads, oil, months."""
    scale: float = 1.0
    """The field itself is this times what the guess is about."""
    pinned: tuple[Path, float] | None = None
    """A field that is held at its mean because this one carries both."""


def mean_of(value: Quantity) -> float:
    """Return an estimate's mean, or a certain number itself.

    Parameters
    ----------
    value : float or Estimate
        [any]
    """
    return value.expected if isinstance(value, Estimate) else float(value)


def prior_of(value: Quantity) -> Prior | None:
    """Return an estimate as a density; None for a certain number.

    Parameters
    ----------
    value : float or Estimate
        [any]
    """
    if isinstance(value, Estimate) and value.low < value.high:
        return pert(value.low, value.likely, value.high)
    return None


def months_between(first: datetime.date, last: datetime.date) -> tuple[datetime.date, ...]:
    """List the calendar months, by their first days, that lie whole between two days."""
    result = []
    day = first if first.day == 1 else _next_month(first)
    while day + datetime.timedelta(days=_length(day) - 1) <= last:
        result.append(day)
        day = _next_month(day)
    return tuple(result)


def _length(day: datetime.date) -> int:
    return calendar.monthrange(day.year, day.month)[1]


def _next_month(day: datetime.date) -> datetime.date:
    return day.replace(day=1) + datetime.timedelta(days=_length(day))


def month_of(day: datetime.date) -> datetime.date:
    """Return the first day of a day's month."""
    return day.replace(day=1)


def _ratio(pairs: list[tuple[float, float]]) -> tuple[Ratios, float] | None:
    """Sum pairs of top and bottom up, those without a bottom left out."""
    kept = [(top, bottom) for top, bottom in pairs if bottom > 0.0]
    if not kept:
        return None
    tops, bottoms = zip(*kept, strict=True)
    return ratios_of(tops, bottoms), float(sum(bottoms))


def _seen(
    path: Path, name: str, dimension: str, value: Quantity, pairs: list[tuple[float, float]]
) -> Iterator[Seen]:
    result = _ratio(pairs)
    if result is not None:
        yield Seen(path, name, dimension, prior_of(value), mean_of(value), *result)


def _process_path(scenario: Scenario, field: str) -> Path:
    """Return where a field of the cleaning stands: in the first set-up or in [process]."""
    given = scenario.setups[0].model_fields_set if scenario.setups else frozenset()
    return ("setups", 0, field) if field in given else ("process", field)


def _only_filter(scenario: Scenario) -> int | None:
    """Return the one filter of the plan, None where there are more or none."""
    names = scenario.setups[0].filters if scenario.setups else None
    used = [k for k, f in enumerate(scenario.filters) if names is None or f.name in names]
    return used[0] if len(used) == 1 else None


def _of_process(scenario: Scenario, rows: tuple[Row, ...]) -> Iterator[Seen]:
    """See what cleaning lost, took and clogged."""
    process = scenario.process
    cleaned = [row for row in rows if row.what == "cleaned" and row.volume]
    loss = [
        (row.volume - row.left, row.volume)
        for row in cleaned
        if row.volume is not None and row.left is not None
    ]
    yield from _seen(
        _process_path(scenario, "loss_share"),
        "Lost as water and sludge",
        "share",
        process.loss_share,
        loss,
    )
    batch = mean_of(process.batch_volume)
    hours = [
        (row.hours, row.volume / batch)
        for row in cleaned
        if row.volume is not None and row.hours is not None
    ]
    yield from _seen(
        _process_path(scenario, "hours_per_batch"),
        "Hands-on hours a batch",
        "hours",
        process.hours_per_batch,
        hours,
    )
    yield from _of_the_filter(scenario, cleaned)


def _of_the_filter(scenario: Scenario, cleaned: list[Row]) -> Iterator[Seen]:
    """See what clogs a filter; of several nobody knows which one was changed."""
    only = _only_filter(scenario)
    if only is None:
        return
    entry = scenario.filters[only]
    yield from _seen(
        ("filters", only, "volume_per_element"),
        f"{entry.name}: raw oil through one element",
        "volume",
        entry.volume_per_element,
        [
            (row.volume, row.count)
            for row in cleaned
            if row.volume is not None and row.count is not None
        ],
    )


def _of_loads(scenario: Scenario, rows: tuple[Row, ...]) -> Iterator[Seen]:
    """See what each source's loads took in hours and left with their owner."""
    for index, oil in enumerate(scenario.oils):
        loads = [row for row in rows if row.what == "fetched" and row.which == oil.name]
        rejects = [
            (row.left, (row.volume or 0.0) + row.left) for row in loads if row.left is not None
        ]
        yield from _seen(
            ("oils", index, "reject_share"),
            f"{oil.name}: refused",
            "share",
            oil.reject_share,
            rejects,
        )
        if oil.load_volume is not None:
            load = mean_of(oil.load_volume)
            trips = [
                (row.hours, ((row.volume or 0.0) + (row.left or 0.0)) / load)
                for row in loads
                if row.hours is not None
            ]
            yield from _seen(
                ("oils", index, "hours_per_trip"),
                f"{oil.name}: hours a trip",
                "hours",
                oil.hours_per_trip,
                trips,
            )


def _full_months(scenario: Scenario, account: Balances) -> set[datetime.date]:
    """Return the months in which the raw store stood full, so that oil may have been left."""
    most = _FULL * mean_of(scenario.process.raw_storage)
    return {month_of(day) for day, level in account.raw_levels if level >= most}


def turned_up(scenario: Scenario, log: Log, account: Balances) -> Iterator[Seen]:
    """See by whole calendar months what turned up of each source's promise.

    Parameters
    ----------
    scenario : Scenario
        The farm.
    log : Log
        Its records.
    account : Balances
        Of the same log, for the months in which there was no room.

    Yields
    ------
    Seen
        Of volume_per_month x reliability, one number with that product's mean, variance and
        range; volume_per_month carries it, or reliability where that alone is a guess.
    """
    if log.first is None or log.last is None:
        return
    full = _full_months(scenario, account)
    share = mean_of(scenario.process.first_year_share)
    first_year = months_of_first_year(log.first, log.last)
    for index, oil in enumerate(scenario.oils):
        loads = [row for row in log.rows if row.what == "fetched" and row.which == oil.name]
        if not loads:
            continue
        months = [m for m in months_between(loads[0].date, log.last) if m not in full]
        pairs = [
            (
                sum(
                    (row.volume or 0.0) + (row.left or 0.0)
                    for row in loads
                    if month_of(row.date) == month
                ),
                share if month in first_year else 1.0,
            )
            for month in months
        ]
        result = _ratio(pairs)
        if result is not None:
            yield _promise(index, oil.name, oil.volume_per_month, oil.reliability, *result)


def months_of_first_year(first: datetime.date, last: datetime.date) -> frozenset[datetime.date]:
    """Return the log's first twelve whole calendar months, and the broken one before them."""
    whole = months_between(first, last)[:12]
    return frozenset((month_of(first), *whole))


def _promise(
    index: int, name: str, volume: Quantity, reliability: Quantity, record: Ratios, over: float
) -> Seen:
    """Make one number of a promise and how far it is kept."""
    means = mean_of(volume), mean_of(reliability)
    priors = prior_of(volume), prior_of(reliability)
    variances = [prior.variance if prior else 0.0 for prior in priors]
    squares = [m * m + v for m, v in zip(means, variances, strict=True)]
    mean = means[0] * means[1]
    ends = [(p.low, p.high) if p else (m, m) for p, m in zip(priors, means, strict=True)]
    low, high = ends[0][0] * ends[1][0], ends[0][1] * ends[1][1]
    variance = squares[0] * squares[1] - mean * mean
    prior = beta_with(mean, variance, low, high) if high > low and variance > 0.0 else None
    carrier, other = ("volume_per_month", 1) if priors[0] else ("reliability", 0)
    pinned: tuple[Path, float] | None = None
    if priors[0] and priors[1]:
        pinned = (("oils", index, "reliability"), means[1])
    scale = 1.0 / means[other] if means[other] > 0.0 else 1.0
    return Seen(
        ("oils", index, carrier),
        f"{name}: what turns up a month",
        "volume_per_month",
        prior,
        mean,
        record,
        over,
        scale,
        pinned,
    )


def _counted(row: Row) -> float:
    """Return how many failures beyond those on pump fuel a repair stands for."""
    words = row.note.casefold().replace(",", " ").replace(":", " ").split()
    word = next((w for w in words[:2] if w in ("yes", "no", "unsure")), "unsure")
    return {"yes": 1.0, "no": 0.0, "unsure": 0.5}[word] * (1.0 if row.count is None else row.count)


def _failures(scenario: Scenario, log: Log, account: Balances) -> Iterator[Seen]:
    """Count each listed part's failures over the oil that its machine burned."""
    for index, machine in enumerate(scenario.machines):
        oil = sum(burn.oil for burn in account.burns if burn.machine == machine.name) / 1000.0
        rows = machine.wear or usual_wear(machine.engine, scenario.scenario.units)
        for k, part in enumerate(rows):
            name = f"{machine.name}: {part.part}"
            repairs = [r for r in log.rows if r.what == "repaired" and r.which == name]
            count = sum(map(_counted, repairs))
            if oil <= 0.0 and count <= 0.0:
                continue
            yield Seen(
                ("machines", index, "wear", k, "extra_failures"),
                name,
                "failures_per_volume",
                prior_of(part.extra_failures),
                mean_of(part.extra_failures),
                Count(count, oil),
                oil,
            )


def unlisted_repairs(scenario: Scenario, log: Log) -> tuple[Row, ...]:
    """Return repairs of parts that the farm does not list: told, and counted nowhere."""
    listed = {
        f"{machine.name}: {part}"
        for machine in scenario.machines
        for part in parts_of(scenario, machine)
    }
    return tuple(r for r in log.rows if r.what == "repaired" and r.which not in listed)


def observe(scenario: Scenario, log: Log, account: Balances) -> tuple[Seen, ...]:
    """See what a log shows of a farm's numbers.

    Parameters
    ----------
    scenario : Scenario
        The farm as its file has it: the first guess.
    log : Log
        Its whole log.
    account : Balances
        Of that log.

    Returns
    -------
    tuple of Seen
        Only numbers of which there is a record; a row without the figure does not count.
    """
    return (
        *turned_up(scenario, log, account),
        *_of_loads(scenario, log.rows),
        *_of_process(scenario, log.rows),
        *_failures(scenario, log, account),
    )
