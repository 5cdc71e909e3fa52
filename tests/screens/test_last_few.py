"""What pages remember: made once, whoever asks, and no farm waits for another."""

import threading

import pytest

from dashboards.web.last_few import Kept, LastFew


def test_it_is_made_once_while_it_is_remembered() -> None:
    made: list[str] = []
    few: LastFew[str, str] = LastFew(lambda asked: made.append(asked) or asked.upper(), 2)

    assert [few.of(key, key) for key in ("a", "a", "b", "a", "c")] == ["A", "A", "B", "A", "C"]
    assert made == ["a", "b", "c"]
    assert few.of("b", "b") == "B"  # asked for longest ago, so it had gone
    assert made == ["a", "b", "c", "b"]


def test_two_that_ask_alike_wait_for_one_making_and_others_do_not() -> None:
    begun, go_on, made = threading.Event(), threading.Event(), []

    def make(asked: str) -> str:
        made.append(asked)
        if asked == "slow":
            begun.set()
            assert go_on.wait(10.0)
        return asked

    few: LastFew[str, str] = LastFew(make, 4)
    both = [threading.Thread(target=few.of, args=("slow", "slow")) for _ in range(2)]
    for thread in both:
        thread.start()
    assert begun.wait(10.0)
    assert few.of("quick", "quick") == "quick"
    go_on.set()
    for thread in both:
        thread.join(10.0)

    assert made.count("slow") == 1


def test_what_raises_is_tried_again() -> None:
    tries: list[str] = []

    def make(asked: str) -> str:
        tries.append(asked)
        if len(tries) == 1:
            raise ValueError(asked)
        return asked

    few: LastFew[str, str] = LastFew(make, 4)
    with pytest.raises(ValueError, match="farm"):
        few.of("farm", "farm")

    assert few.of("farm", "farm") == "farm"


def test_what_was_kept_goes_when_nobody_asked_for_it_longest() -> None:
    kept: Kept[int] = Kept(2)
    for key, made in (("a", 1), ("b", 2)):
        kept.keep(key, made)
    assert kept.known("a") == 1
    kept.keep("c", 3)

    assert [kept.known(key) for key in "abc"] == [1, None, 3]
