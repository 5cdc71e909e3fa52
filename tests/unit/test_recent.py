"""What was worked out last is kept for the very same records, and for no others."""

import pytest

from econ.ground.recent import Recent


def test_the_same_records_are_worked_out_once() -> None:
    recent: Recent[int] = Recent(2)
    record, calls = ["a farm"], []

    def work() -> int:
        calls.append(1)
        return len(calls)

    assert [recent.of((record, None), work) for _ in range(3)] == [1, 1, 1]
    # An equal record is another one, and so is the same beside something else.
    assert recent.of((["a farm"], None), work) == 2
    assert recent.of((record, record), work) == 3


def test_only_the_last_few_are_kept() -> None:
    recent: Recent[str] = Recent(2)
    records = [["one"], ["two"], ["three"]]
    for record in records:
        recent.of((record,), lambda record=record: record[0])  # type: ignore[misc]

    assert recent.of((records[2],), lambda: "anew") == "three"
    assert recent.of((records[1],), lambda: "anew") == "two"
    assert recent.of((records[0],), lambda: "anew") == "anew"


def test_what_is_refused_is_not_kept() -> None:
    recent: Recent[float] = Recent(2)
    record = ["a farm"]

    with pytest.raises(ZeroDivisionError):
        recent.of((record,), lambda: 1 / 0)
    assert recent.of((record,), lambda: 2.0) == 2.0
