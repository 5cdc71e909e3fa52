"""A plan as a farm file of its own: it extends the user's and says only what the plan decides.

>>> import tomllib
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["wrenfold"])
>>> inputs, words = prepare(farm), {"title": "Our own oil alone", "note": "To try first."}
>>> burn = tuple(machine.may_burn for machine in inputs.machines)
>>> text = plan_file(farm, farm.path.with_name("own.toml"), (0, (0,)), inputs, burn, words)
>>> len(tomllib.loads(text)["remove"]["oils"]) == len(farm.oils) - 1
True
"""

import os
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
import tomlkit

from econ.farm.schema import Scenario
from econ.model.inputs import Inputs, MachineInputs


def _text(value: str | float | list[str] | list[int]) -> str:
    """Write a value as TOML."""
    return tomlkit.item(value).as_string()


def _removed(scenario: Scenario, setup: int, oils: tuple[int, ...]) -> Iterator[str]:
    """Leave out the other set-ups and the sources that are not taken."""
    setups = [entry.name for k, entry in enumerate(scenario.setups) if k != setup]
    left = [oil.name for k, oil in enumerate(scenario.oils) if k not in oils]
    if not setups and not left:
        return
    yield ""
    yield "# What is removed takes along the kit and the bills that hang on nothing else."
    yield "[remove]"
    if setups:
        yield f"setups = {_text(setups)}"
    if left:
        yield f"oils = {_text(left)}"


def _shares(machine: MachineInputs, inputs: Inputs, own: str) -> Iterator[str]:
    """Write the thinner that takes the place of a machine's own, at the share for the same job."""
    if machine.thinner is None:
        return
    yield f"thinner = {_text(inputs.thinners[machine.thinner].name)}"
    if machine.thinner_share is None or machine.thinner_share_winter is None:
        return
    warm, cold = float(machine.thinner_share), float(machine.thinner_share_winter)
    thin = [not np.isnan(cold if winter else warm) for winter in inputs.winter_months]
    shares = [share for share in (warm, cold) if not np.isnan(share)]
    if shares:
        yield f"# The share that makes the blend as thin as {own} does."
        yield f"thinner_share = {_text(warm if not np.isnan(warm) else shares[0])}"
        yield f"thinner_share_winter = {_text(cold if not np.isnan(cold) else shares[0])}"
    if not all(thin):
        months = [m + 1 for m in range(12) if thin[m] and machine.blend_months[m]]
        yield "# This thinner is too thick by itself in the other months."
        yield f"blend_months = {_text(months)}"


def _machines(scenario: Scenario, inputs: Inputs, may_burn: tuple[bool, ...]) -> Iterator[str]:
    """Write what each machine burns, where it is not what the user's file says."""
    for written, machine, could in zip(scenario.machines, inputs.machines, may_burn, strict=True):
        name = None if machine.thinner is None else inputs.thinners[machine.thinner].name
        if could and not machine.may_burn:
            lines = ["# Stays on pump fuel.", "blend_share = 0.0"]
        elif machine.may_burn and name != written.thinner:
            lines = list(_shares(machine, inputs, str(written.thinner)))
        else:
            continue
        yield from ("", "[[machines]]", f"name = {_text(machine.name)}", *lines)


def plan_file(
    scenario: Scenario,
    path: Path,
    decided: tuple[int, tuple[int, ...]],
    inputs: Inputs,
    may_burn: tuple[bool, ...],
    says: Mapping[str, str],
) -> str:
    """Write a plan as a farm file that extends the user's.

    Parameters
    ----------
    scenario : Scenario
        The user's farm.
    path : Path
        Where the plan is to stand; `extends` is written from there.
    decided : (int, tuple of int)
        The set-up, and the sources taken.
    inputs : Inputs
        The plan at expected values.
    may_burn : tuple of bool
        Which machines burn blend in the user's file.
    says : mapping of str to str
        "title", and "note": what the file is, in a line or two.

    Returns
    -------
    str
        TOML, with comments.
    """
    base = os.path.relpath(scenario.path.resolve(), path.resolve().parent)
    setup, oils = decided
    lines = [
        *(f"# {line}" for line in says["note"].splitlines()),
        "[scenario]",
        f"title = {_text(says['title'])}",
        f"note = {_text(says['note'])}",
        f"extends = {_text(Path(base).as_posix())}",
        *_removed(scenario, setup, oils),
        *_machines(scenario, inputs, may_burn),
    ]
    return "\n".join(lines) + "\n"
