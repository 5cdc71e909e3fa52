"""The random farms that the model is compared on: no field may be missing from all of them."""

import reference
import seeded

from econ.farm.schema import TABLES
from econ.model.costs import COST_LINES

# What only a file beside others has, or what no figure depends on.
APART = {
    ("scenario", "note"),
    ("scenario", "priced_on"),
    ("scenario", "extends"),
    ("scenario", "example"),
    ("scenario", "sources"),
    ("records", "log"),
}
FARMS = [seeded.farm(seed) for seed in range(120)]


def used() -> set[tuple[str, str]]:
    """List table and key of all that the random farms give."""
    keys = set()
    for farm in FARMS:
        for table, value in farm.items():
            for entry in value if isinstance(value, list) else [value]:
                keys |= {(table, key) for key in entry}
                keys |= {("machines.wear", key) for row in entry.get("wear", []) for key in row}
    return keys


def test_every_field_of_a_farm_file_occurs_in_the_random_farms() -> None:
    fields = {(table, key) for table, model, _ in TABLES for key in model.model_fields}
    keys = used()

    assert fields - keys - APART - {("machines", "wear")} == set()
    assert {key for key in keys if key not in fields and key != ("machines", "wear")} == set()


def test_every_cost_line_is_above_or_below_nothing_on_some_random_farm() -> None:
    met: set[str] = set()
    for farm in FARMS:
        met |= {key for key, amount in reference.evaluate(farm)["costs"].items() if amount != 0}

    assert met == {line.key for line in COST_LINES}
