"""Saving as users meet it: two at once, an editor beside, permissions, links, marks, names."""

import copy
import os
import shutil
import stat
import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest
from savers import TAMSEL, save_in, save_once, with_wage

from dashboards.command import main
from dashboards.web.documents import (
    MOST_FILES,
    ChangedOnDiskError,
    Folder,
    open_farm,
    save,
    save_as,
)
from dashboards.web.pages.farm import layout
from econ.farm import files, writing
from econ.farm.editing import changed, edited
from econ.farm.files import load
from econ.ground.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
posix = pytest.mark.skipif(os.name != "posix", reason="permissions and links of POSIX")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    for path in SCENARIOS.glob("*.toml"):
        shutil.copyfile(path, tmp_path / path.name)
    return Folder(tmp_path)


def test_of_two_tabs_that_save_at_once_one_is_told(folder: Folder) -> None:
    for turn in range(20):
        stamp = open_farm(folder, TAMSEL).stamp
        gate = threading.Barrier(4)

        def tab(wage: int, stamp: str = stamp, gate: threading.Barrier = gate) -> bool:
            gate.wait()
            return save_once(folder, stamp, wage)

        with ThreadPoolExecutor(4) as pool:
            saved = list(pool.map(tab, range(30 + 4 * turn, 34 + 4 * turn)))
        assert sum(saved) == 1
        kept = 30 + 4 * turn + saved.index(True)
        assert load(folder.path / TAMSEL).labour.wage == kept


def test_of_two_processes_that_save_at_once_one_is_told(folder: Folder) -> None:
    # A pool that breaks where its processes cannot start, instead of waiting for ever.
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        for turn in range(10):
            stamp = open_farm(folder, TAMSEL).stamp
            rows = [(str(folder.path), stamp, 40 + 2 * turn + k) for k in range(2)]
            saved = list(pool.map(save_in, *zip(*rows, strict=True)))
            assert sum(saved) == 1
            assert load(folder.path / TAMSEL).labour.wage == 40 + 2 * turn + saved.index(True)


