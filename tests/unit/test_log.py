"""Reading and adding to a log: what counts, what is told, what is refused."""

import datetime
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from econ.farm.files import load
from econ.farm.log import Log
from econ.farm.log_reading import read_log
from econ.farm.log_writing import add_row
from econ.farm.schema import Scenario
from econ.ground.errors import ScenarioError

HEADER = "id,date,what,which,volume [gal],left [gal],hours,money,count,reading [cSt at 40 °C],note"
HERE = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def farm() -> Scenario:
    return load(HERE.parent / "scenarios" / "tamsel-pumps.toml")


def read(tmp_path: Path, farm: Scenario, text: str, encoding: str = "utf-8") -> Log:
    path = tmp_path / "log.csv"
    path.write_bytes(text.encode(encoding))
    return read_log(path, farm)


def faults(log: Log) -> list[str]:
    return [f"{p.where}: {p.message}" for p in log.faults]


def test_the_same_rows_are_read_from_every_way_a_spreadsheet_writes_them(
    tmp_path: Path, farm: Scenario
) -> None:
    comma = f"{HEADER}\n1,2026-03-02,fetched,Fleet yard next door,55.5,2,1.1,,,,first\n"
    semicolon = comma.replace(",", ";").replace("55.5", "55,5").replace("1.1", "1,1")
    tab = comma.replace(",", "\t")

    expected = read(tmp_path, farm, comma).rows
    assert expected[0].volume == 55.5
    assert expected[0].left == 2.0
    for text in (
        semicolon,
        tab,
        "\ufeff" + comma,
        comma.replace("\n", "\r\n"),
        comma.replace("55.5", '"55,5"').replace("1.1", '"1,1"'),
    ):
        log = read(tmp_path, farm, text)
        assert log.rows == expected
        assert log.faults == ()


def test_volumes_are_converted_from_the_header_s_unit(tmp_path: Path, farm: Scenario) -> None:
    text = HEADER.replace("left [gal]", "left [L]")
    log = read(tmp_path, farm, f"{text}\n1,2026-03-02,cleaned,,10,37.85411784,,,,,\n")

    assert log.rows[0].volume == 10.0
    # 231 cubic inches: 3.785411784 L; nist_sp811, appendix B.
    assert log.rows[0].left == pytest.approx(10.0, rel=1e-12)


def test_bad_rows_are_all_named_and_the_others_still_count(tmp_path: Path, farm: Scenario) -> None:
    text = "\n".join(
        [
            HEADER,
            "1,2026-03-02,fetched,Fleet yard next door,55,,,,,,",
            "2,02.03.2026,fetchd,Fleet yard,x,,,,,,",
            '3,2026-03-02,fetched,"Fleet yard next door,55,,,,,,',
            "1,2026-03-05,tested,raw,,,,,,,",
            "5,2026-03-06,cleaned,batch 1,240,,,,,,",
            "6,2026-03-07,burned,Lift pump,5,,,,,,",
            "7,2026-03-07,bought,farm diesel,-5,,,20,,,",
            "8,2026-03-07,repaired,Nozzle set,,,,20,,,",
            "9,2026-03-08,tested,raw,,,,,,12,",
            "",
        ]
    )
    log = read(tmp_path, farm, text)

    assert [row.id for row in log.rows] == [1, 9]
    told = faults(log)
    assert [line.partition(":")[0] for line in told] == [
        "line 3, date",
        "line 3, what",
        "line 3, volume",
        "line 4",
        "line 5, id",
        "line 6, left",
        "line 7, which",
        "line 8, volume",
        "line 9, which",
    ]
    assert "did you mean fetched?" in told[1]
    assert "stands on line 2 already" in told[4]
    assert "did you mean Lift pump" in told[6]


def test_a_torn_last_line_is_told_and_does_not_count(tmp_path: Path, farm: Scenario) -> None:
    whole = f"{HEADER}\n1,2026-03-02,tested,raw,,,,,,,\n"
    log = read(tmp_path, farm, whole + "2,2026-03-03,fetched,Fleet yard next door,5")

    assert [row.id for row in log.rows] == [1]
    assert log.torn == "2,2026-03-03,fetched,Fleet yard next door,5"


