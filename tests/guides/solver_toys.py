"""Toys that the guides to the solver add: a family, a check, a rule, a section shape, a field of the plan."""

from __future__ import annotations

from tests.guides.toy import Changed, New, Toy

RULES = "RULES: tuple[Rule, ...] = (\n"

FAMILY = Toy(
    "How to add a constraint family",
    (
        New(
            "solver/model/families/from_start/piece_count.py",
            '''"""Piece count: a fixture has at most so many pieces.

Formula: sum pieces_i x_i <= most. Source: a toy.
"""

from __future__ import annotations

from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


def post(program: Program, variables: Variables, problem: Problem) -> None:
    """Add the row of this family."""
    taken = [(variables.candidates[index], pieces.total()) for index, pieces in enumerate(problem.pieces)]
    program.row("stock.pieces_max", taken, high=int(problem.laid.rules["stock.pieces_max"]))
''',
        ),
        Changed(
            "solver/model/families/from_start/__init__.py",
            (
                (
                    "import asked_pieces, clamped, counted, located, long_face, opposed, spread",
                    "import asked_pieces, clamped, counted, located, long_face, opposed, piece_count, spread",
                ),
                ("counted, asked_pieces)\n", "counted, asked_pieces, piece_count)\n"),
            ),
        ),
        Changed(
            "solver/rule_book/stock.py",
            (
                ("import Display, Hindrance, Rule\n", "import Display, Hindrance, Rule, Value\n"),
                (
                    RULES,
                    RULES
                    + """    Rule(
        "stock.pieces_max",
        "a fixture has at most so many pieces",
        Value(100, "pieces", 1, 1000),
        hindrance=Hindrance(
            place=255,
            remedy="a greater number",
            sentence="no more than {stock.pieces_max:g} pieces may be used",
            turn=135,
        ),
        if_broken="fewer pieces",
        finding=Display("the rest of the checks", place=80),
    ),
""",
                ),
            ),
        ),
        New(
            "solver/checks/rules/piece_count.py",
            '''"""Whether a fixture has no more pieces than the rule book allows."""

from __future__ import annotations

from collections.abc import Iterator

from solver.checks.report import at_most
from solver.checks.scene.scene import Scene
from solver.plans import Finding


def check_piece_count(scene: Scene) -> Iterator[Finding]:
    """Yield how many pieces there are."""
    yield at_most("stock.pieces_max", "fixture", len(scene.pieces), scene.rules["stock.pieces_max"], "pieces")
''',
        ),
        Changed(
            "solver/checks/checker.py",
            (
                (
                    "from solver.checks.rules.price import",
                    "from solver.checks.rules.piece_count import check_piece_count\nfrom solver.checks.rules.price import",
                ),
                ("    check_lifting,\n)", "    check_lifting,\n    check_piece_count,\n)"),
            ),
        ),
    ),
    """
from solver import Deadline, plan
from tests import builders as b

def planned(most):
    asked = b.request(b.weldment(b.tube()), rules={"stock.pieces_max": most}, alternatives=1)
    return plan(asked, b.shelf((b.stop(), 4), (b.down_clamp(), 1)), deadline=Deadline(lambda: 60.0))

enough = planned(4).alternatives[0]
shown = [(finding.value, finding.limit, finding.ok) for finding in enough.findings if finding.rule == "stock.pieces_max"]
assert shown == [(len(enough.placements), 4, True)] and len(enough.placements) == 4, shown

too_few = planned(3)
assert too_few.status == "infeasible", too_few.status
said = {reason.rule: reason.text for reason in too_few.refused.because}
assert said["stock.pieces_max"] == "no more than 3 pieces may be used", said
""",
)

