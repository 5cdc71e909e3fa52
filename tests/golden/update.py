"""Write the golden documents anew; only on purpose, and the commit says what moved and why.

Run as ``python tests/golden/update.py``.
"""

import json
from pathlib import Path
from typing import Any

from econ.answers.comparison_document import oils_document, thinners_document
from econ.answers.document import answer, to_json
from econ.answers.outlook import outlook, outlook_json
from econ.farm.files import load
from econ.questions.chances import chances

HERE = Path(__file__).parent
SCENARIOS = HERE.parents[1] / "scenarios"
BUYING = ("stonebark-own-oil", "wrenfold-heater-only")
CHANCES = ("kurrabee-downs", "stonebark-own-oil", "wrenfold")
DRAWS = 700


def result(path: Path) -> dict[str, Any]:
    """Return the document of one farm, without the cautions' long texts."""
    scenario = load(path)
    document = to_json(answer(scenario, chances(scenario).odds))
    document["cautions"] = [caution["key"] for caution in document["cautions"]]
    return document


def found_chances(path: Path) -> dict[str, Any]:
    """Return what `chances` says of one farm, from few draws."""
    scenario = load(path)
    return dict(outlook_json(outlook(scenario, draws=DRAWS)))


def found_buying(path: Path) -> dict[str, Any]:
    """Return what `thinners` and `oils` say of one farm in figures, without their sentences."""
    scenario = load(path)
    thinners, oils = thinners_document(scenario), oils_document(scenario)
    scopes = [
        {
            **{key: scope[key] for key in ("machine", "best", "ranking", "ties")},
            "rows": [
                {key: row[key] for key in ("thinner", "price", "refused", "result")}
                for row in scope["rows"]
            ],
        }
        for scope in thinners["scopes"]
    ]
    return {"worth_now": thinners["worth_now"], "scopes": scopes, "sources": oils["sources"]}


if __name__ == "__main__":
    for name in BUYING:
        text = json.dumps(found_buying(SCENARIOS / f"{name}.toml"), indent=1, ensure_ascii=False)
        (HERE / "buying" / f"{name}.json").write_text(text + "\n", encoding="utf-8")
    for name in CHANCES:
        text = json.dumps(found_chances(SCENARIOS / f"{name}.toml"), indent=1, ensure_ascii=False)
        (HERE / "chances" / f"{name}.json").write_text(text + "\n", encoding="utf-8")
    for farm in sorted(SCENARIOS.glob("*.toml")):
        text = json.dumps(result(farm), indent=1, ensure_ascii=False)
        (HERE / f"{farm.stem}.json").write_text(text + "\n", encoding="utf-8")
