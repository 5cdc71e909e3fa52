"""Speed of what is asked beside the draws, on large farms: prints a table.

Run as ``python tests/benchmarks/questions.py``; about three minutes. No check depends on it.
"""

import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.measuring import ROOT, Row, copied, exponent, printed, seconds, taken_by

from econ.advice.cautions import Farm, cautions
from econ.answers.comparison_document import oils_document, thinners_document
from econ.answers.decision import decide
from econ.answers.folder import folder_document
from econ.answers.outlook import outlook
from econ.answers.sure import how_sure
from econ.answers.turned import Prepared
from econ.farm.files import load
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.model.evaluate import evaluate

LARGEST = ROOT / "scenarios" / "quillmere.toml"
ONE = "one evaluation of the same farm"


def sizes(scenario: Scenario) -> str:
    counts = ((len(scenario.machines), "machines"), (len(scenario.oils), "sources"))
    return ", ".join(f"{count} {name}" for count, name in counts)


def against_one(scenario: Scenario, what: str, ask: Callable[[Scenario], object]) -> Row:
    """Measure a question against one evaluation of its farm."""
    inputs = prepare(scenario)
    one, took = seconds(lambda: evaluate(inputs)), seconds(lambda: ask(scenario), 3)
    return f"{what}, {sizes(scenario)}", ONE, f"{took / one:,.0f} times ({took:.2f} s)"


def sure(scenario: Scenario) -> Callable[[], object]:
    decision, results = decide(scenario), Prepared.of(scenario).at({})
    return lambda: how_sure(results, decision)


def listed(scenario: Scenario) -> Callable[[], object]:
    inputs = prepare(scenario)
    outcome, header = evaluate(inputs), scenario.scenario
    return lambda: cautions(Farm(header.units, header.currency, inputs, outcome))


def commands() -> list[Row]:
    """Measure whole commands against bare imports."""
    names = ("decide", "chances", "thinners", "oils")
    with tempfile.TemporaryDirectory() as place:
        book = str(Path(place) / "farm.xlsx")
        bare, *taken = taken_by(
            ("-c", "import numpy, pydantic"),
            *(("-m", "dashboards", name, str(LARGEST)) for name in names),
            ("-m", "dashboards", "present", str(LARGEST), "--to", book, "--force"),
            times=15,
        )
    against = f"`import numpy, pydantic` ({bare[1]:.2f} s)"
    return [
        (f"`{name}`, whole command", against, f"{took[0] / bare[0]:.1f} times ({took[1]:.2f} s)")
        for name, took in zip((*names, "present --to farm.xlsx"), taken, strict=True)
    ]


def questions(scenario: Scenario) -> list[Row]:
    """Measure what is asked of large farms."""
    large, many = copied(scenario, machines=7), copied(scenario, machines=33)
    wide = copied(scenario, oils=17)
    panel = copied(scenario, machines=7, oils=4)
    gathered = sure(panel)
    return [
        against_one(scenario, "chances of 5,000 draws and all that is told of them", outlook),
        against_one(scenario, "every thinner everywhere", thinners_document),
        against_one(large, "every thinner everywhere", thinners_document),
        against_one(many, "every thinner everywhere", thinners_document),
        against_one(scenario, "every source", oils_document),
        against_one(wide, "every source", oils_document),
        against_one(panel, "how sure it is", lambda _: gathered()),
    ]


def growths(scenario: Scenario) -> list[Row]:
    """Measure how the time of questions grows with what there is of each thing."""

    def more(ask: Callable[[Scenario], object], **times: int) -> Callable[[], object]:
        farm = copied(scenario, **times)
        return lambda: ask(farm)

    pairs = [
        ("every thinner everywhere, machines 24 to 96", 4.0,
         more(thinners_document, machines=4), more(thinners_document, machines=16)),
        ("every thinner everywhere, thinners 8 to 32", 4.0,
         more(thinners_document, thinners=2), more(thinners_document, thinners=8)),
        ("every source, 24 to 96", 4.0,
         more(oils_document, oils=4), more(oils_document, oils=16)),
        ("cautions, machines 48 to 192", 4.0,
         listed(copied(scenario, machines=8)), listed(copied(scenario, machines=32))),
    ]  # fmt: skip
    return [
        (f"growth of time of {name}", "1 is in proportion", exponent(small, large, ratio))
        for name, ratio, small, large in pairs
    ]


def folders() -> Row:
    """Measure how the time of a folder grows with its farms, in one process."""
    with tempfile.TemporaryDirectory() as place:
        few, many = Path(place) / "few", Path(place) / "many"
        for folder, count in ((few, 2), (many, 8)):
            folder.mkdir()
            for k in range(count):
                shutil.copy(LARGEST, folder / f"{k}.toml")
        grows = exponent(lambda: folder_document(few), lambda: folder_document(many), 4.0)
    return "growth of time of a folder, farms 2 to 8", "1 is in proportion", grows


if __name__ == "__main__":
    farm = load(LARGEST)
    printed(commands() + questions(farm) + growths(farm) + [folders()])