CHECK = Toy(
    "How to add a check",
    (
        New(
            "solver/checks/rules/reasons.py",
            '''"""Whether every piece says why it is there."""

from __future__ import annotations

from collections.abc import Iterator

from solver.checks.report import fail, summary
from solver.checks.scene.scene import Scene
from solver.plans import Finding


def check_reasons(scene: Scene) -> Iterator[Finding]:
    """Yield the pieces that do not say it."""
    silent = [piece.id for piece in scene.pieces.values() if not piece.placement.why]
    yield from summary("document.why", "placements", [fail("document.why", id, "no reason") for id in silent])
''',
        ),
        Changed(
            "solver/checks/checker.py",
            (
                (
                    "from solver.checks.rules.refusal import",
                    "from solver.checks.rules.reasons import check_reasons\nfrom solver.checks.rules.refusal import",
                ),
                ("    check_lifting,\n)", "    check_lifting,\n    check_reasons,\n)"),
            ),
        ),
        Changed(
            "solver/rule_book/checker_codes.py",
            ((RULES, RULES + '    Rule("document.why", "every piece says why it is there", if_broken=PLAN_AGAIN),\n'),),
        ),
    ),
    """
from service.documents import plan_document
from solver import Deadline, check, plan
from tests import builders as b

asked, stock = b.request(b.weldment(b.tube()), alternatives=1), b.plain_shelf()
document = plan_document(plan(asked, stock, deadline=Deadline(lambda: 60.0)))
assert [finding.ok for finding in check(asked, stock, document).findings if finding.rule == "document.why"] == [True]

document["alternatives"][0]["placements"][0]["why"] = ""
failed = check(asked, stock, document).failed
assert [(finding.rule, finding.subject) for finding in failed] == [("document.why", "p1")], failed
""",
)

RULE = Toy(
    "How to add a rule",
    (
        Changed(
            "solver/rule_book/ways.py",
            (
                (
                    RULES,
                    RULES
                    + """    Rule(
        "lift.two_persons_kg",
        "more than two persons lift",
        Value(50, "kg", 1, 1000),
        if_broken="reported, never a fault: a crane",
        finding=Display("the rest of the checks", place=80),
    ),
""",
                ),
            ),
        ),
        Changed(
            "solver/answer/findings/all.py",
            (
                (
                    '    limit = source.rules["lift.one_person_kg"]\n',
                    """    limit = source.rules["lift.one_person_kg"]
    crane = source.rules["lift.two_persons_kg"]
""",
                ),
                ('advice = "more than one', 'advice = "a crane lifts" if mass > crane else "more than one'),
            ),
        ),
        Changed(
            "solver/checks/rules/lifting.py",
            (
                (
                    "    for id, mass in masses.items():\n",
                    """    crane = scene.rules["lift.two_persons_kg"]
    for id, mass in masses.items():
        if mass > crane:
            yield Finding("lift.two_persons_kg", id, round(mass, 3), crane, "kg", True, "lift it with a crane")
""",
                ),
            ),
        ),
    ),
    """
from solver import Deadline, plan
from tests import builders as b

def shown(**rules):
    asked = b.request(b.weldment(b.tube()), rules=rules, alternatives=1)
    found = plan(asked, b.plain_shelf(), deadline=Deadline(lambda: 60.0))
    assert found.rules["lift.two_persons_kg"] == rules.get("lift.two_persons_kg", 50)
    findings = found.alternatives[0].findings
    advised = any(f.rule == "lift.one_person_kg" and f.text.startswith("a crane lifts") for f in findings)
    return {finding.subject for finding in findings if finding.rule == "lift.two_persons_kg"}, advised

assert shown() == (set(), False)
assert shown(**{"lift.two_persons_kg": 1.0}) == ({"tube", "weldment"}, True)
""",
)

