"""A DXF file opened: ASCII or binary, whatever its version and encoding; what it is written by, what its lengths are in."""

from __future__ import annotations

import io
import logging
from collections.abc import Mapping
from typing import TYPE_CHECKING

from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.weldment_reading import DrawnUnit, ReadingOptions, Remark

if TYPE_CHECKING:
    from ezdxf.document import Drawing

MOST_BYTES = 20_000_000
MOST_LINES = 4_000_000
_ACCEPTED = "a DXF file, ASCII or binary, of R12 or newer"
_UNITS: Mapping[int, DrawnUnit] = {1: "inch", 2: "foot", 4: "mm", 5: "cm", 6: "m"}
"""By the numbers of $INSUNITS (DXF reference, header variables)."""
_NAMES = "mm, cm, m, inch or foot"


def opened(content: bytes) -> Drawing:
    """Return a drawing; raises InvalidDocument if the bytes are none.

    A file that is damaged in places is mended as far as ezdxf can; entities it gives up are not there afterwards.
    """
    from ezdxf import recover
    from ezdxf.document import Drawing
    from ezdxf.lldxf.tagger import binary_tags_loader

    _look(content)
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)  # what it mends is no news for a log
    try:
        if _binary(content):
            return Drawing.load(binary_tags_loader(content))
        drawing, _ = recover.read(io.BytesIO(content))
        return drawing
    except MemoryError:
        raise
    except Exception as error:  # whatever a damaged file makes the library raise, the file cannot be read
        said = "".join(c if c.isprintable() else "?" for c in str(error)[:160]) or type(error).__name__
        wrong = f"it cannot be read as DXF: {said}"
        raise InvalidDocument([Fault("", wrong, _ACCEPTED)]) from None


def _binary(content: bytes) -> bool:
    """Whether a file begins as binary DXF does (DXF reference, binary DXF files)."""
    return content[7:22] == b" Binary DXF\r\n\x1a\x00"


def _look(content: bytes) -> None:
    """Refuse what is too large, and files of other kinds by their first bytes."""
    if len(content) > MOST_BYTES:
        raise InvalidDocument([Fault("", f"{len(content):,} bytes", f"at most {MOST_BYTES:,} bytes")])
    if _binary(content):
        return
    others = ((b"PK\x03\x04", "a ZIP archive"), (b"AC10", "a DWG drawing; save it as DXF"), (b"ISO-10303", "a STEP file"))
    for start, what in others:
        if content.startswith(start):
            raise InvalidDocument([Fault("", f"the file is {what}", _ACCEPTED)])
    if not content.strip():
        raise InvalidDocument([Fault("", "the file is empty", _ACCEPTED)])
    if b"\x00" in content[:4096] or b"SECTION" not in content[:200_000]:
        raise InvalidDocument([Fault("", "no section begins in it: it is no DXF file", _ACCEPTED)])
    if (lines := content.count(b"\n")) > MOST_LINES:
        raise InvalidDocument([Fault("", f"{lines:,} lines", f"at most {MOST_LINES:,} lines")])


def units_of(drawing: Drawing, options: ReadingOptions) -> tuple[DrawnUnit, list[Remark]]:
    """Return what a drawing's lengths are in, by the options or its header; raises InvalidDocument if neither says."""
    header = drawing.header
    number, measurement = _whole(header.get("$INSUNITS", 0)), header.get("$MEASUREMENT", None)
    says = _UNITS.get(number)
    if options.units is not None:
        if says is None or says == options.units:
            return options.units, []
        text = f"the file says its lengths are in {says}; they are read as {options.units}, as asked"
        return options.units, [Remark("units.differ", text, "$INSUNITS")]
    if says is None:
        accepted = f"a unit among the options: {_NAMES}"
        if number == 0:
            system = {0: " beside a system of inches", 1: " beside a metric system"}.get(_whole(measurement), "")
            wrong = f"the file names no unit ($INSUNITS){system}"
        else:
            wrong = f"the file's unit, number {number} of $INSUNITS, is not read"
        raise InvalidDocument([Fault("/header/$INSUNITS", wrong, accepted)])
    metric = says in ("mm", "cm", "m")
    if _whole(measurement) in (0, 1) and metric != (_whole(measurement) == 1):
        text = f"the file says both {says} ($INSUNITS) and {'inches' if metric else 'metric'} ($MEASUREMENT); {says} is taken"
        return says, [Remark("units.doubtful", text, "$MEASUREMENT")]
    return says, []


def _whole(value: object) -> int:
    return value if isinstance(value, int) else -1


def dialect_of(drawing: Drawing) -> str:
    """Return the version a file says it is of, such as ``AC1032``."""
    return str(drawing.loaded_dxfversion or drawing.dxfversion)[:12]
