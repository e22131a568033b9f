"""Tolerances: how exactly lengths, weights and sums are compared."""

SLACK = 0.001
"""What fits exactly fits: lengths and weights are compared with this margin [mm, g]."""

PRINTED = 0.002
"""The most that a clearance may lack in an accepted layout: SLACK, and as much for rounding to what is printed [mm].

What is refuted is refuted for a layout that lacks this too.
"""

SPARE = 0.002
"""A layout holds this much more than asked, so that it still holds once it is rounded as it is printed [mm]."""

TREE_SPARE = 0.003
"""The same on a tree, where the rings' angles are found to a hundredth of a millimetre only [mm]."""

EASE = 1e-6
"""Sums and bounds are eased by this, so that rounding never makes a bound too high."""

BOUND_EASE = 1e-4
"""An LP's bound on a count is lowered by this before it is rounded up: a bound of 3.00003 says 3, not 4."""

CENT = 0.01
"""Costs are told apart to this; plans less than half of it apart cost the same [currency]."""

COUNT_EASE = 1e-5
"""Tolerance of a count limit in the LP; a larger one would let the LP buy half a wax."""

PER_MM = 10**9
"""Picometres in a millimetre: layouts and kiln places are checked in whole ones."""
