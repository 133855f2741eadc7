"""For somebody who describes a weldment by drawing it: faces by name, parts placed on parts, and the seams where parts touch."""

from solver.drafting.chosen_seams import (
    RULES,
    AskedBead,
    ChosenSeam,
    ProposedSeam,
    SeamWishes,
    chosen_by,
    proposed_seams,
    sized_by,
    welds_of,
    wished,
)
from solver.drafting.named_faces import NamedFace, face, faces
from solver.drafting.placing import FaceEdge, Lying, Offset, Placing, first_pose, placed_on
from solver.drafting.placings_read import described, described_by
from solver.drafting.weld_seams import Seam, pair_seams, seams, weld_on
from solver.drafting.welds_on_seams import welds_on_seams

__all__ = [
    "AskedBead",
    "ChosenSeam",
    "FaceEdge",
    "Lying",
    "NamedFace",
    "Offset",
    "Placing",
    "ProposedSeam",
    "RULES",
    "Seam",
    "SeamWishes",
    "chosen_by",
    "described",
    "described_by",
    "face",
    "faces",
    "first_pose",
    "pair_seams",
    "placed_on",
    "proposed_seams",
    "seams",
    "sized_by",
    "weld_on",
    "welds_of",
    "welds_on_seams",
    "wished",
]
