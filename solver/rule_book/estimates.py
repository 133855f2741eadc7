"""What is reported beside the checks: shrinkage that is proposed, and what no number stands for."""

from __future__ import annotations

from solver.rule_book.record import Display, Rule

NOT_COMPUTED = {
    "weld distortion": "bending and twisting of the weldment by its welds, and spring-back when the clamps open",
    "elastic reactions": "how reactions share between stiff and soft locators; some balance within the law is proved",
    "bending of parts": "deflection of the parts themselves and dents in thin walls beside a clamp's pad",
    "the pull of whole beads": "only tacks pull; heat, impact and vibration are left out",
    "cable and helmet room": "torch and gloved hand are checked, not the hose, the arm behind the hand or the helmet",
    "peg wear": "the play of pegs counts where the catalogue states their fit; how two pegs let a piece turn, and wear, do not",
}
"""What no number stands for, and why that is reported."""

RULES: tuple[Rule, ...] = (
    Rule(
        "shrinkage.proposal",
        "stop offset that a weld's shrinkage would ask for; never applied",
        finding=Display("shrinkage"),
    ),
    Rule(
        "not_computed",
        "what no number stands for",
        finding=Display("what is not computed"),
    ),
)
