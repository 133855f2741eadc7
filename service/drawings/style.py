"""Colours and line weights of the drawings: told apart without colour too, and on white paper."""

CAUTION = (
    "Advice for a competent person. Welding: fumes, arc radiation, burns, fire, electric shock; clamps: pinched hands, stored "
    "energy; heavy parts: lifting. Local code, the employer's procedures and qualified practice come first."
)

STYLE = """
text{font-family:"DejaVu Sans",Verdana,Arial,sans-serif;fill:#1c2630}
.paper{fill:#fff}.floor{fill:#eef0f2}.table{fill:#fbfbf9;stroke:#5d6770;stroke-width:2}
.hole{fill:#e3e6e8;stroke:#a9b1b8;stroke-width:1}.blocked{stroke:#8a2f2f;stroke-width:2.5;fill:none}
.part{fill:#b9c6d3;fill-opacity:.8;stroke:#37475a;stroke-width:1.5;fill-rule:evenodd}
.locator{fill:#5aa9d6;fill-opacity:.9;stroke:#0b4f78;stroke-width:1.2;fill-rule:evenodd}
.clamp{fill:#f0b27a;fill-opacity:.85;stroke:#93500f;stroke-width:1.2;fill-rule:evenodd}
.carrier{fill:#cfcfc4;stroke:#62624f;stroke-width:1.2;fill-rule:evenodd}
.hidden{fill:none;stroke:#2c3e50;stroke-width:.8;stroke-dasharray:3 3}
.casing{fill:none;stroke:#fff;stroke-width:6;stroke-linecap:round}.weld{fill:none;stroke:#b3123f;stroke-width:3;stroke-linecap:round}
.upright{fill:#b3123f;stroke:#fff;stroke-width:1.5}
.weld-id{font-size:12px;font-weight:bold;fill:#b3123f;paint-order:stroke;stroke:#fff;stroke-width:3px}
.mark{stroke:#0b2e47;stroke-width:1.4}.side{fill:#0b4f78}.end{fill:#fff}.support{fill:#fff}.cross,.push{stroke:#0b2e47;stroke-width:1.4;fill:none}
.tip{fill:#fff;stroke:#93500f;stroke-width:2}.dot{fill:#93500f}
.tag{fill:#fff;fill-opacity:.88;stroke:#41505e;stroke-width:.6}.id{font-size:11.5px;font-weight:bold}
.part-id{font-size:14px;font-style:italic;fill:#22313f;paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-opacity:.7}
.lattice{font-size:11px;fill:#5d6770}.measure{font-size:13px}
.witness{stroke:#9aa4ad;stroke-width:.8;fill:none;stroke-dasharray:6 3}.size{stroke:#41505e;stroke-width:1;fill:none}
.head{fill:#41505e}
.title{font-size:22px;font-weight:bold}.subtitle{font-size:15px;fill:#41505e}
.fact,.cell,.strong,.heading{font-size:12px}.strong,.heading{font-weight:bold}.rule{stroke:#41505e;stroke-width:1}
.caution{font-size:11px;fill:#41505e}
"""