def test_adding_puts_a_torn_line_aside_and_keeps_it(tmp_path: Path, farm: Scenario) -> None:
    path = tmp_path / "log.csv"
    torn = "2,2026-03-03,fetched,Fleet yard next door,5"
    path.write_text(f"{HEADER}\n1,2026-03-02,tested,raw,,,,,,,\n{torn}", encoding="utf-8")
    added = add_row(path, farm, {"date": "2026-03-04", "what": "tested", "which": "raw"})

    assert added.set_aside == tmp_path / "log.csv.torn"
    assert (tmp_path / "log.csv.torn").read_text(encoding="utf-8") == torn + "\n"
    assert [row.id for row in read_log(path, farm).rows] == [1, 2]


def test_rows_act_by_day_then_number_and_a_dip_after_its_day(
    tmp_path: Path, farm: Scenario
) -> None:
    text = "\n".join(
        [
            HEADER,
            "4,2026-03-03,tested,raw,,,,,,,",
            "1,2026-03-03,dipped,raw,40,,,,,,",
            "3,2026-03-03,tested,raw,,,,,,,a",
            "2,2026-03-01,tested,raw,,,,,,,",
            "",
        ]
    )
    assert [row.id for row in read(tmp_path, farm, text).rows] == [2, 3, 4, 1]


def test_an_undone_row_is_as_if_it_had_never_been(tmp_path: Path, farm: Scenario) -> None:
    text = "\n".join(
        [
            HEADER,
            "1,2026-03-03,tested,raw,,,,,,,",
            "2,2026-03-03,nonsense,raw,,,,,,,",
            "3,2026-04-01,undone,1,,,,,,,",
            "4,2026-04-01,undone,2,,,,,,,",
            "5,2026-04-01,undone,3,,,,,,,",
            "6,2026-04-01,undone,1,,,,,,,",
            "7,2026-04-01,undone,99,,,,,,,",
            "",
        ]
    )
    log = read(tmp_path, farm, text)

    assert log.rows == ()
    assert [row.id for row in log.undone] == [1]
    assert faults(log) == [
        "line 6, which: an undoing is not itself undone; write the row anew",
        "line 7, which: that row is undone already",
        "line 8, which: there is no row of that number",
    ]


def test_the_same_row_twice_is_suspected_and_counts(tmp_path: Path, farm: Scenario) -> None:
    row = "2026-03-02,fetched,Fleet yard next door,55,,,,,,"
    log = read(tmp_path, farm, f"{HEADER}\n1,{row}\n2,{row}\n3,{row}x\n")

    assert [(a.id, b.id) for a, b in log.suspects] == [(1, 2)]
    assert len(log.rows) == 3


@pytest.mark.parametrize(
    ("figure", "message"),
    [
        ('"1,250"', "a thousand or a decimal"),
        ("1e400", "up to 1,000,000,000"),
        ("nan", "a plain number"),
        ("12 gal", "a plain number"),
    ],
)
def test_figures_that_could_be_misread_are_refused(
    tmp_path: Path, farm: Scenario, figure: str, message: str
) -> None:
    row = f"1,2026-03-02,fetched,Fleet yard next door,{figure},,,,,,"
    log = read(tmp_path, farm, f"{HEADER}\n{row}\n")

    assert log.rows == ()
    assert message in log.faults[0].message


def test_a_file_of_decimal_commas_refuses_points(tmp_path: Path, farm: Scenario) -> None:
    text = f"{HEADER}\n1,2026-03-02,dipped,raw,55.5,,,,,,\n2,2026-03-02,dipped,raw,1.250,,,,,,\n"
    text = text.replace(",", ";").replace("55.5", "55,5")
    log = read(tmp_path, farm, text)

    assert [row.volume for row in log.rows] == [55.5]
    assert "decimals with a comma" in log.faults[0].message


@pytest.mark.parametrize(
    ("header", "message"),
    [
        (HEADER.replace("volume [gal]", "volume"), "no unit"),
        (HEADER.replace("volume [gal]", "volume [pint]"), "unknown unit"),
        (HEADER.replace("date,", ""), "date: the column is missing"),
        (HEADER.replace("cSt at 40 °C", "seconds"), "readings are written in"),
        (HEADER + ",note", "stands twice"),
        ("", "id: the column is missing"),
    ],
)
def test_a_header_that_cannot_be_used_is_refused(
    tmp_path: Path, farm: Scenario, header: str, message: str
) -> None:
    with pytest.raises(ScenarioError, match=message):
        read(tmp_path, farm, f"{header}\n")


