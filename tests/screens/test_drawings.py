"""Drawings of the first screen: lengths in proportion, every figure said in words too."""

import re
from itertools import pairwise

import pytest

from dashboards.drawings import dots, gallon_bar, month_strip, price_scale
from econ.answers.first_screen import Ahead, Gallon, MonthHours, Price
from econ.ground.written import Numbers

DOLLARS = Numbers("us", "USD")
GALLON: Gallon = {
    "title": "", "full": 4.95, "pump": 4.07, "difference": "dearer by this much",
    "description": "A gallon: <words>",
    "parts": [{"key": "thinner", "label": "thinner", "amount": 1.1},
              {"key": "bills", "label": "filters and bills", "amount": 1.58},
              {"key": "repairs", "label": "repairs", "amount": 0.34},
              {"key": "kit", "label": "kit", "amount": 0.89},
              {"key": "time", "label": "your time", "amount": 1.04}],
}  # fmt: skip


def ahead(free: int, paid: int) -> Ahead:
    return {"title": "", "time_free": free, "time_paid": paid, "lines": [], "description": "Dots."}


def test_parts_are_as_long_as_their_share_of_the_scale_and_follow_each_other() -> None:
    drawn = gallon_bar(GALLON, 6.0, DOLLARS)

    part = r'<rect class="part \w+" x="([\d.]+)%" y="40" width="([\d.]+)%"'
    pieces = [(float(x), float(width)) for x, width in re.findall(part, drawn)]
    assert [width for _, width in pieces] == pytest.approx(
        [100 * part["amount"] / 6.0 for part in GALLON["parts"]], abs=0.006
    )
    for (x, width), (after, _) in pairwise(pieces):
        assert after == pytest.approx(x + width, abs=0.011)


def test_the_bar_says_its_figures_and_escapes_its_words() -> None:
    drawn = gallon_bar(GALLON, 6.0, DOLLARS, amounts=True)

    for words in ("$4.95", "$4.07", "dearer by this much", "$1.58", "A gallon: &lt;words&gt;"):
        assert words in drawn
    assert "<words>" not in drawn


@pytest.mark.parametrize(("free", "paid"), [(47, 19), (0, 0), (100, 100), (100, 0)])
def test_a_hundred_dots_are_drawn_as_counted(free: int, paid: int) -> None:
    drawn = dots(ahead(free, paid))

    assert drawn.count('class="paid"') == paid
    assert drawn.count('class="free"') == free - paid
    assert drawn.count('class="half"') == free - paid
    assert drawn.count('class="behind"') == 100 - free


def test_zones_fill_the_scale_and_today_stands_where_its_price_is() -> None:
    price: Price = {
        "line": "", "today": 4.0, "end": 8.0,
        "zones": [{"key": "stop", "label": "stop", "until": 3.0, "here": False},
                  {"key": "start", "label": "start", "until": 8.0, "here": True}],
    }  # fmt: skip

    drawn = price_scale(price, DOLLARS)

    assert 'cx="50.00%"' in drawn
    assert drawn.count('class="zone here"') == 1
    assert "to $3.00 stop; to $8.00 start" in drawn


def test_months_without_hours_are_drawn_flat_and_busy_ones_marked() -> None:
    months: list[MonthHours] = [
        {"month": k + 1, "hours": 0.0, "busy": k in (4, 8)} for k in range(12)
    ]

    drawn = month_strip(months)

    assert drawn.count('class="busy"') == 2
    assert drawn.count('height="0.0"') == 12
    assert "Busy months: May, Sep" in drawn
