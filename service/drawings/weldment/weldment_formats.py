"""The formats a weldment alone can be had in, one line each."""

from __future__ import annotations

from service.drawings.dxf.flat_plates import plates_dxf
from service.drawings.dxf.weldment_views import weldment_dxf
from service.drawings.file_format import FileFormat, Formats
from service.drawings.models.step import LIBRARY
from service.drawings.weldment.views_sheet import weldment_svg
from service.drawings.weldment.weldment_glb import scene_of
from service.drawings.weldment.weldment_step import weldment_step
from solver.weldment import Weldment

WELDMENT_FORMATS: Formats[Weldment] = {
    each.name: each
    for each in (
        FileFormat("svg", "image/svg+xml", ".svg", weldment_svg, use="three views and the list of parts, for other documents"),
        FileFormat("dxf", "image/vnd.dxf", ".dxf", weldment_dxf, use="three views, a layer a part, and plates flat"),
        FileFormat("plates", "image/vnd.dxf", ".plates.dxf", plates_dxf, use="DXF with the plates flat and nothing else, to cut"),
        FileFormat("glb", "model/gltf-binary", ".glb", scene_of, use="parts in space, for viewers"),
        FileFormat("step", "model/step", ".step", weldment_step, needs=LIBRARY, use="parts as solid bodies, for CAD"),
    )
}
"""Every format of a weldment, by name, in the order they are offered."""
