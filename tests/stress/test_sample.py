"""A sample of the random files; `python tests/stress/run.py --files 10000` tries the rest."""

import pytest
from stress.trials import COMMANDS, trial


@pytest.mark.parametrize("turn", range(5))
def test_no_random_file_ends_in_a_traceback_a_nan_or_a_cut_figure(turn: int) -> None:
    count = len(COMMANDS)
    result = [trial(number) for number in range(turn * count, (turn + 1) * count)]
    assert [one for one in result if one.fault] == []
