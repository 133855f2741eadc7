"""STEP and DXF files that packages on the Python Package Index ship, read as anybody's are. None is kept in this repository.

`python -m tests.service.exchange.weldments.public_drawings FOLDER` reads what wheels and source archives in a folder hold, and says what became of each:

    pip download --no-deps -d FOLDER gmsh
    pip download --no-deps --no-binary :all: -d FOLDER ezdxf build123d cad-to-dagmc cad-to-shapely sectionproperties

Flat drawings are read as plates 6 mm thick, those that name no unit in millimetres: both are what a user would have to say.
"""

from __future__ import annotations

import hashlib
import re
import sys
import tarfile
import time
import zipfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from inventory.errors import InvalidDocument
from service.exchange.weldments.child.reading import read_weldment_file
from service.exchange.weldments.weldment_reading import ReadingOptions, WeldmentReading

ENDINGS = (".step", ".stp", ".p21", ".dxf")
THICK = ReadingOptions(thickness_mm=6.0)


@dataclass(frozen=True)
class PublicDrawing:
    """A file in a package: `package` with its version, `path` in its archive."""

    package: str
    path: str
    content: bytes

    @property
    def name(self) -> str:
        """Its own name, without folders."""
        return PurePosixPath(self.path).name


@dataclass(frozen=True)
class Outcome:
    """What became of a file: what was read of it, or the reasons why nothing was; how long it took, s."""

    drawing: PublicDrawing
    reading: WeldmentReading | None
    reasons: tuple[str, ...]
    seconds: float

    @property
    def outcomes(self) -> Counter[str]:
        """How many of its bodies became what."""
        return Counter() if self.reading is None else Counter(body.outcome for body in self.reading.bodies)

    @property
    def remarks(self) -> Counter[str]:
        """The codes of what was said of its bodies and of itself."""
        if self.reading is None:
            return Counter()
        of_bodies = (remark for body in self.reading.bodies for remark in body.remarks)
        return Counter(remark.code for remark in (*of_bodies, *self.reading.remarks))

    @property
    def words(self) -> str:
        """One line."""
        told = (
            "; ".join(self.reasons)
            if self.reading is None
            else f"{self.reading.dialect} {self.reading.units} {dict(self.outcomes)}"
        )
        remarks = f" {dict(self.remarks)}" if self.remarks else ""
        return f"{self.drawing.package} {self.drawing.path}: {told}{remarks}, {self.seconds:.2f} s"


def public_drawings(folder: Path) -> Iterator[PublicDrawing]:
    """Yield every drawing in the archives of a folder, each content once."""
    seen: set[bytes] = set()
    for archive in sorted(folder.iterdir()):
        package = "-".join(re.sub(r"\.(tar\.gz|zip|whl)$", "", archive.name).split("-")[:2])
        for path, content in _drawn_in(archive):
            digest = hashlib.sha256(content).digest()
            if digest not in seen:
                seen.add(digest)
                yield PublicDrawing(package, path, content)


def _drawn_in(archive: Path) -> Iterator[tuple[str, bytes]]:
    if archive.suffix in (".whl", ".zip"):
        with zipfile.ZipFile(archive) as zipped:
            for entry in sorted(zipped.namelist()):
                if entry.lower().endswith(ENDINGS):
                    yield entry, zipped.read(entry)
    elif archive.name.endswith(".tar.gz"):
        with tarfile.open(archive) as packed:
            for kept in sorted((one for one in packed if one.isfile()), key=lambda one: one.name):
                member = packed.extractfile(kept) if kept.name.lower().endswith(ENDINGS) else None
                if member is not None:
                    yield kept.name, member.read()


def read(drawing: PublicDrawing) -> Outcome:
    """Read a drawing as its user would: where it names no unit, again in millimetres."""
    started = time.monotonic()
    options: Sequence[ReadingOptions] = (THICK, replace(THICK, units="mm"))
    reasons: tuple[str, ...] = ()
    for option in options:
        try:
            found = read_weldment_file(drawing.content, drawing.name, option)
            return Outcome(drawing, found, (), time.monotonic() - started)
        except InvalidDocument as bad:
            reasons = tuple(f"{fault.pointer}: {fault.wrong}" for fault in bad.faults)
            if not any("unit" in reason for reason in reasons):
                break
    return Outcome(drawing, None, reasons, time.monotonic() - started)


def main(folder: Path) -> None:
    """Print what became of every drawing, then the sums by package."""
    found = []
    for drawing in public_drawings(folder):
        found.append(read(drawing))
        print(found[-1].words, flush=True)
    for kind, endings in (("STEP", ENDINGS[:3]), ("DXF", ENDINGS[3:])):
        those = [outcome for outcome in found if outcome.drawing.name.lower().endswith(endings)]
        bodies = sum((outcome.outcomes for outcome in those), Counter[str]())
        refused = sum(outcome.reading is None for outcome in those)
        seconds = sum(outcome.seconds for outcome in those)
        print(f"{kind}: {len(those)} files, {refused} refused, bodies {dict(bodies)}, {seconds:.1f} s")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
