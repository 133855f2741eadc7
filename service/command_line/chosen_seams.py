"""`holdwright seams`: the beads that a weldment offers, and welds on those that are chosen."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from inventory.errors import Fault, refuse
from inventory.limits import name_faults, one_of_faults
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, print_json, print_table, print_wrapped, read_input
from service.command_line.seam_sizes import typed_sizes
from service.documents.reading.text import LARGEST_FILE, read_text
from service.documents.seams.choosing import chosen_in, read_seams, welded
from service.documents.seams.proposals import seams_document
from service.documents.weldment import read_weldment
from service.files import laid_out, write_text
from service.text import figure
from service.text_table import Column
from solver.drafting import ChosenSeam, ProposedSeam, SeamWishes, chosen_by, proposed_seams, wished
from solver.drafting.touching.kinds import LEG_BY, THROAT_BY
from solver.weldment import LEGGED, InFixture, LengthUnit, Weldment


@dataclass(frozen=True, slots=True)
class AskedSeams:
    """What a command line says of seams: which, how big, how much in the fixture, by which process."""

    choose: tuple[str, ...] = ()
    document: Path | None = None
    leg: str | None = None
    throat: str | None = None
    sizes: tuple[str, ...] = ()
    in_fixture: str = "full"
    process: str = ""

    @property
    def wishes(self) -> bool:
        """Whether it says anything of the welds."""
        return bool(self.leg or self.throat or self.sizes or self.process or self.in_fixture != "full")


@dataclass(frozen=True, slots=True)
class SeamFiles:
    """What is written where: the weldment with its new welds, the seams document, the picture."""

    welded: Path | None = None
    out: Path | None = None
    picture: Path | None = None


def propose_seams(file: Path, asked: AskedSeams, files: SeamFiles, as_json: bool) -> int:
    """Propose seams of a weldment file, or weld those that are asked for; return the exit code."""
    for path in (files.welded, files.out, files.picture):
        if path is not None:
            refuse_unwritable(path)
    refuse(_option_faults(asked, files))
    with read_from(file):
        content = read_input(file)
        weldment = read_weldment(content)
    proposed = proposed_seams(weldment)
    chosen = _chosen(asked, weldment, proposed)
    document = seams_document(weldment, proposed, chosen or ())
    made = None if chosen is None else welded(read_text(content, LARGEST_FILE).values, weldment, chosen)
    if files.out is not None:
        _write(files.out, laid_out(document) + "\n")
    if files.welded is not None and made is not None:
        _write(files.welded, laid_out(made) + "\n")
    if files.picture is not None:
        from service.drawings.weldment.seam_picture import seam_picture

        _write(files.picture, seam_picture(weldment, proposed, [each.proposed.id for each in chosen or ()]))
    if as_json:
        print_json(document if made is None else made)
    elif STANDARD_OUTPUT not in (files.welded, files.out, files.picture):
        _say(weldment, proposed, chosen, files)
    return DONE


def _option_faults(asked: AskedSeams, files: SeamFiles) -> Iterator[Fault]:
    chooses = bool(asked.choose or asked.document)
    if asked.choose and asked.document is not None:
        yield Fault("/from", "seams are chosen twice: by --choose and by --from", "one of the two")
    if asked.document is not None and asked.wishes:
        yield Fault("/from", "sizes, process and how much is welded in the fixture stand in the seams document", "--from alone")
    if files.welded is not None and not chooses:
        yield Fault("/welded", "no seam is chosen", "--choose WHICH or --from SEAMS")
    if asked.wishes and not chooses:
        yield Fault("/choose", "sizes, process or --in-fixture for welds, but no seam is chosen", "--choose WHICH")
    yield from name_faults("/process", asked.process)
    yield from one_of_faults("/in-fixture", asked.in_fixture, get_args(InFixture))


def _chosen(asked: AskedSeams, weldment: Weldment, proposed: Sequence[ProposedSeam]) -> tuple[ChosenSeam, ...] | None:
    """Return the seams that are chosen; None if none are asked for."""
    if asked.document is not None:
        with read_from(asked.document):
            return chosen_in(read_seams(read_input(asked.document)), weldment, proposed)
    if not asked.choose:
        return None
    sizes = typed_sizes(asked.leg, asked.throat, asked.sizes, proposed, weldment.units)
    in_fixture = next(each for each in get_args(InFixture) if each == asked.in_fixture)
    return wished(chosen_by(proposed, asked.choose), SeamWishes(*sizes, in_fixture, asked.process))


def _say(weldment: Weldment, proposed: Sequence[ProposedSeam], chosen: Sequence[ChosenSeam] | None, files: SeamFiles) -> None:
    """List the seams, or those that are chosen, and say what is to be done next."""
    units = weldment.units
    listed = [(each.proposed, each) for each in chosen] if chosen is not None else [(each, None) for each in proposed]
    columns = [
        Column("seam"), Column("where", wraps=True), Column("kind"), Column("in" if units == "inch" else "mm", right=True),
        Column("opening", right=True), Column("size", right=True), Column("corner"), Column("weld"),
    ]  # fmt: skip
    print_table(columns, [_row(each, choice, units) for each, choice in listed], "no parts touch so that a bead could be laid")
    if not proposed:
        return
    print()
    if chosen is None:
        there = sum(each.weld is not None for each in proposed)
        print_wrapped(
            f"{_counted(len(proposed), 'seam')}, {there} welded. Nothing is welded by this: choose with --choose or --from."
        )
    else:
        new = sum(each.proposed.weld is None for each in chosen)
        done = f"{_counted(new, 'new weld')} on {_counted(len(chosen), 'chosen seam')}"
        kept = "" if new == len(chosen) else f"; what has a weld already ({len(chosen) - new}) stays as it is"
        print_wrapped(f"{done}{kept}." + ("" if files.welded else " Nothing is written: --welded FILE writes the weldment."))
    for letter, rule, legged in (("z, leg", LEG_BY, True), ("a, throat", THROAT_BY, False)):
        if any(_as_proposed(each, choice) and (each.seam.kind in LEGGED) is legged for each, choice in listed):
            print_wrapped(f"{letter}: {rule}")


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _as_proposed(proposed: ProposedSeam, choice: ChosenSeam | None) -> bool:
    """Return whether a size is that of the rule of thumb."""
    return choice is None or (choice.leg, choice.throat) == (proposed.seam.leg, proposed.seam.throat)


def _row(proposed: ProposedSeam, choice: ChosenSeam | None, units: LengthUnit) -> list[str]:
    seam = proposed.seam
    kind, leg, throat = (seam.kind, seam.leg, seam.throat) if choice is None else (choice.kind, choice.leg, choice.throat)
    size = f"z{figure(leg, units)}" if leg is not None else "" if throat is None else f"a{figure(throat, units)}"
    corner = "outside" if seam.outside_corner else "square" if seam.square_corner else ""
    weld = proposed.weld or ("" if choice is None else "new")
    return [proposed.id, seam.place, kind, figure(seam.length, units), f"{seam.opening:g}", size, corner, weld]


def _write(path: Path, text: str) -> None:
    if path == STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_text(path, text)
