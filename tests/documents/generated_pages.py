"""Pages of the documentation that are made from the code: `python -m tests.documents.generated_pages`, in the repository's folder, writes them."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from service.demo import MAIN_JOB
from service.drawings.paper.marks import rectangle
from service.drawings.paper.svg import as_svg
from service.drawings.scene import scene
from service.drawings.views.top_view import top_views
from solver.rule_book import RULES, reasons
from solver.rule_book.record import Rule
from tests.service.drawings.kept import kept

_RULES = """# The rule book

Every limit, weight, rate and price the solver goes by, by name. A request changes any of them under `rules.set`; a plan
carries every value it was made with. `holdwright rules list` prints the same list.

*Made from the code by `python -m tests.documents.generated_pages`; not written by hand.*
"""

_CODES = """# Codes

A reason or a finding names the rule it comes from. Rules of the rule book are on [their page](rules.md).

*Made from the code by `python -m tests.documents.generated_pages`; not written by hand.*
"""

_REASONS = """What `refused.because` says. The first reasons are irreducible: the demands they name cannot all be met at the most promising
positions, and can as soon as any one is dropped; or each stands for itself, as what no hardware, or no free piece, can change. All of
them are then lifted, and what still leaves no way is named too, until a fixture is found: what is named together is the cause, and
lifting it makes room ([guarantees](guarantees.md) says how far that is verified). Where the cheapest purchase that helps brings an
item nobody else names, that item is named as missing too."""

_FINDINGS = """What the independent checker says of an alternative, with a value, its limit and whether it holds; what to do is for one that
fails."""

_MODEL = """# How the answer is found and proved

A **lattice position** is a lie (which side is down, how it is turned) together with a place of the table's lattice under the
weldment; the [words](words.md) say what each term means. Only positions at which some piece can meet some face matter. They
are taken best first by a floor under their price; for each that may still win, candidates are found, a small integer model is solved, and what it leaves out (holding
under every load, routes in and out) is asked for again until the choice stands up to it. When the next floor is no lower
than the best price, the search has proved its answer, but for what it did not try: that is listed under `left_out` with what it costs
at least, and counts in the bound. [Guarantees](guarantees.md) says what may be left out.

Every answer is then recomputed by a checker that shares no code with the model, from the documents alone.

*Made from the code by `python -m tests.documents.generated_pages`; not written by hand: every section is what its module says of itself.*
"""

_STEPS = (
    ("Parts with cut ends", "solver.geometry.cut_solids"),
    ("Outer bodies", "solver.laying.lay_out"),
    ("Closed rings", "solver.laying.closed_rings"),
    ("Tips", "solver.geometry.tips"),
    ("Lattice positions", "solver.hardware.lattice_positions"),
    ("The order of loading", "solver.laying.load_order"),
    ("Routes in and out", "solver.laying.straight_moves"),
    ("Pieces that are pulled", "solver.access.pulled_pieces"),
    ("Several orders of loading at once", "solver.laying.order_choices"),
    ("The floor under the price", "solver.position.floors.match_floors"),
    ("Lattice positions surveyed", "solver.position.floors.screened_floors"),
    ("The cheapest clamps", "solver.position.floors.cheapest_clamps"),
    ("What shuts a weld alone", "solver.position.torch_screen"),
    ("Seats at which pins may be met", "solver.position.asked_pieces.asked_seats"),
    ("The search", "solver.search.search"),
    ("Which position comes next", "solver.search.next_position"),
    ("All orders of loading asked at once", "solver.search.loading_orders"),
    ("One model for all orders of loading", "solver.model.any_order"),
    ("Placed, whatever the order", "solver.model.any_order.placed"),
    ("Clamped, whatever the order", "solver.model.any_order.clamped"),
    ("A choice slid along", "solver.model.slid_along"),
    ("Another kit", "solver.model.bounds.difference"),
    ("What a fitter prefers", "solver.model.preferences"),
    ("True", "solver.model.preferences.true"),
    ("Tidy", "solver.model.preferences.tidy"),
    ("Handy", "solver.model.preferences.handy"),
    ("Preferred wherever it stands", "solver.search.preferred"),
    ("Whether joints are pressed", "solver.statics.joints.pressing"),
    ("The price", "solver.model.objective"),
    ("Stations beside each other", "solver.position.arrangement.arranger"),
    ("The best number of stations", "solver.search.stations.counts"),
    ("Several sizes on one set-up", "solver.model.variants.same_pieces"),
    ("Where the lattice runs under all sizes", "solver.search.variants.lattices"),
    ("What can stand for all sizes", "solver.search.variants.at_position"),
    ("Left and right hand", "solver.mirrored_plans"),
    ("Counting before placing", "solver.model.bounds.counting"),
    ("Infeasible, confirmed", "solver.explain.confirmation"),
    ("The witness", "solver.model.witness"),
    ("Variants that cannot share a set-up", "solver.explain.variants"),
    ("Irreducible reasons", "solver.explain.irreducible"),
    ("The cause", "solver.explain.lifting.causes"),
    ("What shuts next", "solver.explain.lifting.shut_next"),
    ("What would help", "solver.explain.repairs"),
)


def rules_page() -> str:
    """Return the rule book as Markdown, a table for each group of rules."""
    numbered = [rule for rule in RULES if rule.value is not None]
    return "\n".join([_RULES, *(_group(name, rules) for name, rules in groupby(numbered, key=lambda rule: rule.group))])


def _group(name: str, rules: Iterable[Rule]) -> str:
    lines = [f"## {name}", "", "| rule | default | unit | range | meaning | source |", "| --- | --- | --- | --- | --- | --- |"]
    for rule in rules:
        value = rule.value
        assert value is not None
        cells = (
            f"`{rule.name}`",
            f"{value.default:g}",
            value.unit,
            f"{value.low:g} to {value.high:g}",
            rule.meaning,
            value.source,
        )
        lines.append(_row(cells))
    return "\n".join([*lines, ""])


def codes_page() -> str:
    """Return the codes of reasons and of the checker's findings as Markdown: what each means and what to do."""
    why = [(rule.name, hindrance.meaning or rule.meaning, hindrance.remedy) for rule, hindrance in reasons()]
    found = sorted((rule.name, rule.meaning, rule.if_broken) for rule in RULES if rule.if_broken)
    return "\n".join([_CODES, *_codes("Reasons", _REASONS, why), *_codes("Findings", _FINDINGS, found)])


