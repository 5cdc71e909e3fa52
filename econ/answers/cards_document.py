"""What hangs in the shed: a load, a batch, a mix for each machine, buying; and today's mix.

>>> from econ import load
>>> from econ.answers.document import answer
>>> from econ.farm.demos import demo_files
>>> document = cards_document(answer(load(demo_files()["wrenfold"])))
>>> sorted({card["key"] for card in document["cards"]})
['batch', 'buying', 'load', 'mix']
"""

from collections.abc import Iterator, Sequence

import numpy as np

from econ.answers.card_farm import (
    BLENDS,
    CardFarm,
    card_farm,
    how_sure,
    main_oil,
    percent,
    refuse_without_oil,
    season_name,
)
from econ.answers.card_keys import Card, CardsDocument, CardStep, CardTable
from econ.answers.card_steps import BATCH_STEPS, BUYING_STEPS, LOAD_STEPS, MIX_STEPS, StepRule
from econ.answers.document import Answer
from econ.fuel.substances import as_gasoline
from econ.ground.labels import MONTHS
from econ.model.equal_job import JOB_TEMPERATURE, pool_part
from econ.model.inputs import MachineInputs, OilInputs
from econ.questions.hand_mix import (
    AS_IT_IS,
    MIX,
    THIN,
    TOO_THICK_ALONE,
    MachineMix,
    Season,
    hand_mixes,
    oil_at_hand,
    thickness,
)

# What a cup may find of the oil at 40 °C; rows beyond twice the plan's oil are left out. [cSt]
_READINGS = (10.0, 15.0, 20.0, 27.0, 35.0, 45.0, 55.0, 66.0, 80.0, 100.0, 130.0)
# The shed in which a cup is used; common practice. [°C]
_SHED = 20.0


def _steps(
    farm: CardFarm, rules: Sequence[StepRule], machine: MachineInputs | None = None
) -> list[CardStep]:
    """Return a card's steps, each caution once, at the first step where it can hurt."""
    gasoline, burner = _uses_gasoline(farm, machine), _is_burner(machine)
    said: set[str] = set()
    steps: list[CardStep] = []
    for rule in rules:
        text = rule.text(farm.inputs, farm.write, farm.degrees)
        if text is None:
            continue
        keys = [
            key
            for key in rule.cautions
            if key in farm.cautions and key not in said and _concerns(key, gasoline, burner)
        ]
        said.update(keys)
        result = sorted((farm.cautions[key] for key in keys), key=lambda c: -c.gravity)
        steps.append(
            {"text": text, "cautions": [{"text": c.brief, "basis": c.basis} for c in result]}
        )
    return steps


def _uses_gasoline(farm: CardFarm, machine: MachineInputs | None) -> bool:
    if machine is None:
        return any(as_gasoline(thinner.kind) for thinner in farm.inputs.thinners)
    if machine.thinner is None:
        return False
    return as_gasoline(farm.inputs.thinners[machine.thinner].kind)


def _is_burner(machine: MachineInputs | None) -> bool | None:
    return None if machine is None else machine.engine == "burner"


_BURNER_ONLY = frozenset(
    {"carbon_monoxide", "gasoline_near_burner", "heater_others_oil", "heater_own_oil"}
)
_ENGINE_ONLY = frozenset(
    {
        "engine_runaway",
        "exhaust_indoors",
        "exhaust",
        "emission_controls",
        "exhaust_when_essential",
        "transfer_switch",
    }
)


def _concerns(key: str, gasoline: bool, burner: bool | None) -> bool:
    """Say whether a caution is this machine's: gasoline, engine or burner."""
    if key.startswith(("gasoline_", "ethanol_")) and key not in _BURNER_ONLY and not gasoline:
        return False
    if burner is None:
        return True
    return key not in (_ENGINE_ONLY if burner else _BURNER_ONLY)


def _blank(caption: str, heads: list[str], count: int) -> CardTable:
    """Return a table for a pencil."""
    rows = [[""] * len(heads) for _ in range(count)]
    return {"caption": caption, "heads": heads, "rows": rows, "marked": []}


