"""Drawings of the first screen: lengths in proportion, every figure said in words too."""

import re
from itertools import pairwise

import pytest

from dashboards.drawings import dots, gallon_bar, month_strip, price_scale
from econ.answers.first_screen import Ahead, Gallon, MonthHours, Price
from econ.ground.written import Numbers

DOLLARS = Numbers("us", "USD")
GALLON: Gallon = {
    "title": "",
    "full": 4.95,
    "pump": 4.07,
    "difference": "dearer by this much",
    "description": "A gallon: <words>",
    "parts": [
        {"key": "thinner", "label": "thinner", "amount": 1.1},
        {"key": "bills", "label": "filters and bills", "amount": 1.58},
        {"key": "repairs", "label": "repairs", "amount": 0.34},
        {"key": "kit", "label": "kit", "amount": 0.89},
        {"key": "time", "label": "your time", "amount": 1.04},
    ],
}


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


def test_a_tight_name_breaks_in_two_on_a_phone() -> None:
    # Common practice, no source: on 370 pixels nine letters of 14.5 take 65, and 50 are free here.
    drawn = gallon_bar(GALLON, 6.5, DOLLARS)

    assert re.search(r'class="on-time wide">your time<', drawn)
    assert re.findall(r'class="on-time narrow">(\w+)<', drawn) == ["your", "time"]
    assert 'class="on-time">your time<' in gallon_bar({**GALLON, "pump": 3.0}, 5.0, DOLLARS)


@pytest.mark.parametrize(("free", "paid"), [(47, 19), (0, 0), (100, 100), (100, 0)])
def test_a_hundred_dots_are_drawn_as_counted(free: int, paid: int) -> None:
    drawn = dots(ahead(free, paid))

    assert drawn.count('class="paid"') == paid
    assert drawn.count('class="free"') == free - paid
    assert drawn.count('class="half"') == free - paid
    assert drawn.count('class="behind"') == 100 - free


def test_zones_fill_the_scale_and_today_stands_where_its_price_is() -> None:
    price: Price = {
        "line": "",
        "today": 4.0,
        "end": 8.0,
        "zones": [
            {"key": "stop", "label": "stop", "until": 3.0, "here": False},
            {"key": "start", "label": "start", "until": 8.0, "here": True},
        ],
        "marks": [
            {"key": "last_year", "label": "last year", "price": 4.4, "note": "By a record."},
            {"key": "today", "label": "today", "price": 4.0, "note": ""},
        ],
    }

    drawn = price_scale(price, DOLLARS)

    assert 'cx="50.00%"' in drawn
    assert drawn.count('class="zone here"') == 1
    assert "to $3.00 stop; to $8.00 start" in drawn
    assert 'x1="55.00%" y1="14"' in drawn
    assert "Marked: last year $4.40, today $4.00. By a record." in drawn


def test_the_zone_of_today_is_always_named_and_no_name_stands_on_another() -> None:
    price: Price = {
        "line": "",
        "today": 4.1,
        "end": 8.0,
        "marks": [],
        "zones": [
            {"key": "stop", "label": "stop", "until": 4.0, "here": False},
            {"key": "small", "label": "try small", "until": 4.2, "here": True},
            {"key": "start", "label": "start", "until": 8.0, "here": False},
        ],
    }
    last: Price = {
        **price,
        "today": 7.9,
        "zones": [
            {"key": "stop", "label": "stop", "until": 7.8, "here": False},
            {"key": "small", "label": "try small", "until": 8.0, "here": True},
        ],
    }
    label = r'<text x="([\d.]+)%" y="44" dx="0" text-anchor="start" class="[\w ]+">([^<]+)<'

    drawn = re.findall(label, price_scale(price, DOLLARS, letter=1.0))
    assert [words for _, words in drawn] == ["stop", "try small"]
    [_, (x, _)] = re.findall(label, price_scale(last, DOLLARS, letter=1.0))
    assert float(x) + 9.0 <= 100.0


@pytest.mark.parametrize(
    ("last_year", "names"),
    [
        (4.4, [("50.00%", "end", "today"), ("55.00%", "start", "last year")]),
        (3.2, [("40.00%", "end", "last year"), ("50.00%", "start", "today")]),
        (4.01, [("50.12%", "start", "today and last year")]),
        (0.2, [("50.00%", "start", "last year and today")]),
        (7.9, [("50.00%", "end", "today"), ("98.75%", "end", "last year")]),
        (8.4, [("50.00%", "start", "today")]),
    ],
)
def test_names_of_prices_flee_each_other_and_the_sides(
    last_year: float, names: list[tuple[str, str, str]]
) -> None:
    price: Price = {
        "line": "",
        "today": 4.0,
        "end": 8.0,
        "zones": [],
        "marks": [
            {"key": "last_year", "label": "last year", "price": last_year, "note": ""},
            {"key": "today", "label": "today", "price": 4.0, "note": ""},
        ],
    }
    label = r'<text x="([\d.]+%)" y="11" dx="-?\d+" text-anchor="(\w+)" class="mark-label">([^<]+)<'

    assert re.findall(label, price_scale(price, DOLLARS)) == names


def test_two_prices_near_the_right_side_share_one_name() -> None:
    price: Price = {
        "line": "",
        "today": 7.2,
        "end": 8.0,
        "zones": [],
        "marks": [
            {"key": "last_year", "label": "last year", "price": 7.6, "note": ""},
            {"key": "today", "label": "today", "price": 7.2, "note": ""},
        ],
    }

    drawn = price_scale(price, DOLLARS)

    assert drawn.count('class="mark-label"') == 1
    assert ">today and last year<" in drawn


def test_narrow_parts_are_named_beneath_within_the_drawing_each_on_its_own_line() -> None:
    narrow: Gallon = {
        **GALLON,
        "full": 4.0,
        "parts": [
            {"key": "thinner", "label": "thinner", "amount": 0.1},
            {"key": "bills", "label": "filters and bills", "amount": 0.1},
            {"key": "repairs", "label": "repairs", "amount": 0.1},
            {"key": "kit", "label": "kit", "amount": 3.7},
        ],
    }

    drawn = gallon_bar(narrow, 12.0, DOLLARS, amounts=True, letter=1.3)

    under = re.findall(r'<text x="([\d.]+)%" y="(\d+)"[^>]*class="under">([^<]+)<', drawn)
    assert [words for _, _, words in under] == [
        "thinner $0.10",
        "filters and bills $0.10",
        "repairs $0.10",
    ]
    assert len({y for _, y, _ in under}) == 3
    assert all(float(x) >= 1.3 * len(words) / 2.0 - 0.01 for x, _, words in under)
    height = re.search(r'height="(\d+)" role', drawn)
    assert height is not None
    assert int(height[1]) > max(int(y) for _, y, _ in under)


def test_months_without_hours_are_drawn_flat_and_busy_ones_marked() -> None:
    months: list[MonthHours] = [
        {"month": k + 1, "hours": 0.0, "busy": k in (4, 8)} for k in range(12)
    ]

    drawn = month_strip(months)

    assert drawn.count('class="busy"') == 2
    assert drawn.count('height="0.0"') == 12
    assert "Busy months: May, Sep" in drawn
