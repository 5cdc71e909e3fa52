"""Write the golden documents anew; only on purpose, and the commit says what moved and why.

Run as ``python tests/golden/update.py``.
"""

import json
from pathlib import Path
from typing import Any

from econ.answers.document import answer, to_json
from econ.farm.files import load
from econ.questions.chances import chances

HERE = Path(__file__).parent
SCENARIOS = HERE.parents[1] / "scenarios"


def found(path: Path) -> dict[str, Any]:
    """Give the document of one farm, without the cautions' long texts."""
    scenario = load(path)
    document = to_json(answer(scenario, chances(scenario).odds))
    document["cautions"] = [caution["key"] for caution in document["cautions"]]
    return document


if __name__ == "__main__":
    for farm in sorted(SCENARIOS.glob("*.toml")):
        text = json.dumps(found(farm), indent=1, ensure_ascii=False)
        (HERE / f"{farm.stem}.json").write_text(text + "\n", encoding="utf-8")