def _load(farm: CardFarm) -> Card:
    """Return the card for fetching a load."""
    unit, inputs = farm.write.volume_unit, farm.inputs
    rows = []
    for oil in inputs.oils:
        if float(oil.volume_per_month) <= 0.0:
            continue
        load = "" if oil.load_volume is None else farm.volume(float(oil.load_volume))
        trip = "" if oil.load_volume is None else farm.write.hours(float(oil.hours_per_trip))
        price = float(oil.price) * farm.litres
        rows.append([oil.name, oil.kind, load, trip, farm.write.price(price) if price else "free"])
    heads = ["Source", "Kind", "Usual load", "Hours", "Pay"]
    sources: CardTable = {
        "caption": "Where, and what is usual",
        "heads": heads,
        "rows": rows,
        "marked": [],
    }
    pencil = _blank(
        "Write it down (fetched)",
        ["Day", "Source", f"Taken, {unit}", f"Refused, {unit}", "Hours", "Paid"],
        7,
    )
    return {
        "key": "load",
        "title": "Load: take it or leave it",
        "lead": "When in doubt, leave it: one bad load spoils the whole tank.",
        "steps": _steps(farm, LOAD_STEPS),
        "tables": [sources, pencil],
        "notes": [],
    }


def _batch(farm: CardFarm) -> Card:
    """Return the card for cleaning a batch."""
    process, unit = farm.inputs.process, farm.write.volume_unit
    batch, kept = float(process.batch_volume), 1.0 - float(process.loss_share)
    lead = (
        f"Plan: {farm.volume(batch)} of raw oil in, about {farm.volume(batch * kept)} of clean oil"
        f" out, {farm.write.hours(float(process.hours_per_batch))} of hands-on time."
    )
    rows = [
        [f.name, farm.volume(float(f.volume_per_element)), farm.write.cents(float(f.price))]
        for f in farm.inputs.filters
    ]
    filters: CardTable = {
        "caption": "Filters",
        "marked": [],
        "rows": rows,
        "heads": ["Filter", "Change after (raw oil)", "An element"],
    }
    pencil = _blank(
        "Write it down (cleaned)",
        [
            "Day",
            f"Raw in, {unit}",
            f"Clean out, {unit}",
            "Hours",
            "Filters",
            "Tests",
        ],
        7,
    )
    return {
        "key": "batch",
        "title": "Batch: raw oil to clean oil",
        "lead": lead,
        "steps": _steps(farm, BATCH_STEPS),
        "tables": [filters, pencil] if rows else [pencil],
        "notes": [],
    }


def _reading_mix(farm: CardFarm, index: int, oil: OilInputs, reading: float) -> MachineMix:
    hand = oil_at_hand(oil, JOB_TEMPERATURE, reading)
    machine = farm.inputs.machines[index].name
    return next(m for m in hand_mixes(farm.inputs, hand, farm.shares()) if m.machine == machine)


def _share_cell(season: Season) -> str:
    """Write a share in a table: a figure, or that the machine stays on pump fuel."""
    if season.action in (MIX, THIN):
        return percent(season.share)
    return {AS_IT_IS: "as it is", TOO_THICK_ALONE: "too thick"}.get(season.action, season.action)


def _volumes(season: Season, sizes: Sequence[float]) -> list[str]:
    share = season.share
    return ["" if share is None else f"{share * size:.1f}" for size in sizes]


