"""Laws of a log's account, over random logs: oil is conserved whatever the rows say."""

import datetime
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.farm.files import load
from econ.farm.log import Row
from econ.farm.log_reading import read_log
from econ.farm.log_writing import add_row
from econ.questions.balances import Balances, balances

FARM = load(Path(__file__).parents[2] / "scenarios" / "tamsel-pumps.toml")
START = datetime.date(2026, 1, 20)
MACHINES = ("Lift pump, north", "Lift pump, south")
TANKS = ("Field tank", *MACHINES)

volumes = st.integers(0, 4000).map(lambda k: k / 8.0)


@st.composite
def events(draw: st.DrawFn) -> dict[str, object]:
    """Return one event as a page would add it."""
    what = draw(st.sampled_from(["fetched", "cleaned", "mixed", "burned", "dipped", "tested"]))
    which = {
        "fetched": st.just("Fleet yard next door"),
        "cleaned": st.sampled_from(["", "batch"]),
        "mixed": st.sampled_from(TANKS),
        "burned": st.sampled_from(MACHINES),
        "dipped": st.sampled_from(["raw", "clean"]),
        "tested": st.just("raw"),
    }[what]
    day = START + datetime.timedelta(days=draw(st.integers(0, 90)))
    return {
        "date": day.isoformat(),
        "what": what,
        "which": draw(which),
        "volume": draw(volumes),
        "left": draw(volumes),
        "note": draw(st.sampled_from(["", "from the field tank"])),
    }


def rows_of(given: list[dict[str, object]]) -> list[Row]:
    """Make rows of events, in the order in which they act."""
    rows = []
    for number, values in enumerate(given, start=1):
        day = datetime.date.fromisoformat(str(values["date"]))
        rows.append(
            Row(
                number + 1,
                number,
                day,
                str(values["what"]),
                str(values["which"]),
                volume=float(str(values["volume"])),
                left=float(str(values["left"])),
                note=str(values["note"]),
            )
        )
    return sorted(rows, key=lambda row: row.order)


def share(machine: str, day: datetime.date) -> float:
    return 0.55 if machine == MACHINES[0] else 0.4


def conserved(result: Balances) -> None:
    """Opening + fetched = raw + clean + in blend + burned + lost - gaps."""
    came = result.opening + result.fetched
    went = result.raw + result.clean + result.in_blend + result.burned + result.lost - result.gap
    assert came == pytest.approx(went, abs=1e-7)


@given(st.lists(events(), max_size=60))
def test_oil_is_conserved_over_random_logs(given: list[dict[str, object]]) -> None:
    conserved(balances(rows_of(given), share))


@given(st.lists(events(), max_size=40), volumes, st.integers(0, 39))
def test_oil_is_conserved_with_dips_of_blend_tanks(
    given: list[dict[str, object]], volume: float, place: int
) -> None:
    rows = rows_of(given)
    place = min(place, len(rows))
    day = rows[place - 1].date if place else START
    rows.insert(place, Row(99, 99, day, "dipped", "Field tank", volume=volume))
    conserved(balances(rows, share))


@given(st.lists(events(), max_size=30))
def test_every_gap_is_listed_once_and_adds_up(given: list[dict[str, object]]) -> None:
    result = balances(rows_of(given), share)
    gaps = [gap.gap for gap in result.gaps if gap.gap is not None and not gap.opening]

    assert sum(gaps) == pytest.approx(result.gap, abs=1e-7)
    for store in ("raw", "clean"):
        open_ones = [g for g in result.gaps if g.store == store and g.dipped is None]
        assert len(open_ones) <= 1


@settings(max_examples=25)
@given(st.lists(events(), min_size=2, max_size=12), st.integers(0, 11))
def test_undoing_a_row_is_the_log_without_it(given: list[dict[str, object]], which: int) -> None:
    which = min(which, len(given) - 1)
    # Written and read back, so that undone rows and numbers are those of a file.
    with tempfile.TemporaryDirectory() as folder:
        whole, less = Path(folder, "whole.csv"), Path(folder, "less.csv")
        for number, values in enumerate(given):
            add_row(whole, FARM, values)
            if number != which:
                add_row(less, FARM, values)
        last = max(str(values["date"]) for values in given)
        add_row(whole, FARM, {"date": last, "what": "undone", "which": which + 1})
        logs = read_log(whole, FARM), read_log(less, FARM)

    assert not any(log.faults for log in logs)
    accounts = [balances(log.rows, share) for log in logs]
    assert accounts[0].gaps == accounts[1].gaps
    assert accounts[0].burned == accounts[1].burned
    for account in accounts:
        conserved(account)
