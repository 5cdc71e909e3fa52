"""Saves as two tabs or two processes make them: a process of its own must be able to import it."""

import copy
from pathlib import Path

from dashboards.web.documents import ChangedOnDiskError, Folder, open_farm, save

TAMSEL = "tamsel-pumps.toml"


def with_wage(folder: Folder, name: str, wage: int, stamp: str | None = None) -> str:
    opened = open_farm(folder, name)
    document = copy.deepcopy(opened.document)
    document["labour"]["wage"] = wage
    return save(folder, name, stamp or opened.stamp, document)


def save_once(folder: Folder, stamp: str, wage: int) -> bool:
    try:
        with_wage(folder, TAMSEL, wage, stamp)
    except ChangedOnDiskError:
        return False
    return True


def save_in(place: str, stamp: str, wage: int) -> bool:
    return save_once(Folder(Path(place)), stamp, wage)
