"""What stands on printed sheets, read back from a PDF by the tools of poppler."""

import html
import re
import shutil
import subprocess
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

# pdftohtml writes type in steps of a third of a point at this zoom.
_ZOOM = 3
_WORD = re.compile(
    r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>'
)


def _read(tool: str, *words: str) -> str:
    program = shutil.which(tool)
    assert program is not None, f"{tool} is needed (Debian: poppler-utils)"
    done = subprocess.run([program, *words], capture_output=True, check=True)  # noqa: S603
    # Lone surrogates come out of some names.
    return done.stdout.decode(errors="replace")


def sheets_of(printed: bytes) -> int:
    """Count the sheets of a PDF."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


def spelled(text: str) -> Counter[str]:
    """Count the words of a text that are words: three letters or more, the signs between left."""
    return Counter(re.findall(r"[^\W\d_]{3,}", text))


@dataclass(frozen=True)
class Printed:
    """A PDF as read back."""

    words: list[tuple[str, tuple[float, float, float, float]]]
    """Each with its left, top, right and bottom edge. [pt]"""
    letters: Counter[float]
    """How many by size of type. [pt]"""
    width: float
    height: float

    def spelled(self) -> Counter[str]:
        """Count its words."""
        return spelled(" ".join(word for word, _ in self.words))


def read_back(printed: bytes, folder: Path) -> Printed:
    """Read a PDF of one sheet back: its words where they stand, its type in points."""
    file = folder / "printed.pdf"
    file.write_bytes(printed)
    boxes = _read("pdftotext", "-bbox", str(file), "-")
    marked = _read("pdftohtml", "-xml", "-i", "-stdout", "-zoom", str(_ZOOM), str(file))
    size = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', boxes)
    assert size is not None
    words = [
        (
            html.unescape(hit[5]).replace("\u2060", ""),
            (float(hit[1]), float(hit[2]), float(hit[3]), float(hit[4])),
        )
        for hit in _WORD.finditer(boxes)
    ]
    fonts = {
        key: float(points) / _ZOOM
        for key, points in re.findall(r'<fontspec id="(\d+)" size="(\d+)"', marked)
    }
    letters: Counter[float] = Counter()
    for font, text in re.findall(r'<text [^>]*font="(\d+)">(.*?)</text>', marked):
        letters[fonts[font]] += len(re.sub(r"<[^>]*>|\s", "", html.unescape(text)))
    return Printed(words, letters, float(size[1]), float(size[2]))