def test_what_an_editor_wrote_in_the_meantime_is_not_lost(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An editor knows no lock: it writes between the reading and the replacing."""
    path = folder.path / TAMSEL
    edits = path.read_bytes() + b"\n# by hand\n"
    beside = writing.write_beside

    def late(place: Path, content: bytes) -> Path:
        made = beside(place, content)
        path.write_bytes(edits)
        return made

    monkeypatch.setattr(writing, "write_beside", late)
    with pytest.raises(ChangedOnDiskError):
        with_wage(folder, TAMSEL, 31)
    assert path.read_bytes() == edits
    assert not list(folder.path.glob(".*"))


def test_a_change_to_what_a_farm_extends_is_noticed(folder: Folder) -> None:
    """Else the old inherited value would be written into the farm as its own, unsaid."""
    opened = open_farm(folder, "quillmere-kerosene.toml")
    base = folder.path / "quillmere.toml"
    text = base.read_text(encoding="utf-8")
    assert "farm_diesel = { low = 3.00, likely = 4.10, high = 5.00 }" in text
    base.write_text(text.replace("likely = 4.10", "likely = 4.20"), encoding="utf-8")

    with pytest.raises(ChangedOnDiskError):
        save(folder, "quillmere-kerosene.toml", opened.stamp, opened.document)


def test_a_save_that_does_not_end_is_said(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writing, "PATIENCE", 0.1)
    stamp = open_farm(folder, TAMSEL).stamp
    with writing.locked(folder.path), pytest.raises(ScenarioError, match="another save"):
        with_wage(folder, TAMSEL, 31, stamp)


@posix
@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_a_new_file_has_the_permissions_of_the_umask(tmp_path: Path, mask: int, mode: int) -> None:
    before = os.umask(mask)
    try:
        assert main(["new", str(tmp_path / "mine.toml")]) == 0
        assert main(["present", str(tmp_path / "mine.toml"), "--to", str(tmp_path / "a.csv")]) == 0
    finally:
        os.umask(before)
    for name in ("mine.toml", "a.csv"):
        assert stat.S_IMODE((tmp_path / name).stat().st_mode) == mode


@posix
def test_permissions_and_links_stay_as_they_were(folder: Folder) -> None:
    path, link = folder.path / TAMSEL, folder.path / "link.toml"
    path.chmod(0o640)
    link.symlink_to(TAMSEL)
    with_wage(folder, "link.toml", 33)

    assert link.is_symlink()
    assert load(path).labour.wage == 33
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@posix
def test_force_keeps_a_link_and_its_permissions(folder: Folder) -> None:
    real, link = folder.path / "real.csv", folder.path / "link.csv"
    real.write_text("old", encoding="utf-8")
    real.chmod(0o600)
    link.symlink_to("real.csv")
    words = ["present", str(folder.path / TAMSEL), "--to", str(link)]

    assert main(words) == 2
    assert real.read_text(encoding="utf-8") == "old"
    assert main([*words, "--force"]) == 0
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") != "old"
    assert stat.S_IMODE(real.stat().st_mode) == 0o600


@posix
def test_a_write_protected_file_is_left_alone(folder: Folder) -> None:
    path = folder.path / TAMSEL
    before = path.read_bytes()
    path.chmod(0o444)
    with pytest.raises(ScenarioError, match="write-protected"):
        with_wage(folder, TAMSEL, 33)
    assert path.read_bytes() == before


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_marks_line_ends_and_comments_stay(folder: Folder, mark: bytes, end: bytes) -> None:
    path = folder.path / TAMSEL
    lines = path.read_bytes().split(b"\n")
    path.write_bytes(mark + end.join(lines))
    opened = open_farm(folder, TAMSEL)
    document, _ = changed(copy.deepcopy(opened.document), "copy", "oils.0")
    save(folder, TAMSEL, opened.stamp, document)

    after = path.read_bytes()
    assert after.startswith(mark)
    assert (after.count(b"\r\n") == after.count(b"\n")) == (end == b"\r\n")
    assert after.count(b"\r") == (after.count(b"\n") if end == b"\r\n" else 0)
    kept = after.removeprefix(mark).split(end)
    assert [line for line in lines if line.startswith(b"#") and line not in kept] == []
    assert open_farm(folder, TAMSEL).document == document


def test_what_a_killed_save_left_goes_with_the_next(folder: Folder) -> None:
    left = writing.write_beside(folder.path / TAMSEL, b"half")
    other = writing.write_beside(folder.path / "quillmere.toml", b"half")
    with_wage(folder, TAMSEL, 33)

    assert not left.exists()
    assert other.exists()


NOTED = """
[scenario.sources]
"thinners.{name}.price" = "bill" # the pump's slip
"labour.wage" = "guess"
"""


@pytest.fixture
def noted(folder: Folder) -> tuple[Folder, str]:
    """Return a folder and a farm's name whose first thinner has a note on its price."""
    path = folder.path / TAMSEL
    text = path.read_text(encoding="utf-8")
    name = str(load(path).thinners[0].name)
    head = text.split("[scenario.sources]")[0]
    rest = text.split("[prices]", 1)[1]
    path.write_text(f"{head}{NOTED.format(name=name).strip()}\n\n[prices]{rest}", encoding="utf-8")
    return folder, name


def typed(document: dict[str, object], path: str, start: str, end: str) -> dict[str, object]:
    """Rename as a person does: take a name away sign by sign, then type another."""
    steps = [start[:k] for k in range(len(start) - 1, 0, -1)]
    for text in [*steps, *(end[: k + 1] for k in range(len(end)))]:
        document = edited(document, {path: text}) or document
    return document


@pytest.mark.parametrize("new", ["Kero from the co-op", "Second offer"])
def test_a_note_moves_with_the_name(noted: tuple[Folder, str], new: str) -> None:
    folder, name = noted
    opened = open_farm(folder, TAMSEL)
    document = typed(opened.document, "thinners.0.name", name, new)
    save(folder, TAMSEL, opened.stamp, document)

    result = load(folder.path / TAMSEL)
    assert result.scenario.sources == {f"thinners.{new}.price": "bill", "labour.wage": "guess"}
    assert name not in {machine.thinner for machine in result.machines}
    assert '"guess"' in (folder.path / TAMSEL).read_text(encoding="utf-8")


def test_a_note_comes_through_the_name_of_another_entry(noted: tuple[Folder, str]) -> None:
    """Half way to its new name the entry is called as another one is."""
    folder, name = noted
    document = open_farm(folder, TAMSEL).document
    document = {
        **document,
        "thinners": [*document["thinners"], {**document["thinners"][0], "name": "Half"}],
    }
    document["scenario"]["sources"]["thinners.Half.price"] = "quote"
    users = [m.get("thinner") for m in document["machines"]]
    result = typed(document, "thinners.0.name", name, "Half way")

    assert result["scenario"]["sources"] == {
        "thinners.Half way.price": "bill",
        "labour.wage": "guess",
        "thinners.Half.price": "quote",
    }
    assert [m.get("thinner") for m in result["machines"]] == [
        "Half way" if user == name else user for user in users
    ]


def test_a_note_goes_with_its_entry(noted: tuple[Folder, str]) -> None:
    folder, name = noted
    opened = open_farm(folder, TAMSEL)
    document = copy.deepcopy(opened.document)
    document, _ = changed(document, "copy", "thinners.0")
    document["thinners"][-1]["name"] = "Another"
    for machine in document["machines"]:
        if machine.get("thinner") == name:
            machine["thinner"] = "Another"
    document, _ = changed(document, "remove", "thinners.0")
    save(folder, TAMSEL, opened.stamp, document)

    assert load(folder.path / TAMSEL).scenario.sources == {"labour.wage": "guess"}


def test_an_inherited_note_goes_with_its_entry(noted: tuple[Folder, str]) -> None:
    folder, name = noted
    over = folder.path / "over.toml"
    over.write_text(
        f'[scenario]\ntitle = "over"\nextends = "{TAMSEL}"\n\n[remove]\nthinners = ["{name}"]\n'
        + "".join(
            f'\n[[machines]]\nname = "{m.name}"\nblend_share = 0\nthinner = "x"\n'
            for m in load(folder.path / TAMSEL).machines
        )
        + '\n[[thinners]]\nname = "x"\nkind = "kerosene"\nprice = 4\n',
        encoding="utf-8",
    )
    assert set(load(over).scenario.sources) == {"labour.wage"}


NAMES = ("my farm.toml", "Gehöft.toml", "o'hara.toml", "_mine.toml", "a" * 120 + ".toml",
         "ферма.toml", "x & y <1>.toml", "100%.toml", "#1.toml", "FARM.TOML")  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_farm_of_any_ordinary_name_is_offered_opened_and_saved(folder: Folder, name: str) -> None:
    shutil.copyfile(SCENARIOS / TAMSEL, folder.path / name)

    assert name in folder.names()
    with_wage(folder, name, 37)
    assert load(folder.path / name).labour.wage == 37


@posix
def test_what_is_not_offered_is_named_with_the_reason(folder: Folder, tmp_path: Path) -> None:
    place = folder.path
    outside = tmp_path.parent / f"{tmp_path.name}-outside.toml"
    shutil.copyfile(SCENARIOS / TAMSEL, outside)
    (place / "out.toml").symlink_to(outside)
    (place / "gone.toml").symlink_to("nowhere.toml")
    (place / "round.toml").symlink_to("round.toml")
    (place / "folder.toml").mkdir()
    (place / ".hidden.toml").write_text("", encoding="utf-8")
    (place / "bell\x07.toml").write_text("", encoding="utf-8")
    os.mkfifo(place / "pipe.toml")

    listing = folder.listing()
    reasons = dict(listing.left_out)
    assert set(reasons) == {
        "out.toml",
        "gone.toml",
        "round.toml",
        "folder.toml",
        ".hidden.toml",
        "bell\\x07.toml",
        "pipe.toml",
    }
    assert "outside this folder" in reasons["out.toml"]
    assert "link to nothing" in reasons["gone.toml"]
    assert "circle" in reasons["round.toml"]
    assert "no ordinary file" in reasons["folder.toml"]
    assert "no ordinary file" in reasons["pipe.toml"]
    assert set(listing.names) == {path.name for path in SCENARIOS.glob("*.toml")}


def test_more_farms_than_are_offered_are_named(tmp_path: Path) -> None:
    for k in range(MOST_FILES + 2):
        (tmp_path / f"{k:04}.toml").touch()
    listing = Folder(tmp_path).listing()

    assert len(listing.names) == MOST_FILES
    assert [name for name, _ in listing.left_out] == ["1000.toml", "1001.toml"]
    assert "only the first 1,000" in listing.left_out[0][1]


@pytest.mark.parametrize("name", ["con.toml", "a:b.toml", " a.toml", "a .toml", "what?.toml"])
def test_a_new_name_that_some_system_refuses_is_refused_in_words(folder: Folder, name: str) -> None:
    opened = open_farm(folder, TAMSEL)
    with pytest.raises(ValueError, match="the file is not offered"):
        save_as(folder, name, TAMSEL, {}, opened.document)
    assert not (folder.path / name).exists()


def test_two_new_files_of_one_name_at_once_leave_one(tmp_path: Path) -> None:
    gate = threading.Barrier(8)

    def make(text: str) -> bool:
        gate.wait()
        try:
            files.write_new(tmp_path / "new.toml", text)
        except ScenarioError:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(make, [str(k) for k in range(8)]))
    assert sum(made) == 1
    assert (tmp_path / "new.toml").read_text(encoding="utf-8") == str(made.index(True))
    assert [path.name for path in tmp_path.iterdir()] == ["new.toml"]


@posix
def test_the_farm_page_names_what_is_not_offered(folder: Folder) -> None:
    assert "not offered" not in str(layout(folder, {}))
    (folder.path / "gone.toml").symlink_to("nowhere.toml")

    told = str(layout(folder, {}))
    assert "1 file is not offered here" in told
    assert "gone.toml: it is a link to nothing" in told