SECTION = Toy(
    "How to add a section shape",
    (
        Changed(
            "solver/sections/profiles.py",
            (
                (
                    "PROFILES: Mapping[str, Profile] = {\n",
                    """def _tee_outline(given: Sizes, _fineness: Fineness) -> Ring:
    half, h, w, t = given["flange"] / 2, given["height"], given["web"] / 2, given["flange_thickness"]
    return ((-half, 0.0), (half, 0.0), (half, t), (w, t), (w, h), (-w, h), (-w, t), (-half, t))


def _tee_faults(given: Sizes) -> Iterator[Fault]:
    yield from _less("/web", "web", given["web"], given["flange"], "the flange")


PROFILES: Mapping[str, Profile] = {
    "tee": Profile(
        ("flange", "height", "web", "flange_thickness"),
        _tee_outline,
        thinnest=("web", "flange_thickness"),
        faults=_tee_faults,
    ),
""",
                ),
            ),
        ),
        Changed(
            "service/documents/sections.py",
            (
                (
                    "class FlatBar(ProfileDocument):",
                    '''class Tee(ProfileDocument):
    """Tee, origin at the middle of the flange's back."""

    shape: Literal["tee"]
    flange: Annotated[Size, Field(description="flange width along u")]
    height: Annotated[Size, Field(description="height along v, flange included")]
    web: Annotated[Size, Field(description="thickness of the web")]
    flange_thickness: Annotated[Size, Field(description="thickness of the flange")]


class FlatBar(ProfileDocument):''',
                ),
                ("Channel | FlatBar", "Channel | Tee | FlatBar"),
            ),
        ),
    ),
    """
import json
import numpy as np
from inventory.errors import InvalidDocument
from service.documents import plan_document, read_request
from solver import Deadline, check, plan
from solver.checks.scene.faces import faces_of as faces_of_the_checker
from solver.geometry.faces import faces_of
from tests import builders as b

def asked(**sizes):
    section = {"shape": "tee", "flange": 60, "height": 60, "web": 8, "flange_thickness": 12, **sizes}
    pose = {"at": [0, 0, 0], "along": [1, 0, 0], "up": [0, 0, 1]}
    weldment = {"format": "holdwright.weldment/1", "parts": [{"id": "tee", "section": section, "length": 400, "pose": pose}]}
    return json.dumps({
        "format": "holdwright.request/1", "weldment": weldment, "quantity": 10, "tables": ["T1"], "lie": {"turn": [0]},
        "alternatives": 1,
    }).encode()

stock = b.plain_shelf()
request, _ = read_request(asked(), stock)
part, = request.weldment.parts
labels = {"start", "end", *(f"side:{k}" for k in range(8))}
assert {face.label for face in faces_of(0, part, np.eye(4))} == labels
assert {face.label for face in faces_of_the_checker(part, tuple(map(tuple, np.eye(4).tolist())))} == labels

found = plan(request, stock, deadline=Deadline(lambda: 60.0))
assert found.status == "optimal" and check(request, stock, plan_document(found)).ok, found.refused
try:
    read_request(asked(web=60), stock)
except InvalidDocument as refused:
    assert [fault.pointer for fault in refused.faults] == ["/weldment/parts/0/section/web"], refused.faults
else:
    raise AssertionError("a web as wide as its flange is taken")
""",
)

FIELD = Toy(
    "How to add a field to the plan",
    (
        Changed("solver/plans.py", (("    differs: str\n", "    heaviest_kg: float\n    differs: str\n"),)),
        Changed(
            "solver/answer/alternative.py",
            (('        differs="",\n', '        heaviest_kg=max(item.mass_kg for item, _ in pieces),\n        differs="",\n'),),
        ),
        Changed(
            "service/documents/plan_schema/alternative.py",
            (
                (
                    "    differs: Annotated[str,",
                    '    heaviest_kg: Annotated[float, Field(description="mass of the heaviest piece, kg")] = 0.0\n'
                    "    differs: Annotated[str,",
                ),
                ("differs=self.differs,", "differs=self.differs, heaviest_kg=self.heaviest_kg,"),
            ),
        ),
        Changed(
            "solver/checks/scene/reading.py",
            (
                (
                    '        differs=doc["differs"]',
                    '        heaviest_kg=doc["heaviest_kg"].number(),\n        differs=doc["differs"]',
                ),
            ),
        ),
    ),
    """
import json
from service.documents import plan_document, read_plan
from solver import Deadline, check, plan
from tests import builders as b

asked, stock = b.request(b.weldment(b.tube()), alternatives=1), b.plain_shelf()
found = plan(asked, stock, deadline=Deadline(lambda: 60.0))
heaviest = max(stock.items[piece.item].mass_kg for piece in found.alternatives[0].placements)
document = json.loads(json.dumps(plan_document(found)))
assert document["alternatives"][0]["heaviest_kg"] == heaviest
assert read_plan(json.dumps(document).encode()).alternatives[0].heaviest_kg == heaviest
assert check(asked, stock, document).ok
document["alternatives"][0]["heaviest_kg"] = "a lot"
assert [finding.subject for finding in check(asked, stock, document).failed] == ["/alternatives/0/heaviest_kg"]
""",
)

TOYS = (FAMILY, CHECK, RULE, SECTION, FIELD)
