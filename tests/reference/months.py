"""Month by month: oil collected, cleaned and burned, in the first and in the typical year."""

import math

from reference.farm import Farm
from reference.reading import Document


def burn(farm: Farm, order: list[int], month: int, clean: float) -> tuple[dict[int, float], bool]:
    """Oil taken by each machine, and whether thinner ran out while there was oil for it."""
    left = {t["name"]: t["available"] for t in farm.thinners}
    taken, short = {}, False
    for index in order:
        want = wanted(farm, index, month)
        if want is None:
            continue
        m = farm.machines[index]
        x = m["x"][farm.season(month)]
        take = min(want, clean)
        limited = m["thinner"] is not None and left[m["thinner"]["name"]] is not None and x > 0
        if limited:
            allowed = left[m["thinner"]["name"]] * (1 - x) / x
            if allowed < take:
                short = True
                take = allowed
        if take < 1e-9 * want:
            take = 0.0
        if limited:
            left[m["thinner"]["name"]] = max(0.0, left[m["thinner"]["name"]] - take * x / (1 - x))
        clean -= take
        taken[index] = take
    return taken, short


def wanted(farm: Farm, index: int, month: int) -> float | None:
    m = farm.machines[index]
    x = m["x"][farm.season(month)]
    if month not in m["months"] or x is None:
        return None
    diesel = m["fuel"] * m["use"][month - 1] * m["blend_share"]
    return diesel * m["R"][farm.season(month)] * (1 - x)


def simulate_year(
    farm: Farm, order: list[int], raw: float, clean: float, share: float = 1.0
) -> Document:
    usable = [oil["usable"] * share for oil in farm.oils]
    if farm.month_hours is not None:
        whole = sum(u * o["hours"] for u, o in zip(usable, farm.oils, strict=True))
        whole += sum(usable) / farm.batch * farm.hours_per_batch
        scale = min(1.0, farm.month_hours / whole) if whole > 0 else 1.0
        usable = [u * scale for u in usable]
    year = {
        "start": (raw, clean),
        "oils": [0.0] * len(farm.oils),
        "processed": 0.0,
        "months": [],
        "oil": [0.0] * len(farm.machines),
        "blend": [0.0] * len(farm.machines),
        "thinner": [0.0] * len(farm.machines),
        "replaced": [0.0] * len(farm.machines),
    }
    cuts, holds = [], []
    for month in range(1, 13):
        taken = [0.0] * len(farm.oils)
        for own in (True, False):
            for k, oil in enumerate(farm.oils):
                if oil["own"] == own:
                    taken[k] = min(usable[k], max(0.0, farm.raw_room - raw))
                    raw += taken[k]
        hauling = sum(t * o["hours"] for t, o in zip(taken, farm.oils, strict=True))
        capacity = math.inf
        if farm.max_batches is not None:
            capacity = farm.max_batches * farm.batch
        if farm.month_hours is not None and farm.hours_per_batch > 0:
            spare = max(0.0, farm.month_hours - hauling)
            capacity = min(capacity, spare / farm.hours_per_batch * farm.batch)
        burnable = sum(burn(farm, order, month, math.inf)[0].values())
        room = max(0.0, burnable + farm.clean_room - clean) / (1 - farm.loss)
        processed = min(raw, capacity, room)
        # Hours that scale the collection leave just time enough to clean it, but for rounding.
        held = capacity < raw * (1 - 1e-9)
        raw -= processed
        clean += processed * (1 - farm.loss)
        burned, short = burn(farm, order, month, max(0.0, clean - farm.held_back))
        clean = max(0.0, clean - sum(burned.values()))
        want = sum(wanted(farm, k, month) or 0.0 for k in order)
        row = {
            "month": month,
            "wanted": want,
            "collected": sum(taken),
            "processed": processed,
            "raw_end": raw,
            "clean_end": clean,
            "oil_used": sum(burned.values()),
            "thinner": 0.0,
            "blend": 0.0,
            "fuel_replaced": 0.0,
            "hours": hauling + processed / farm.batch * farm.hours_per_batch,
        }
        for k, oil_taken in burned.items():
            m = farm.machines[k]
            x, ratio = m["x"][farm.season(month)], m["R"][farm.season(month)]
            blend = oil_taken / (1 - x)
            for key, total, amount in (
                ("blend", "blend", blend),
                ("thinner", "thinner", blend * x),
                ("fuel_replaced", "replaced", blend / ratio),
            ):
                row[key] += amount
                year[total][k] += amount
            year["oil"][k] += oil_taken
        year["processed"] += processed
        year["oils"] = [a + b for a, b in zip(year["oils"], taken, strict=True)]
        year["months"].append(row)
        cuts.append(sum(taken) < sum(usable) * (1 - 1e-9))
        unmet = want - row["oil_used"] > 1e-3 * want
        reason = "thinner" if short else "capacity" if held else "oil"
        holds.append(reason if unmet else "need")
    scarce = "oil" in holds or "capacity" in holds
    for row, hold, cut in zip(year["months"], holds, cuts, strict=True):
        row["bottleneck"] = "storage" if hold == "need" and cut and scarce else hold
    year["end"] = (raw, clean)
    return year


def simulate(farm: Farm, order: list[int]) -> tuple[Document, Document]:
    first = simulate_year(farm, order, 0.0, 0.0, farm.first_year_share)
    # Stores that only fill up again after a thin first year do not count as filling slowly:
    # the typical year is settled as if the whole promise had turned up from the start.
    whole = simulate_year(farm, order, 0.0, 0.0)
    second = simulate_year(farm, order, *whole["end"])
    collected = sum(second["oils"])
    raw_grew = second["end"][0] - second["start"][0] > 1e-6 * collected
    clean_grew = second["end"][1] - second["start"][1] > 1e-6 * collected
    raw, clean = second["end"]
    if clean_grew:
        raw, clean = farm.raw_room, farm.clean_room
    elif raw_grew:
        raw = farm.raw_room
    settling = simulate_year(farm, order, raw, clean)
    return first, simulate_year(farm, order, *settling["end"])
