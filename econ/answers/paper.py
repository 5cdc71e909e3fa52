"""What only the printed page adds to the first screen, worded once.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["wrenfold"])))
>>> [row["owner"] for row in machine_rows(outcome, {"Shop oil heater": "Ann"})]
['yours', 'yours', 'yours', 'Ann']
"""

import math
from collections.abc import Mapping
from typing import Annotated, Any, TypedDict

from econ.advice.plain_words import YEAR_WORDS
from econ.answers.keys import Key
from econ.ground.written import Numbers
from econ.model.inputs import MachineInputs, WearPart
from econ.model.outcome import Outcome

Json = Mapping[str, Any]

# A repair is to be feared when it costs more than this share of the kit.
_LARGE = 0.1
# Signs of a name within a sentence of the sheet.
_LONGEST = 40
# Above this chance over the years, how often it comes says more than whether it does.
_CERTAIN = 0.9
_YOURS = "yours"


class MachineRow(TypedDict):
    """One machine that burns blend: whose, what it saves, what may break."""

    name: Annotated[str, Key("text", "The machine")]
    owner: Annotated[str, Key("text", "Whose it is")]
    saving: Annotated[float, Key("money_per_year", "After thinner, additives and repairs")]
    repair: Annotated[str | None, Key("text", "The repair to fear; None without any")]
    repair_cost: Annotated[float | None, Key("money", "What it costs, downtime included")]
    chance: Annotated[str, Key("text", "How likely it is over the years, or how often")]


class OwnerKit(TypedDict):
    """The kit of one owner."""

    owner: Annotated[str, Key("text", "Whose it is")]
    cost: Annotated[float, Key("money", "What it costs, or would sell for if already there")]


class Paper(TypedDict):
    """What stands on the printed page beside the first screen."""

    year: Annotated[str, Key("text", "The year's steps, ending on the figures that decide")]
    lost: Annotated[str, Key("text", "What stopping loses after each of the first years")]
    stop: Annotated[str, Key("text", "When to stop, agreed before buying")]
    machines: Annotated[list[MachineRow], Key("text", "Machines that burn blend")]
    on_pump_fuel: Annotated[str, Key("text", "Which machines stay on pump fuel; may be empty")]
    kit: Annotated[list[OwnerKit], Key("text", "Kit by owner, more than one owner only")]


def year_steps(document: Json, numbers: Numbers) -> str:
    """Say the year step by step, each after one more kind of cost.

    Parameters
    ----------
    document : dict
        The decision.
    numbers : Numbers
        How its numbers are written.

    Returns
    -------
    str
    """
    savings, ledgers = document["savings"], document["ledgers"]
    steps = (
        ("cash", "after bills"),
        ("after_wear", "after repairs"),
        ("after_kit", "after the kit"),
        ("after_labour", "after your time"),
    )
    said = ", ".join(f"{numbers.spoken(savings[key])} {words}" for key, words in steps)
    free, paid = (
        numbers.spoken(ledgers[key]["equivalent_annual"]) for key in ("time_free", "time_paid")
    )
    return (
        f"A year before tax: {said}. With tax and timing {free} with your time free and {paid} with"
        " it paid."
    )


def lost_sentence(document: Json, numbers: Numbers) -> str:
    """Say what stopping loses after each of the first years, kit sold."""
    lost = document["ledgers"]["time_free"]["lost_if_stopped"]
    said = ", ".join(
        f"{numbers.spoken(amount)} after {YEAR_WORDS[year]}" for year, amount in enumerate(lost)
    )
    return f"Stopping, kit sold, loses {said}."


def stop_sentence(document: Json, numbers: Numbers, renewals: dict[int, str]) -> str:
    """Say when to stop: by price before kit falls due, and by other people's word.

    Parameters
    ----------
    document : dict
        The decision.
    numbers : Numbers
        How its numbers are written.
    renewals : dict of int to str
        Name of the dearest kit that falls due at the end of each year.

    Returns
    -------
    str
    """
    if document["advice"]["key"] == "do not start":
        return "As it stands, the best plan is to keep buying pump fuel. Buy nothing for this one."
    below = document["ledgers"]["time_free"]["stop_below"]
    said = [
        f"Before buying the new {renewals[year].lower()} at the end of year"
        f" {Numbers.count(year)}, stop if {numbers.a_volume} costs less than"
        f" {numbers.per_volume(below[year - 1])}."
        for year in sorted(renewals)
        if year - 1 < len(below) and below[year - 1]
    ][:1]
    said.append(
        "Stop as well when an insurer or an office says no, or hours run half over plan for three"
        " months."
    )
    return " ".join(said)


