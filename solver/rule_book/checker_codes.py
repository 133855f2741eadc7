"""Codes of the independent checker alone: whether a plan document is sound, complete and adds up."""

from __future__ import annotations

from solver.rule_book.record import PLAN_AGAIN, PLAN_MAKERS_FAULT, Rule

RULES: tuple[Rule, ...] = (
    Rule("contacts.at_in_patch", "the locating point lies in its patch", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.face", "the face named is one of the part's", if_broken=PLAN_MAKERS_FAULT),
    Rule(
        "contacts.material", "the pad meets material, not only the hollow of a section", if_broken="move the piece onto the wall"
    ),
    Rule("contacts.mates", "where a part touches another, the patch lies on a face of both", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.normal", "a contact's normal opposes the face it meets", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.pad", "the piece has a pad that faces this way; a clamp presses with its first", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.patch_in_face", "the patch lies inside the face and touches it", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.patch_in_pad", "the patch lies inside the pad and touches it", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.rests_on", "a part rests on what it says", if_broken=PLAN_MAKERS_FAULT),
    Rule("contacts.role", "a locator touches what it locates from a side that suits its role", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.cycle_cents", "cycle price by the rules, to the cent", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.cycle_s", "cycle time by the rules, to the second", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.setup_cents", "setup price by the rules, to the cent", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.setup_s", "setup time by the rules, to the second", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.shortage_cents", "price of pieces bought, to the cent", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.tie_up_cents", "day rates by days, to the cent", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.total_cents", "the sum of the five lines", if_broken=PLAN_MAKERS_FAULT),
    Rule("cost.weights_cents", "the rule book's weights, to the cent", if_broken=PLAN_MAKERS_FAULT),
    Rule("document.directions", "directions have length 1", if_broken=PLAN_AGAIN),
    Rule("document.format", "the document says which format it has", if_broken=PLAN_AGAIN),
    Rule("document.ids", "ids are unique; parts and welds are the weldment's", if_broken=PLAN_AGAIN),
    Rule("document.items", "items are in the catalogue", if_broken=PLAN_AGAIN),
    Rule("document.readable", "every field the checks need is there and of its kind", if_broken=PLAN_AGAIN),
    Rule("document.references", "every id referred to exists", if_broken=PLAN_AGAIN),
    Rule("document.standing", "a piece has either a hole or a carrier", if_broken=PLAN_AGAIN),
    Rule("document.table", "the table is in stock and allowed", if_broken=PLAN_AGAIN),
    Rule("kit.lines", "the kit lists the pieces used and their bins", if_broken=PLAN_MAKERS_FAULT),
    Rule("lie.allowed", "side down and turn are allowed by the request", if_broken=PLAN_AGAIN),
    Rule(
        "lie.down",
        "a repair that allows another side down names a side there is",
        if_broken="allow one of the sides down that there are: -z, +z, -x, +x, -y or +y",
    ),
    Rule("lie.rotation", "weldment_to_table is the least rotation, the turn and a shift", if_broken=PLAN_MAKERS_FAULT),
    Rule("pegs.blocked", "no peg in a hole that may not be used", if_broken="another hole"),
    Rule("pegs.carrier", "a carrier offers the pegs its load needs", if_broken=PLAN_MAKERS_FAULT),
    Rule("pegs.exists", "every peg has a hole of the table", if_broken=PLAN_MAKERS_FAULT),
    Rule("pegs.lattice", "pegs meet the lattice at the turn chosen", if_broken=PLAN_MAKERS_FAULT),
    Rule("pegs.own_hole", "every peg has a hole of its own", if_broken=PLAN_MAKERS_FAULT),
    Rule("placement.setting", "settings are in range and on increments", if_broken=PLAN_MAKERS_FAULT),
    Rule("placement.turn", "the item may stand at this turn", if_broken=PLAN_MAKERS_FAULT),
    Rule(
        "plan.status",
        "status, bound, gap, rules and seed are what the alternatives and the request bear out",
        if_broken=PLAN_MAKERS_FAULT,
    ),
    Rule(
        "plan.stock_version",
        "the plan was made with another version of the stock (advice)",
        if_broken="plan again if pieces are missing",
    ),
    Rule("refused.would_help", "a repair's own plan passes every check at its price", if_broken=PLAN_MAKERS_FAULT),
    Rule("solids.catalogue", "a piece's solids are the catalogue's under hole, turn, stack and setting", if_broken=PLAN_AGAIN),
    Rule("solids.open", "a clamp's open solids are the catalogue's", if_broken=PLAN_AGAIN),
    Rule("solids.request", "a part's solids are the request's under weldment_to_table", if_broken=PLAN_AGAIN),
    Rule("stack.carries", "only carriers carry", if_broken=PLAN_MAKERS_FAULT),
    Rule("stack.order", "stacks stand on the table", if_broken=PLAN_MAKERS_FAULT),
    Rule("stations.count", "as many stations as asked, and every entry at one of them", if_broken=PLAN_AGAIN),
)
