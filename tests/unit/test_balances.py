"""The account of a log: what should be there, what the stick says, what blend drew on."""

import datetime

import pytest

from econ.farm.log import Row
from econ.questions.balances import Gap, balances, exceeds_error

DAY = datetime.date(2026, 5, 1)


def row(number: int, what: str, which: str = "", **values: object) -> Row:
    days = int(str(values.pop("days", 0)))
    return Row(number, number, DAY + datetime.timedelta(days=days), what, which, **values)  # type: ignore[arg-type]


def share(machine: str, day: datetime.date) -> float:
    return 0.25


def test_a_day_s_account_by_hand() -> None:
    rows = [
        row(1, "dipped", "raw", volume=20.0),
        row(2, "fetched", "yard", volume=100.0, left=5.0, days=1),
        row(3, "cleaned", "", volume=60.0, left=54.0, days=2),
        row(4, "mixed", "tractor", volume=40.0, left=10.0, days=3),
        row(5, "burned", "tractor", volume=25.0, days=4),
        row(6, "dipped", "raw", volume=50.0, days=5),
    ]
    result = balances(rows, share)

    assert result.opening == 20.0
    # 20 + 100 - 60 expected, 50 by the stick.
    assert [
        (g.store, g.expected, g.dipped, g.gap) for g in result.gaps if g.dipped is not None
    ] == [
        ("raw", 0.0, 20.0, 20.0),
        ("raw", 60.0, 50.0, -10.0),
    ]
    assert (result.raw, result.clean, result.lost) == (50.0, 14.0, 6.0)
    # 25 of a blend with 40 oil in 50.
    assert (result.burned, result.in_blend, result.gap) == (20.0, 20.0, -10.0)


def test_a_tank_is_shared_by_the_machines_whose_notes_name_it() -> None:
    rows = [
        row(1, "mixed", "Field tank", volume=30.0, left=10.0),
        row(2, "burned", "north", volume=8.0, note="field tank"),
        row(3, "burned", "south", volume=4.0, note="from Field Tank, evening"),
        row(4, "mixed", "Field tank", volume=0.0, left=4.0),
        row(5, "burned", "north", volume=16.0, note="field tank"),
        row(6, "burned", "north", volume=4.0),
    ]
    result = balances(rows, share)

    # Three parts of four are oil; then 21 of 32; a burn without a tank at the plan's share.
    assert [burn.oil for burn in result.burns] == pytest.approx([6.0, 3.0, 10.5, 3.0])
    assert [burn.tank for burn in result.burns] == ["Field tank"] * 3 + [""]
    assert result.in_blend == pytest.approx(10.5)
    # Clean oil left when mixed, and when burned without any mix on record.
    assert result.clean == pytest.approx(-33.0)


def test_blend_beyond_what_was_mixed_draws_at_the_last_mix() -> None:
    rows = [
        row(1, "mixed", "north", volume=8.0, left=2.0),
        row(2, "burned", "north", volume=15.0),
        row(3, "mixed", "north", volume=5.0, left=5.0),
        row(4, "burned", "north", volume=2.0),
    ]
    result = balances(rows, share)

    assert [burn.oil for burn in result.burns] == pytest.approx([12.0, 1.0])
    assert result.in_blend == pytest.approx(0.0)


def test_a_dip_of_blend_counts_its_oil() -> None:
    rows = [
        row(1, "mixed", "Field tank", volume=30.0, left=10.0),
        row(2, "dipped", "Field tank", volume=36.0, days=1),
    ]
    result = balances(rows, share)

    assert [g.gap for g in result.gaps if g.store == "Field tank"] == [pytest.approx(-4.0), None]
    assert result.gap == pytest.approx(-3.0)
    assert result.in_blend == pytest.approx(27.0)


@pytest.mark.parametrize(
    ("expected", "dipped", "passed", "told"),
    [
        (100.0, 95.1, 100.0, False),
        (100.0, 94.9, 100.0, True),
        (100.0, 105.1, 100.0, True),
        # 2 % of what passed, 2 % of what is in store.
        (100.0, 90.1, 500.0, False),
        (100.0, 89.9, 500.0, True),
        (1000.0, 981.0, 100.0, False),
        (1000.0, 979.0, 100.0, True),
    ],
)
def test_gaps_are_told_beyond_what_a_stick_can_err_by(
    expected: float, dipped: float, passed: float, told: bool
) -> None:
    gap = Gap("raw", DAY, DAY, expected, dipped, passed, opening=False)
    assert exceeds_error(gap, 5.0) is told