def _feared(machine: MachineInputs, kit_cost: float) -> WearPart | None:
    """Find the part with the largest yearly cost among large ones, else among all."""
    parts = [part for part in machine.wear if float(part.cost * part.failures) > 0.0]
    large = [part for part in parts if float(part.cost) > _LARGE * kit_cost]
    return max(large or parts, key=lambda part: float(part.cost * part.failures), default=None)


def _chance(per_year: float, years: int) -> str:
    """Say how likely a repair is over the years, or how often it comes."""
    chance = 1.0 - math.exp(-years * per_year)
    if chance > _CERTAIN:
        if per_year >= 0.75:
            return f"about {max(1, round(per_year))} a year" if per_year >= 1.5 else "every year"
        every = max(2, round(1.0 / per_year))
        return "every other year" if every == 2 else f"every {every} years"
    if chance > 0.4:
        return f"{round(10 * chance)} in 10"
    return f"1 in {max(2, round(1.0 / chance)):,}"


def machine_rows(outcome: Outcome, owners: Mapping[str, str]) -> list[MachineRow]:
    """List the machines that burn blend, with what each saves and what may break.

    Parameters
    ----------
    outcome : Outcome
        At expected values, shape ``()``.
    owners : mapping of str to str
        Whose each machine is, by its name; one's own where it is not said.

    Returns
    -------
    list of MachineRow
    """
    years = outcome.inputs.finance.years
    rows: list[MachineRow] = []
    for machine, year in zip(outcome.inputs.machines, outcome.typical.machines, strict=True):
        if float(year.fuel_replaced) <= 0.0:
            continue
        part = _feared(machine, float(outcome.kit_cost))
        per_year = 0.0 if part is None else float(year.oil_used * part.failures)
        rows.append(
            {
                "name": machine.name,
                "owner": owners.get(machine.name) or _YOURS,
                "saving": float(year.saving),
                "repair": None if part is None else part.part,
                "repair_cost": None if part is None else float(part.cost),
                "chance": "" if part is None else _chance(per_year, years),
            }
        )
    return rows


def _on_pump_fuel(outcome: Outcome) -> str:
    names = [
        machine.name
        for machine, year in zip(outcome.inputs.machines, outcome.typical.machines, strict=True)
        if float(year.fuel_replaced) <= 0.0
    ]
    if not names:
        return ""
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"{listed} {'stays' if len(names) == 1 else 'stay'} on pump fuel."


def _kit_by_owner(outcome: Outcome, owners: Mapping[str, str]) -> list[OwnerKit]:
    costs: dict[str, float] = {}
    for item in outcome.inputs.kit:
        owner = owners.get(item.name) or _YOURS
        costs[owner] = costs.get(owner, 0.0) + float(item.cost)
    return [{"owner": owner, "cost": cost} for owner, cost in costs.items()]


def _renewals(outcome: Outcome) -> dict[int, str]:
    """Name the dearest kit that falls due at the end of each year before the last."""
    due: dict[int, tuple[float, str]] = {}
    for item in outcome.inputs.kit:
        for year in range(item.life_years, outcome.inputs.finance.years, item.life_years):
            due[year] = max(due.get(year, (0.0, "")), (float(item.cost), item.name))
    return {
        year: name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"
        for year, (cost, name) in due.items()
        if cost > 0.0
    }


def paper(
    document: Json,
    outcome: Outcome,
    machine_owners: Mapping[str, str],
    kit_owners: Mapping[str, str],
) -> Paper:
    """Word what only the printed page adds.

    Parameters
    ----------
    document : dict
        The decision, in the file's units.
    outcome : Outcome
        At expected values, shape ``()``.
    machine_owners, kit_owners : mapping of str to str
        Whose each is, by its name, where the file says so.

    Returns
    -------
    Paper
    """
    numbers = Numbers(document["units"], document["currency"])
    kit = _kit_by_owner(outcome, kit_owners)
    return {
        "year": year_steps(document, numbers),
        "lost": lost_sentence(document, numbers),
        "stop": stop_sentence(document, numbers, _renewals(outcome)),
        "machines": machine_rows(outcome, machine_owners),
        "on_pump_fuel": _on_pump_fuel(outcome),
        "kit": kit if len(kit) > 1 else [],
    }
