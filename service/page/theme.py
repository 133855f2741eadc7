"""The page's colours as a style sheet: the palette by day and by night, and the drawings' own style in those colours."""

from __future__ import annotations

from collections.abc import Mapping

from service.drawings.paper.style import SHADES, style_sheet
from service.palette import BY_NIGHT, COLOURS

_USED = tuple(name for name in COLOURS if name not in ("night", "coal", "ash", "sky"))


def theme_css() -> str:
    """Return the style sheet; which colours hold says the browser's own preference, unless the page was told."""
    day = _declared({name: COLOURS[name] for name in _USED} | {"accent": COLOURS["petrol"]} | SHADES)
    night = _declared({name: BY_NIGHT[name] for name in _USED} | {"accent": COLOURS["sky"]} | _shades_by_night())
    return (
        f":root{{color-scheme:light;{day}}}\n"
        f"@media(prefers-color-scheme:dark){{:root:not([data-theme=light]){{color-scheme:dark;{night}}}}}\n"
        f":root[data-theme=dark]{{color-scheme:dark;{night}}}\n"
        f".drawing{{\n{style_sheet({name: f'var(--{name})' for name in (*_USED, *SHADES)})}\n}}\n"
    )


def _declared(colours: Mapping[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in colours.items())


def _shades_by_night() -> dict[str, str]:
    """Return the faces in light and shade of bodies drawn in space: by night what is lit is lighter than its colour, too."""
    mixed = {"lit": "ink", "dark": "paper"}
    return {
        name: f"color-mix(in srgb,var(--{name.rpartition('_')[0]}) 65%,var(--{mixed[name.rpartition('_')[2]]}))"
        for name in SHADES
    }
