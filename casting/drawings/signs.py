"""Signs in one ink: plain shapes of our own, each beside words that say the same.

A triangle warns, a disc is a must, a barred ring forbids, a square shows where help is. The codes
name meanings of ISO 7010 and nothing more: the drawings are ours and claim no conformity.
"""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from casting.drawings.svg import INK, drawing, element

GRID = 24
PAPER = "#ffffff"

MEANING: Mapping[str, str | Promise] = {
    "W016": _("poison"),
    "W017": _("hot surface"),
    "W021": _("catches fire"),
    "W023": _("burns the skin"),
    "M004": _("eye cover"),
    "M008": _("closed shoes"),
    "M009": _("gloves"),
    "M010": _("body cover"),
    "M013": _("face shield"),
    "M017": _("mask"),
    "P003": _("no open flame"),
    "P004": _("no way through"),
    "E003": _("first aid"),
    "E011": _("eyewash"),
    "F001": _("fire extinguisher"),
}

FRAMES = {
    "W": "M12 2.2 22.6 21H1.4Z",
    "M": "M12 1a11 11 0 1 0 0.01 0Z",
    "P": "M12 1.6a10.4 10.4 0 1 0 0.01 0ZM4.7 4.7 19.3 19.3",
    "E": "M1.2 1.2H22.8V22.8H1.2Z",
    "F": "M1.2 1.2H22.8V22.8H1.2Z",
}

FIGURES = {
    # A round head over two crossed bones.
    "W016": "M12 8.4a2.9 2.9 0 0 0-1.7 5.2V15.2H13.7V13.6A2.9 2.9 0 0 0 12 8.4ZM7.6 15.4 16.4 19M16.4 15.4 7.6 19",
    # Heat rising from a plate.
    "W017": "M6.4 18.4H17.6M9 16.4q-1.3-1.6 0-3.2t0-3.2M12 16.4q-1.3-1.6 0-3.2t0-3.2M15 16.4q-1.3-1.6 0-3.2t0-3.2",
    "W021": "M12 8.2q3.8 3.4 3.4 6.6a3.4 3.4 0 0 1-6.8 0q0-1.8 1.4-2.8q0.4 1.2 1.2 1.4q-0.4-2.8 0.8-5.2ZM7.4 19.2H16.6",
    # Drops falling on an open hand.
    "W023": "M10 8.6v2.2M14 8.6v2.2M12 11v2.2M6.8 17.6h3l1.6-1.8h3.4M9.8 17.6H17",
    "M004": "M4.6 9.6H19.4M5.4 9.6v2.8a3 3 0 0 0 6 0V9.6M12.6 9.6v2.8a3 3 0 0 0 6 0V9.6",
    "M008": "M8.2 6v7.2q4 0.6 7.6 3.2q1 0.8 0.8 2.2H6.8V6ZM6.8 16.8H16.4",
    "M009": "M8.4 19V13.6L6.2 10.6q0.8-1.2 2 0L9.4 12V6.6q0.8-1 1.6 0V10.6 5.6q0.8-1 1.6 0V10.6 6.2q0.8-1 1.6 0V11 8"
    "q0.8-1 1.6 0V14.4L14.8 19Z",
    # A long apron with sleeves.
    "M010": "M9.4 5 7 6.4 4.8 12H7.4L8.6 9.4V19.4H15.4V9.4L16.6 12H19.2L17 6.4 14.6 5Q12 7.6 9.4 5Z",
    # A face behind a curved pane.
    "M013": "M8.2 8.4a4.4 4.4 0 0 1 8.6 0M7 8.4H17.6V13.6Q17 17.6 12.4 18.6Q7.6 17.6 7 13.6Z"
    "M10.4 11.6v0.8M14.2 11.6v0.8",
    # Nose and mouth under a mask with two straps.
    "M017": "M5 8.4 8.4 10.6M19 8.4 15.6 10.6M5.4 15.6 8.4 14.4M18.6 15.6 15.6 14.4M12 8.6q3 1 3.8 2.4v3.4"
    "q-1.8 2.8-3.8 3q-2-0.2-3.8-3V11q0.8-1.4 3.8-2.4ZM10 13h4",
    "P003": "M12 6.2q3.4 3 3 6a3 3 0 0 1-6 0q0-1.6 1.2-2.4q0.4 1 1 1.2q-0.2-2.4 0.8-4.8ZM12 15.4V19",
    # Somebody walking.
    "P004": "M12.4 5.4a1.3 1.3 0 1 0 0.01 0ZM12.2 8.6 10.8 13.2 13.4 15.4V19M10.8 13.2 8.8 18.6"
    "M9 11.4 11.6 8.8 14.8 11.6",
    "E003": "M9.4 4.6H14.6V9.4H19.4V14.6H14.6V19.4H9.4V14.6H4.6V9.4H9.4Z",
    # Water rising to an eye over a basin.
    "E011": "M6 7.4Q12 2.6 18 7.4Q12 12.2 6 7.4ZM12 6.4a1 1 0 1 0 0.01 0ZM9.4 16v-3.4M12 16v-3M14.6 16v-3.4M5 16.4H19"
    "Q18 20.4 12 20.4Q6 20.4 5 16.4Z",
    "F001": "M9 9.6q0-2 2.4-2t2.4 2V20H9ZM11.4 7.6V5.4M8 5.4H14.6M14.6 5.4q3.4 0.8 3.4 5",
}  # fmt: skip


def draw_sign(code: str, size_mm: float = 9) -> SafeString:
    """Return the sign of a code in `FIGURES`, `size_mm` wide and tall."""
    must = code[0] == "M"
    ink = PAPER if must else INK
    frame = element(
        "path",
        d=FRAMES[code[0]],
        fill=INK if must else "none",
        stroke=INK,
        stroke_width=1.8 if code[0] in "WP" else 1.2,
        stroke_linejoin="round",
        class_="ink",
    )
    figure = element(
        "path", d=FIGURES[code], fill="none", stroke=ink, stroke_width=1.1, stroke_linejoin="round",
        stroke_linecap="round", class_="ink",
    )  # fmt: skip
    return drawing(
        [frame, figure],
        title=_("Sign: %(meaning)s") % {"meaning": MEANING[code]},
        width_mm=GRID,
        height_mm=GRID,
        class_="sign",
        scale=size_mm / GRID,
    )


def drawn(codes: tuple[str, ...]) -> str | None:
    """Return the first of the codes that has a drawing here."""
    return next((code for code in codes if code in FIGURES), None)