def test_a_column_of_one_s_own_is_told_and_not_read(tmp_path: Path, farm: Scenario) -> None:
    log = read(tmp_path, farm, f"{HEADER},weather\n1,2026-03-02,tested,raw,,,,,,,,rain\n")

    assert len(log.rows) == 1
    assert faults(log) == ['line 1: the column "weather" is not read']


def test_days_to_come_and_other_encodings_are_refused(tmp_path: Path, farm: Scenario) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"{HEADER}\n1,2062-03-02,tested,raw,,,,,,,\n", encoding="utf-8")
    log = read_log(path, farm, today=datetime.date(2026, 6, 1))
    assert "2026-06-01" in log.faults[0].message

    with pytest.raises(ScenarioError, match="line 2: is not UTF-8"):
        read(tmp_path, farm, HEADER.replace("°", "") + "\n1,2026-01-02,tested,é\n", "latin-1")
    with pytest.raises(ScenarioError, match="there is no such log"):
        read_log(tmp_path / "none.csv", farm)


def test_a_row_is_added_in_the_file_s_own_manner(tmp_path: Path, farm: Scenario) -> None:
    path = tmp_path / "log.csv"
    head = HEADER.replace("gal", "L").replace(",", ";")
    row = "7,2026-03-02,cleaned,batch 1,900,5;850,,,,,"
    text = (
        "\ufeff"
        + head
        + "\n"
        + row.replace("900,5", "900.5").replace(",", ";").replace("900.5", "900,5")
        + "\n"
    )
    path.write_text(text, encoding="utf-8")
    values = {
        "date": "2026-03-04",
        "what": "fetched",
        "which": "fleet yard NEXT door",
        "volume": 55.25,
        "note": "two\nlines; one cell",
    }
    added = add_row(path, farm, values)

    assert added.row.id == 8
    assert added.row.which == "Fleet yard next door"
    assert path.read_text(encoding="utf-8").startswith(text)
    assert "209,144001066" in path.read_text(encoding="utf-8")
    again = read_log(path, farm)
    assert again.faults == ()
    assert again.rows[-1].volume == pytest.approx(55.25, rel=1e-11)
    assert again.rows[-1].note == "two lines; one cell"


def test_a_row_that_could_not_be_read_back_is_not_written(tmp_path: Path, farm: Scenario) -> None:
    path = tmp_path / "log.csv"
    add_row(path, farm, {"date": "2026-03-04", "what": "tested", "which": "raw"})
    before = path.read_bytes()
    with pytest.raises(ScenarioError, match=r"which(.|\n)*volume"):
        add_row(path, farm, {"date": "2026-03-04", "what": "burned", "which": "Boat"})

    assert path.read_bytes() == before
    with pytest.raises(ScenarioError, match="which"):
        add_row(tmp_path / "new.csv", farm, {"date": "2026-03-04", "what": "burned"})
    assert not (tmp_path / "new.csv").exists()


def test_writers_at_the_same_time_wait_for_each_other(tmp_path: Path, farm: Scenario) -> None:
    path = tmp_path / "log.csv"

    def write() -> None:
        for _ in range(10):
            add_row(path, farm, {"date": "2026-03-04", "what": "tested", "which": "raw"})

    writers = [threading.Thread(target=write) for _ in range(4)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()

    assert [row.id for row in read_log(path, farm).rows] == list(range(1, 41))


@pytest.mark.skipif(sys.platform == "win32", reason="kills writers as POSIX systems do")
def test_killed_writers_lose_no_acknowledged_row() -> None:
    done = subprocess.run(  # noqa: S603
        [sys.executable, str(HERE / "log_kills.py"), "40"],
        capture_output=True,
        text=True,
        check=False,
        cwd=HERE.parent,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    # Rows were acknowledged and lines torn, or the test has tested nothing.
    words = done.stdout.split()
    assert int(words[2]) > 0
    assert int(words[7]) > 0