def _codes(title: str, words: str, codes: Iterable[tuple[str, str, str]]) -> list[str]:
    rows = [_row((f"`{name}`", meaning, remedy)) for name, meaning, remedy in codes]
    return [f"## {title}", "", words, "", "| code | means | what to do |", "| --- | --- | --- |", *rows, ""]


def _row(cells: Iterable[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def model_page() -> str:
    """Return the model as Markdown, a section for each step and each constraint family, in the modules' own words."""
    steps = [_section(f"## {title}", name) for title, name in _STEPS]
    families = importlib.import_module("solver.model.families")
    found = pkgutil.walk_packages(families.__path__, "solver.model.families.")
    names = sorted(module.name for module in found if not module.ispkg)
    return "\n".join(
        [_MODEL, *steps, _section("## The constraint families", families.__name__), *(_family(name) for name in names)]
    )


def _section(heading: str, module: str) -> str:
    return f"{heading}\n\n{_words(module)}\n\n`{module}`\n"


def _family(module: str) -> str:
    title, _, rest = _words(module).partition("\n\n")
    name, _, rule = title.partition(": ")
    return f"### {name}\n\n{rule[:1].upper()}{rule[1:]}\n\n{rest}\n\n`{module}`\n"


def _words(module: str) -> str:
    """Return a module's docstring as Markdown: literals in single back-quotes, formulas safe from being read as emphasis.

    Drawings, between lines of three back-quotes, stay as they are.
    """
    pieces = (importlib.import_module(module).__doc__ or "").strip().split("```")
    for place in range(0, len(pieces), 2):
        words = pieces[place].replace("``", "`")
        pieces[place] = words.replace("*", "\\*").replace("_", "\\_") if "`" not in words else words
    return "```".join(pieces)


def front_picture() -> str:
    """Return the picture the README opens with: the demo shop's main job from above, as it is drawn on its sheet."""
    view = top_views(scene(kept(MAIN_JOB)), (190.0, 120.0)).main
    return as_svg(replace(view, marks=(rectangle(view.page, "paper"), *view.marks)))


PAGES = {"rules.md": rules_page, "model.md": model_page, "codes.md": codes_page, "hinge-lug.svg": front_picture}


def main(folder: Path = Path("docs")) -> None:
    """Write every page into `folder`."""
    for name, page in PAGES.items():
        (folder / name).write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
