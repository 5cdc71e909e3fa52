"""What a farm file leaves to defaults, and what in it looks odd; nothing here is refused.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> [note.where for note in odd_values(load(demo_files()["wrenfold"]))][:1]
['[[oils]] "Our own changes" load_volume = 5']
"""

from collections.abc import Iterator

from msgspec import Struct
from pydantic import BaseModel

from econ.farm.fields import Estimate, Usual
from econ.farm.files import usual_wear
from econ.farm.schema import TABLES, Scenario, Table, about
from econ.fuel.substances import USUAL_LIMITS
from econ.ground.units import LITRES_PER_GALLON, unit_label
from econ.model.outcome import Outcome

# Hands-on hours for each 100 gal of oil burned: low ends; common practice, no source.
_LEAST_HOURS = (("drum scale", 110.0, 10.0), ("tote scale", 1e9, 4.0))
_LEAST_HOURS_OWN = 3.0
# A value beyond the usual range by more than this factor looks odd.
_SLACK = 2.0


class Note(Struct, frozen=True):
    """One thing a reader should know about a file."""

    where: str
    text: str


def _entries(scenario: Scenario) -> Iterator[tuple[str, str, Table]]:
    """Return every table: its name in the file, its heading, and itself."""
    for name, _, is_list in TABLES:
        if name == "machines.wear":
            for machine in scenario.machines:
                for row in machine.wear:
                    yield name, f'[[machines]] "{machine.name}" [[wear]] "{row.part}"', row
        elif is_list:
            for entry in getattr(scenario, name):
                yield name, f'[[{name}]] "{entry.name}"', entry
        elif (table := getattr(scenario, name)) is not None:
            yield name, f"[{name}]", table


def _shown(value: object) -> str:
    if value is None or value == []:
        return "left out"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, float) else str(value)


def defaults_used(scenario: Scenario) -> tuple[Note, ...]:
    """List every field that was left to its default.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    tuple of Note
        In the order of the tables; each says what stands there instead.
    """
    header = scenario.scenario
    skipped = {
        "fuel_per_year",
        "hours_per_year",
        "fuel_per_hour",
        "distance_per_year",
        "distance_per_volume",
        "rated_power",
        "heat_from",
        "heat_to",
        "note",
        "extends",
        "sources",
        "energy_per_volume",
    }
    result = []
    for table, heading, entry in _entries(scenario):
        for field, info in type(entry).model_fields.items():
            unused = field in entry.model_fields_set or field in skipped or table == "prices"
            if unused or field == "wear" or _beside_the_point(entry, field):
                continue
            detail = about(type(entry), field)
            unit = unit_label(detail.dimension, header.units, header.currency)
            plain = detail.default or _shown(info.default)
            with_unit = f"{plain} ({unit})" if _is_number(info.default) else plain
            result.append(Note(f"{heading} {field}", with_unit))
    return tuple(result)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _beside_the_point(entry: BaseModel, field: str) -> bool:
    """Say whether a default stands only for the other way of a choice."""
    if field in ("heater_efficiency", "motor_energy_per_volume"):
        return getattr(entry, "energy_per_volume", None) is not None
    if field in ("thinner_share", "thinner_share_winter"):
        return getattr(entry, "viscosity_limit", None) is not None or (
            getattr(entry, "thinner", None) is None
        )
    if field == "viscosity_limit":
        return getattr(entry, "thinner_share", None) is not None or (
            getattr(entry, "thinner", None) is None
        )
    return False


def assumed(scenario: Scenario) -> tuple[Note, ...]:
    """List the usual wear rows and limits that stand in for a machine's own.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    tuple of Note
    """
    result = []
    for machine in scenario.machines:
        heading = f'[[machines]] "{machine.name}"'
        rows = usual_wear(machine.engine, scenario.scenario.units)
        if not machine.wear and rows:
            parts = ", ".join(row.part for row in rows)
            result.append(
                Note(
                    f"{heading} wear",
                    f"the usual rows of {machine.engine} stand in (judgement, US dollars taken as"
                    f" the file's money): {parts}; to say none, give a row with cost = 0",
                )
            )
        if machine.thinner and machine.thinner_share is None and machine.viscosity_limit is None:
            limit = USUAL_LIMITS[machine.engine]
            result.append(
                Note(f"{heading} viscosity_limit", f"{limit:g} cSt, usual for {machine.engine}")
            )
    result += [
        Note(
            f'[[thinners]] "{thinner.name}" price',
            "diesel with a price of its own does not move with the fuel it replaces; name the"
            ' fuel instead, such as "farm_diesel"',
        )
        for thinner in scenario.thinners
        if thinner.kind == "diesel" and not isinstance(thinner.price, str)
    ]
    return tuple(result)


def _likely(value: object) -> float | None:
    if isinstance(value, Estimate):
        return value.likely
    return float(value) if _is_number(value) else None  # type: ignore[arg-type]


def _outside(value: float, ranges: tuple[Usual, ...]) -> Usual | None:
    """Return the nearest usual range where a value is far outside all of them."""
    low = min(usual.low for usual in ranges)
    high = max(usual.high for usual in ranges)
    if value < low / _SLACK or (low < 0.0 and value < low * _SLACK):
        return min(ranges, key=lambda usual: usual.low)
    if value > high * _SLACK:
        return max(ranges, key=lambda usual: usual.high)
    return None


def odd_values(scenario: Scenario) -> tuple[Note, ...]:
    """List values far from what people commonly see: under half, or over twice.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    tuple of Note
    """
    header = scenario.scenario
    result = []
    for _, heading, entry in _entries(scenario):
        for field in type(entry).model_fields:
            value = _likely(getattr(entry, field))
            if field == "wear" or value is None or value == 0.0:
                continue
            detail = about(type(entry), field)
            ranges = detail.usual_in(header.units)
            usual = _outside(value, ranges) if ranges else None
            if usual is not None:
                unit = unit_label(detail.dimension, header.units, header.currency)
                of = f" ({usual.of})" if usual.of else ""
                result.append(
                    Note(
                        f"{heading} {field} = {value:g}",
                        f"people commonly see {usual.low:.3g} to {usual.high:.3g} {unit}{of};"
                        f" {usual.source}",
                    )
                )
    return tuple(result)


def odd_outcome(scenario: Scenario, outcome: Outcome) -> tuple[Note, ...]:
    """List what looks odd in a farm's sums: too few hours, or stores that still fill.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    outcome : Outcome
        At expected values.

    Returns
    -------
    tuple of Note
    """
    burned = float(outcome.typical.fuel["oil_used"]) / (100.0 * LITRES_PER_GALLON)
    if burned <= 0.0:
        return ()
    hours = float(outcome.typical.fuel["hours"]) / burned
    batch = float(outcome.inputs.process.batch_volume) / LITRES_PER_GALLON
    name, _, least = next(row for row in _LEAST_HOURS if batch <= row[1])
    if all(oil.own for oil in outcome.inputs.oils if float(oil.volume_per_month) > 0.0):
        name, least = "own oil only", _LEAST_HOURS_OWN
    if hours >= least / 2.0:
        return ()
    per = 1.0 if scenario.scenario.units == "us" else 1.0 / LITRES_PER_GALLON
    unit = "gal" if scenario.scenario.units == "us" else "L"
    return (
        Note(
            "hours",
            f"{hours * per:.1f} hands-on hours for each 100 {unit} of oil burned; people commonly"
            f" see at least {least * per:.1f} at {name}: driving, clean-up or failed batches may"
            " have been left out; common practice, no source",
        ),
    )
