"""Which kinds of file a weldment can be read from: one line each; who reads asks here and knows none by name.

A reader and its libraries are imported when a file is read, in a process of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec

from service.errors import NotInstalled
from service.exchange.weldments.weldment_reading import FileKind, ReadingOptions, WeldmentReading

_HERE = "service.exchange.weldments"
_KERNEL = (
    "BRep",
    "BRepAdaptor",
    "BRepBndLib",
    "BRepBuilderAPI",
    "BRepGProp",
    "Bnd",
    "GProp",
    "GeomAbs",
    "IFSelect",
    "Message",
    "STEPCAFControl",
    "ShapeAnalysis",
    "TCollection",
    "TDF",
    "TDataStd",
    "TDocStd",
    "TopAbs",
    "TopExp",
    "TopoDS",
    "XCAFDoc",
    "collections",
    "gp",
    "Standard",
)
"""Modules of the drawing kernel that reading STEP files imports in functions."""


@dataclass(frozen=True, slots=True)
class FileReader:
    """How one kind of file is read.

    Parameters
    ----------
    kind : FileKind
        What it is called.
    suffixes : tuple of str
        Endings of such files' names, lower case, with their dot.
    media_types : tuple of str
        As HTTP names them.
    home : str
        ``module:function``; the function takes bytes, a name and options, and returns a reading.
    needs : str
        The library of the extra `exchange` that it needs; empty if what every installation has is enough.
    loads : tuple of str
        Modules that are imported before the file is opened, beside the reader's own: libraries that it imports in functions. They
        are loaded before the limits count, and before the child that reads may open no file any more.
    """

    kind: FileKind
    suffixes: tuple[str, ...]
    media_types: tuple[str, ...]
    home: str
    needs: str = ""
    loads: tuple[str, ...] = ()

    @property
    def there(self) -> bool:
        """Whether the library it needs is installed."""
        return not self.needs or find_spec(self.needs) is not None

    def refuse_absent(self) -> None:
        """Raise NotInstalled if the library is not there."""
        if not self.there:
            raise NotInstalled(f"{self.kind.upper()} files", "exchange")

    def read(self, content: bytes, name: str, options: ReadingOptions) -> WeldmentReading:
        """Return what a file of this kind holds.

        Parameters
        ----------
        content : bytes
            The file.
        name : str
            What the weldment is called if the file gives it no name.

        Raises
        ------
        InvalidDocument
            If it can't be read; pointers are places in the file.
        NotInstalled
            If the library is not there.
        """
        self.refuse_absent()
        module, _, function = self.home.partition(":")
        read: Callable[[bytes, str, ReadingOptions], WeldmentReading] = getattr(import_module(module), function)
        return read(content, name, options)


READERS: Mapping[FileKind, FileReader] = {
    "step": FileReader(
        "step",
        (".step", ".stp", ".p21"),
        ("model/step",),
        f"{_HERE}.step.reading:read_step",
        "OCP",
        tuple(f"OCP.{name}" for name in _KERNEL),
    ),
    "csv": FileReader("csv", (".csv",), ("text/csv",), f"{_HERE}.cut_list.reading:read_csv"),
    "dxf": FileReader(
        "dxf",
        (".dxf",),
        ("image/vnd.dxf", "application/dxf"),
        f"{_HERE}.dxf.reading:read_dxf",
        loads=("ezdxf.recover", "ezdxf.lldxf.tagger", "ezdxf.math"),
    ),
}
"""Every reader, by the kind of its files."""
