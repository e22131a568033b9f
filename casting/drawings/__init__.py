"""Drawings of a plan as inline SVG: a flask, a tree, a kiln's shelf, the clock, the signs.

Lengths are millimetres of the real thing. Everything is a presentation attribute, so a drawing looks the same
on screen and on paper; classes only let a dark screen recolour it.
"""
