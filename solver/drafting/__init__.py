"""For somebody who describes a weldment by drawing it: faces by name, parts placed on parts, and the seams where parts touch."""

from solver.drafting.named_faces import NamedFace, face, faces
from solver.drafting.placing import FaceEdge, Lying, Offset, Placing, first_pose, placed_on
from solver.drafting.placings_read import described, described_by
from solver.drafting.weld_seams import Seam, pair_seams, seams, weld_on

__all__ = [
    "FaceEdge",
    "Lying",
    "NamedFace",
    "Offset",
    "Placing",
    "Seam",
    "described",
    "described_by",
    "face",
    "faces",
    "first_pose",
    "pair_seams",
    "placed_on",
    "seams",
    "weld_on",
]
