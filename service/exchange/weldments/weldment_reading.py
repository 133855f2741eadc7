"""What was read of a file that describes a weldment: parts, what became of every body in it, and what was noticed.

Whatever kind the file is of, a reader is a function of its bytes and the options. It returns a `WeldmentReading`, or raises
InvalidDocument with faults whose pointers are places in the file, if nothing of it can be read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import get_args

from inventory import limits
from inventory.errors import Fault, refuse
from inventory.shapes import Point3
from service.documents.weldment_files.words import DrawnUnit, FileKind, Outcome
from solver.weldment import LengthUnit, Material, Part, Weldment

__all__ = [
    "ALL",
    "MM_OF",
    "Deviation",
    "DrawnUnit",
    "FileKind",
    "Outcome",
    "ReadBody",
    "ReadingOptions",
    "Remark",
    "WeldmentReading",
]

MM_OF: Mapping[DrawnUnit, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4, "foot": 304.8}
"""Millimetres in one of each unit (ISO 80000-3; inch and foot: the international ones, exact by definition since 1959)."""
ALL = "*"
"""Stands for every body, where bodies are named."""
DRILLED = "solid.drilled"
"""The code of the remark that a solid would be a part without the holes drilled through it."""


@dataclass(frozen=True, slots=True)
class ReadingOptions:
    """What the user says about a file that it does not say itself.

    Parameters
    ----------
    units : DrawnUnit or None
        What its lengths are in; None: as the file says (a DXF that says nothing is refused).
    thickness_mm : float or None
        Of plates in a flat drawing, where neither layer nor text says another.
    thickness_by_layer : mapping
        Layer to thickness, mm; goes before what the layer's own name says.
    gap_mm : float
        Ends of lines no farther apart than this are joined.
    as_bodies : tuple of str
        Names of bodies that are no prism and shall take up room as their convex outer bodies; ``*`` for every one.
    left_out : tuple of str
        Names of bodies that are left out by the user's word; ``*`` for every one that is no prism.
    filled : tuple of str
        Names of solids whose drilled holes are filled, so that a drilled tube is a tube; ``*`` for every one that is no part with
        its holes.
    material : Material
        What the parts are made of, where the file does not say.
    """

    units: DrawnUnit | None = None
    thickness_mm: float | None = None
    thickness_by_layer: Mapping[str, float] = field(default_factory=dict)
    gap_mm: float = 0.05
    as_bodies: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    filled: tuple[str, ...] = ()
    material: Material = "steel"

    def __post_init__(self) -> None:
        faults = [
            *(() if self.units is None else limits.one_of_faults("/units", self.units, get_args(DrawnUnit))),
            *(() if self.thickness_mm is None else limits.SIZE.faults("/thickness_mm", self.thickness_mm)),
            *limits.one_of_faults("/material", self.material, get_args(Material)),
            *limits.LENGTH.faults("/gap_mm", self.gap_mm),
        ]
        for layer, thickness in self.thickness_by_layer.items():
            faults += limits.SIZE.faults(f"/thickness_by_layer/{layer}", thickness)
        faults += [
            Fault("/left_out", f"{limits.shown(name)} is to be a body and to be left out", "one of the two")
            for name in self.left_out
            if name in self.as_bodies
        ]
        refuse(faults)


@dataclass(frozen=True, slots=True)
class Remark:
    """Something noticed in a file.

    Parameters
    ----------
    code : str
        Which remark it is, for programs: ``outline.open``, ``solid.not_prism``.
    text : str
        In words, with the numbers.
    where : str
        What in the file, as its user finds it: ``solid 3, face 12``, ``layer CUT, line``; empty: the whole file.
    at : Point3 or None
        Where, mm, in the file's own frame.
    """

    code: str
    text: str
    where: str = ""
    at: Point3 | None = None


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far a recognised part is from what is drawn.

    Parameters
    ----------
    volume_mm3 : float
        The part's volume less the drawn one's.
    volume_share : float
        The same as a share of the drawn volume.
    largest_mm : float
        The largest distance between the surfaces of the two, as measured.
    """

    volume_mm3: float
    volume_share: float
    largest_mm: float


@dataclass(frozen=True, slots=True)
class ReadBody:
    """One body of a file - a solid, a closed outline, a row of a cut list - and what became of it.

    Parameters
    ----------
    number : int
        From 1, in the order of the file.
    name : str
        As the file has it, with the assemblies it lies in: ``frame/post``; made unique.
    outcome : Outcome
        A recognised part; a convex outer body that takes up room only; left out by the user's word; or none of these, so that
        the user has to say.
    part : str or None
        The id of the weldment's part that came of it.
    words : str
        What was recognised: ``square tube 50 x 50 x 3, 600 mm, mitred at one end``.
    deviation : Deviation or None
        Measured for solids.
    remarks : tuple of Remark
        Why it is no part, or what is to be known of it.
    box : pair of Point3 or None
        Least and greatest x, y and z of the drawn body, mm; None where they are not known.
    """

    number: int
    name: str
    outcome: Outcome
    part: str | None = None
    words: str = ""
    deviation: Deviation | None = None
    remarks: tuple[Remark, ...] = ()
    box: tuple[Point3, Point3] | None = None


@dataclass(frozen=True, slots=True)
class WeldmentReading:
    """What was read of one file.

    Parameters
    ----------
    kind : FileKind
        What the file is.
    dialect : str
        What it says it is written by: ``AP242``, ``AC1032``; empty if the kind has none.
    units : DrawnUnit
        What its lengths are in.
    name : str
        Of the weldment.
    parts : tuple of Part
        All lengths mm, in the file's frame.
    bodies : tuple of ReadBody
        Every body of the file, in its order.
    remarks : tuple of Remark
        About the file as a whole.
    """

    kind: FileKind
    dialect: str
    units: DrawnUnit
    name: str
    parts: tuple[Part, ...]
    bodies: tuple[ReadBody, ...]
    remarks: tuple[Remark, ...] = ()

    @property
    def undecided(self) -> tuple[ReadBody, ...]:
        """The bodies of which the user has to say what becomes of them."""
        return tuple(body for body in self.bodies if body.outcome == "not_recognised")

    @property
    def weldment(self) -> Weldment | None:
        """The weldment, without welds; None if nothing of the file is a part."""
        shown_in: LengthUnit = "inch" if self.units in ("inch", "foot") else "mm"
        return Weldment(self.parts, (), self.name, units=shown_in) if self.parts else None
