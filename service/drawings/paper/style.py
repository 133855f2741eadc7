"""Colours and line widths of the drawings: told apart in grey and by colour-blind eyes, on white paper.

What a body is for shows in its lightness, in the pattern of its edge and in its number; colour comes third.
Widths are mm of paper, thick to thin 0.5, 0.35, 0.25, 0.18 (ISO 128).
"""

from __future__ import annotations

from collections.abc import Mapping
from string import Template

from service.drawings.paper.lettering import FAMILY
from service.palette import BY_NIGHT, COLOURS

CAUTION = (
    "Advice for a competent person. Welding: fumes, arc radiation, burns, fire, electric shock; clamps: pinched hands, stored "
    "energy; heavy parts: lifting. Local code, the employer's procedures and qualified practice come first."
)


def _mixed(colour: str, other: str, share: float) -> str:
    """Return a colour with a share of another in it."""
    mixed = (round(int(colour[k : k + 2], 16) * (1 - share) + int(other[k : k + 2], 16) * share) for k in (1, 3, 5))
    return "#" + "".join(f"{value:02x}" for value in mixed)


SHADES = {
    f"{name}_{shade}": _mixed(COLOURS[name], COLOURS[other], 0.35)
    for name in ("petrol", "ochre", "sand", "steel")
    for shade, other in (("lit", "paper"), ("dark", "ink"))
}
"""Faces in the light and in the dark, of bodies drawn in space."""

_SHEET = Template("""
text{font-family:"$family",sans-serif;fill:$ink}
.paper{fill:$paper}.floor{fill:$chalk}.table{fill:$plate;stroke:$slate;stroke-width:.35}
.hole{fill:$mist;stroke:$slate;stroke-width:.13}.taken{fill:$paper;stroke:$ink;stroke-width:.35}
.blocked{stroke:$umber;stroke-width:.35;fill:none}
.part{fill:$steel;fill-opacity:.82;stroke:$ink;stroke-width:.25;fill-rule:evenodd}
.outer{fill-opacity:.38;stroke-dasharray:1.8 .7}
.locator{fill:$petrol;fill-opacity:.92;stroke:$ink;stroke-width:.25;fill-rule:evenodd}
.clamp{fill:$ochre;fill-opacity:.9;stroke:$umber;stroke-width:.25;fill-rule:evenodd}
.carrier{fill:$sand;stroke:$slate;stroke-width:.25;fill-rule:evenodd}
.ghost{fill:$paper;fill-opacity:.55;stroke:$slate;stroke-width:.18;stroke-dasharray:1 .6}
.hidden{fill:none;stroke:$ink;stroke-width:.18;stroke-dasharray:1 .7}
.casing{fill:none;stroke:$paper;stroke-width:1.5;stroke-linecap:round}
.weld{fill:none;stroke:$madder;stroke-width:.8;stroke-linecap:round}
.seam{fill:none;stroke:$madder;stroke-width:.6;stroke-dasharray:1.6 1}
.reach{fill:none;stroke:$madder;stroke-opacity:0;stroke-width:4;stroke-linecap:round;pointer-events:stroke}
.at-fault{stroke:$madder;stroke-width:.5;stroke-dasharray:2 1}.part.chosen{stroke:$petrol;stroke-width:.6}
.weld.chosen,.seam.chosen{stroke:$petrol;stroke-width:1.1}
.bead{fill:$madder;stroke:$paper;stroke-width:.3}
.torch{fill:none;stroke:$madder;stroke-width:.3}.torch-head{fill:$madder}.torch-down{fill:$paper;stroke:$madder;stroke-width:.3}
.mark{stroke:$ink;stroke-width:.3}.side{fill:$ink}.end{fill:$paper}.support{fill:$paper}.cross{stroke:$ink;stroke-width:.3;fill:none}
.vee{fill:none;stroke:$paper;stroke-width:1}.vee-line{fill:none;stroke:$ink;stroke-width:.5}
.tip{fill:$paper;stroke:$umber;stroke-width:.45}.dot{fill:$umber}.push{fill:none;stroke:$umber;stroke-width:.35}.push-head{fill:$umber}
.tag{fill:$paper;stroke:$ink;stroke-width:.18}.leader{fill:none;stroke:$ink;stroke-width:.13}.foot{fill:$ink}
.weld-words{fill:$madder}.quiet{fill:$slate}.plate-words{fill:$ink}
.halo{fill:$paper;fill-opacity:.8}
.witness{stroke:$slate;stroke-width:.13;fill:none}.size{stroke:$slate;stroke-width:.18;fill:none}.size-head{fill:$slate}
.ring{fill:none;stroke:$ink;stroke-width:.25;stroke-dasharray:2 .8 .4 .8}
.rule{stroke:$slate;stroke-width:.18;fill:none}.bar{fill:$ink}.bar-light{fill:$paper;stroke:$ink;stroke-width:.18}
.face{stroke:$ink;stroke-width:.15;stroke-linejoin:round}
.job{fill:$sand;stroke:$slate;stroke-width:.25}.job-late{fill:$paper;stroke:$madder;stroke-width:.7}
.stays{fill:$petrol}.no-work{fill:$mist;fill-opacity:.45}.used-up{fill:$sand;stroke:$madder;stroke-width:.35}
.smooth{stroke-width:.12}.ground{fill:$plate;stroke:$slate;stroke-width:.18}
$faces
""")


def style_sheet(colours: Mapping[str, str]) -> str:
    """Return the style sheet of every drawing, in colours by the names of `COLOURS` and `SHADES`."""
    faces = "\n".join(
        f".{purpose}-{shade}{{fill:{colour}}}.smooth.{purpose}-{shade}{{stroke:{colour}}}"
        for purpose, name in (("locator", "petrol"), ("clamp", "ochre"), ("carrier", "sand"), ("part", "steel"))
        for shade, colour in (("lit", colours[f"{name}_lit"]), ("dim", colours[name]), ("dark", colours[f"{name}_dark"]))
    )
    return _SHEET.substitute(colours, family=FAMILY, faces=faces).strip()


STYLE = style_sheet({**COLOURS, **SHADES})
"""The style sheet of every drawing on paper."""

STYLE_BY_NIGHT = style_sheet({**COLOURS, **SHADES, **BY_NIGHT})
"""The same for pages shown light on dark; faces of bodies in space stay as they are."""
