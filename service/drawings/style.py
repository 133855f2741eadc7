"""Colours and line weights of the drawings: told apart without colour too, and on white paper."""

from __future__ import annotations

from string import Template

from service.palette import COLOURS

CAUTION = (
    "Advice for a competent person. Welding: fumes, arc radiation, burns, fire, electric shock; clamps: pinched hands, stored "
    "energy; heavy parts: lifting. Local code, the employer's procedures and qualified practice come first."
)

STYLE = Template("""
text{font-family:"DejaVu Sans",Verdana,Arial,sans-serif;fill:$ink}
.paper{fill:$paper}.floor{fill:$chalk}.table{fill:$plate;stroke:$slate;stroke-width:2}
.hole{fill:$mist;stroke:$slate;stroke-width:1}.blocked{stroke:$umber;stroke-width:2.5;fill:none}
.part{fill:$steel;fill-opacity:.8;stroke:$ink;stroke-width:1.5;fill-rule:evenodd}
.locator{fill:$petrol;fill-opacity:.9;stroke:$ink;stroke-width:1.2;fill-rule:evenodd}
.clamp{fill:$ochre;fill-opacity:.85;stroke:$umber;stroke-width:1.2;fill-rule:evenodd}
.carrier{fill:$sand;stroke:$slate;stroke-width:1.2;fill-rule:evenodd}
.hidden{fill:none;stroke:$ink;stroke-width:.8;stroke-dasharray:3 3}
.casing{fill:none;stroke:$paper;stroke-width:6;stroke-linecap:round}.weld{fill:none;stroke:$madder;stroke-width:3;stroke-linecap:round}
.upright{fill:$madder;stroke:$paper;stroke-width:1.5}
.weld-id{font-size:12px;font-weight:bold;fill:$madder;paint-order:stroke;stroke:$paper;stroke-width:3px}
.mark{stroke:$ink;stroke-width:1.4}.side{fill:$ink}.end{fill:$paper}.support{fill:$paper}.cross,.push{stroke:$ink;stroke-width:1.4;fill:none}
.tip{fill:$paper;stroke:$umber;stroke-width:2}.dot{fill:$umber}
.tag{fill:$paper;fill-opacity:.88;stroke:$slate;stroke-width:.6}.id{font-size:11.5px;font-weight:bold}
.part-id{font-size:14px;font-style:italic;fill:$ink;paint-order:stroke;stroke:$paper;stroke-width:3px;stroke-opacity:.7}
.lattice{font-size:11px;fill:$slate}.measure{font-size:13px}
.witness{stroke:$slate;stroke-width:.8;fill:none;stroke-dasharray:6 3}.size{stroke:$slate;stroke-width:1;fill:none}
.head{fill:$slate}
.title{font-size:22px;font-weight:bold}.subtitle{font-size:15px;fill:$slate}
.fact,.cell,.strong,.heading{font-size:12px}.strong,.heading{font-weight:bold}.rule{stroke:$slate;stroke-width:1}
.caution{font-size:11px;fill:$slate}
""").substitute(COLOURS)
