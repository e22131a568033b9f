"""Drawings of a plan, as inline SVG: the flask from the wax side, the kiln shelf, the clock.

Lengths are millimetres of the real thing. Everything is a presentation attribute, so a
drawing looks the same on screen and on paper; classes only let a dark screen recolour it.
"""

from casting.drawings.flask import draw_flask
from casting.drawings.flask_thumbnail import draw_small_flask
from casting.drawings.kiln_shelf import draw_kiln_shelf
from casting.drawings.timetable import draw_firing, draw_timetable
from casting.drawings.tree import draw_tree

__all__ = ["draw_firing", "draw_flask", "draw_kiln_shelf", "draw_small_flask", "draw_timetable", "draw_tree"]
