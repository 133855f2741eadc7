"""DXF drawings as another program reads them, with the checks such a program makes."""

from __future__ import annotations

import io
from collections import defaultdict
from collections.abc import Mapping

import ezdxf
from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities import DXFEntity
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.tools.text import caret_decode

from service.drawings.dxf.drawing import as_dxf
from service.drawings.dxf.texts import APPLICATION
from service.drawings.subject import Subject


def opened(subject: Subject) -> Drawing:
    """Return the drawing read back; readers strict and lenient find no error in it and nothing to mend."""
    text = as_dxf(subject)
    drawing = ezdxf.read(io.StringIO(text))
    _, lenient = recover.read(io.BytesIO(text.encode()))
    for audited in (drawing.audit(), lenient):
        assert not [*audited.errors, *audited.fixes]
    return drawing


def letters(text: str) -> str:
    """Return a string of the file without its codes."""
    return caret_decode(decode_dxf_unicode(text))


def facts_of(entity: DXFEntity) -> Mapping[str, str]:
    """Return what an entity says of itself."""
    strings = [letters(tag.value) for tag in entity.get_xdata(APPLICATION) if tag.code == 1000]
    found: dict[str, str] = defaultdict(str)
    for name, value in zip(strings[::2], strings[1::2], strict=True):
        found[name] += value
    return found