def _mix_table(farm: CardFarm, index: int) -> tuple[CardTable, list[str]]:
    """Return a row a reading, the plan's own in bold; what is saved, how far rules differ."""
    oil, pool = main_oil(farm.inputs), pool_part(farm.inputs)
    plan = thickness(pool, JOB_TEMPERATURE)
    near = (r for r in _READINGS if 0.2 * plan < r < 2.0 * plan and abs(r / plan - 1.0) > 0.08)
    readings = sorted({*near, plan})
    mixes = {r: _reading_mix(farm, index, oil, r) for r in readings}
    sizes, unit = BLENDS[farm.write.units], farm.write.volume_unit
    both = len(mixes[plan].seasons) > 1
    heads = [f"Cup at {farm.degrees(_SHED)}", f"at {farm.degrees(JOB_TEMPERATURE)}"]
    for season in mixes[plan].seasons:
        word = f", {season_name(mixes[plan], season)}" if both else ""
        heads += [f"Thinner{word}", *(f"for {size:g}" for size in sizes)]
    rows = []
    for reading in readings:
        shed = thickness(oil_at_hand(oil, JOB_TEMPERATURE, reading), _SHED)
        row = [f"{shed:.0f}", f"{reading:.0f}"]
        for season in mixes[reading].seasons:
            row += [_share_cell(season), *_volumes(season, sizes)]
        rows.append(row)
    table: CardTable = {
        "caption": f"Cup in cSt; thinner in {unit} for so many {unit} of blend",
        "heads": heads,
        "rows": rows,
        "marked": [readings.index(plan)],
    }
    return table, [*_saved(farm, mixes, plan), *_apart(mixes)]


def _apart(mixes: dict[float, MachineMix]) -> Iterator[str]:
    """Say how far the blending rules in print lie from the shares given."""
    less, more = 0.0, 0.0
    for mix in mixes.values():
        for season in mix.seasons:
            if None not in (season.share, season.least, season.most):
                less = max(less, (season.share or 0.0) - (season.least or 0.0))
                more = max(more, (season.most or 0.0) - (season.share or 0.0))
    if max(less, more) >= 0.005:
        yield (
            f"Other blending rules in print give up to {100.0 * less:.0f} parts in a hundred less,"
            f" {100.0 * more:.0f} more."
        )


def _saved(farm: CardFarm, mixes: dict[float, MachineMix], plan: float) -> Iterator[str]:
    """Say what a cup saves: less thinner a drum than the plan's oil would take."""
    thin = [r for r in mixes if r < 0.6 * plan and mixes[r].seasons[0].share is not None]
    usual = mixes[plan].seasons[0].share
    if not thin or usual is None:
        return
    reading = max(thin)
    drum = BLENDS[farm.write.units][-1]
    less = (usual - (mixes[reading].seasons[0].share or 0.0)) * drum
    yield (
        f"What the cup saves: measured {reading:.0f} instead of {plan:.0f} at"
        f" {farm.degrees(JOB_TEMPERATURE)}, {less:.0f} {farm.write.volume_unit} less thinner for"
        f" {drum:g} {farm.write.volume_unit} of blend."
    )


def _mix(farm: CardFarm, index: int) -> Card:
    """Return the card for one machine's blend."""
    machine, unit = farm.inputs.machines[index], farm.write.volume_unit
    table, words = _mix_table(farm, index)
    if machine.thinner is None:
        lead = "Clean oil alone, no thinner. The row in bold is the oil as the plan has it."
    else:
        lead = (
            f"Thinner: {farm.inputs.thinners[machine.thinner].name}. The row in bold is the oil as"
            " the plan has it."
        )
    pencil = _blank(
        "Write it down (mixed, burned)",
        ["Day", f"Clean oil, {unit}", f"Thinner, {unit}", "Cup, cSt", "Hour meter"],
        3,
    )
    return {
        "key": "mix",
        "title": f"Mix: {machine.name}",
        "lead": " ".join([lead, *words]),
        "steps": _steps(farm, MIX_STEPS, machine),
        "tables": [table, pencil],
        "notes": how_sure(farm, None),
    }


def _thinners_used(farm: CardFarm) -> list[str]:
    """Name the thinners that a typical year uses, in the file's order."""
    inputs, machines = farm.inputs, farm.result.expected.typical.machines
    used = {
        m.thinner
        for m, y in zip(inputs.machines, machines, strict=True)
        if m.thinner is not None and float(y.thinner) > 0.0
    }
    return [inputs.thinners[k].name for k in sorted(used)]


