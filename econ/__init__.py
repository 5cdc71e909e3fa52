"""The model of Drumworth: what home-made fuel from used oil costs, and whether to start.

The public names are here; each is imported when it is first asked for, so that a command that
needs none of the model does not wait for it.

Examples
--------
>>> import econ
>>> sorted(econ.__all__)[:3]
['DrumworthError', 'Inputs', 'Outcome']
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from econ.answers.document import answer, document
    from econ.farm.files import load
    from econ.farm.prepare import prepare
    from econ.farm.schema import Scenario
    from econ.ground.errors import DrumworthError, ScenarioError
    from econ.model.evaluate import evaluate
    from econ.model.inputs import Inputs
    from econ.model.outcome import Outcome

# Where each public name is made.
_HOMES = {
    "DrumworthError": "econ.ground.errors",
    "Inputs": "econ.model.inputs",
    "Outcome": "econ.model.outcome",
    "Scenario": "econ.farm.schema",
    "ScenarioError": "econ.ground.errors",
    "answer": "econ.answers.document",
    "document": "econ.answers.document",
    "evaluate": "econ.model.evaluate",
    "load": "econ.farm.files",
    "prepare": "econ.farm.prepare",
}

__all__ = [
    "DrumworthError",
    "Inputs",
    "Outcome",
    "Scenario",
    "ScenarioError",
    "answer",
    "document",
    "evaluate",
    "load",
    "prepare",
]


def __getattr__(name: str) -> Any:
    """Import a public name from its home when it is first asked for."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    message = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(message)


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
