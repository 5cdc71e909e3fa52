"""What can go wrong, told so that a reader can mend it.

DrumworthError
├── ScenarioError    a farm file that cannot be used, with every fault at once
└── ChangedError     a file that is no longer what it was when it was read
RefusedError         a request that no page of ours sends: nobody meets it by using them

>>> fault = Problem("farm.toml", '[[oils]] "garage": price', "-1.0", "lies below 0")
>>> print(ScenarioError((fault,)))
farm.toml: [[oils]] "garage": price = -1.0: lies below 0
"""

from msgspec import Struct

from econ.ground.wording import visible


class Problem(Struct, frozen=True):
    """One fault of a farm file."""

    file: str
    where: str
    """Table, entry's name and field, such as ``[[oils]] "garage": reject_share``."""
    value: str | None
    message: str
    """What is wrong, what is allowed, and a hint."""

    def __str__(self) -> str:
        """Write the fault on one line."""
        parts = [self.file]
        if self.where:
            parts.append(self.where + ("" if self.value is None else f" = {self.value}"))
        return visible(": ".join([*parts, self.message]))


class DrumworthError(Exception):
    """The root of all errors a user may meet."""


class ScenarioError(DrumworthError):
    """A farm file that cannot be used.

    Parameters
    ----------
    problems : tuple of Problem
        Every fault, in file order.
    """

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


class ChangedError(DrumworthError):
    """A file that is no longer what it was when it was read."""


class RefusedError(ValueError):
    """A request that no page of ours sends."""