def _quarters(farm: CardFarm) -> CardTable:
    """Return thinner, filters and tests by quarter, with money."""
    outcome, inputs = farm.result.expected, farm.inputs
    months, names = outcome.typical.months, _thinners_used(farm)
    costs, money = outcome.typical.costs, farm.write.money

    def parted(key: str, amounts: list[float]) -> list[str]:
        """Part a year's cost as the amounts of its quarters, the year last."""
        whole = sum(amounts)
        parts = (float(costs[key]) * v / whole if whole > 0.0 else 0.0 for v in amounts)
        return [*(money(v) for v in parts), money(float(costs[key]))]

    rows: list[list[str]] = []
    quarters = [months[k : k + 3] for k in range(0, 12, 3)]
    cleaned = [sum(float(m.processed) for m in quarter) for quarter in quarters]
    thin = [sum(float(m.thinner) for m in quarter) for quarter in quarters]
    if names:
        name = names[0] if len(names) == 1 else "Thinner, all kinds"
        rows.append([name, *(farm.volume(v) for v in thin), farm.volume(sum(thin))])
        rows.append(["  money", *parted("thinner", thin)])
    for entry in inputs.filters:
        each = [v / float(entry.volume_per_element) for v in cleaned]
        rows.append([f"{entry.name}, elements", *(f"{n:.1f}" for n in each), f"{sum(each):.1f}"])
    for key, label in (("filters", "Filters, money"), ("tests", "Tests, money")):
        if float(costs[key]) > 0.0:
            rows.append([label, *parted(key, cleaned)])
    heads = ["", *(f"{MONTHS[k]} to {MONTHS[k + 2]}" for k in range(0, 12, 3)), "Year"]
    return {
        "caption": "What a typical year takes, by quarter",
        "heads": heads,
        "rows": rows,
        "marked": [],
    }


def _buying(farm: CardFarm) -> Card:
    """Return the card for buying."""
    pencil = _blank("Write it down (bought)", ["Day", "What", "Volume or pieces", "Paid"], 7)
    return {
        "key": "buying",
        "title": "Buying",
        "lead": "Figures are a typical year's, on average.",
        "steps": [*_ties(farm), *_steps(farm, BUYING_STEPS)],
        "tables": [_quarters(farm), pencil],
        "notes": [],
    }


def _ties(farm: CardFarm) -> Iterator[CardStep]:
    """Say until which price the plan's thinners stay the ones to buy."""
    from econ.questions.thinners import whole_farm
    from econ.questions.tie_prices import tie_prices

    whole = whole_farm(farm.inputs)
    used = {
        farm.inputs.thinners[m.thinner].name
        for m in farm.inputs.machines
        if m.thinner is not None and float(m.blend_share) > 0.0
    }
    ties = () if whole is None else tie_prices(whole)
    for name in sorted(used):
        fit = [t for t in ties if t.moved == name and t.against is not None and t.keeps_more_below]
        near = min((t for t in fit if np.isfinite(t.price)), key=lambda t: t.price, default=None)
        if near is None or near.against is None:
            continue
        price = farm.write.price(float(near.price) * farm.litres)
        now = farm.write.price(float(near.now) * farm.litres)
        other = near.against.replace("Each machine's", "each machine's")
        text = f"Buy {name} while it costs below {price} (now {now}), else {other}."
        yield {"text": text, "cautions": []}


def cards_document(result: Answer) -> CardsDocument:
    """Return the cards of a farm.

    Parameters
    ----------
    result : Answer
        The farm worked through.

    Returns
    -------
    CardsDocument
        A load, a batch, a mix for each machine that may burn blend, and buying.

    Raises
    ------
    ScenarioError
        If no oil is listed.
    """
    farm = card_farm(result)
    refuse_without_oil(result)
    header = result.scenario.scenario
    mixes = [
        _mix(farm, k)
        for k, machine in enumerate(farm.inputs.machines)
        if float(machine.blend_share) > 0.0 and machine.fit.key != "excluded"
    ]
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        "cards": [_load(farm), _batch(farm), *mixes, _buying(farm)],
    }
