"""The words for a defect's causes, what to do about each, and the figures that tell of it."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as lazy

CAUSES: Mapping[str, tuple[Promise, Promise]] = {
    "flask-cold": (
        lazy("The flask was too cold for its thinnest part."),
        lazy("Pour thin work from a hotter flask, with like work beside it."),
    ),
    "soak-short": (
        lazy("The flask had not come to its temperature all through."),
        lazy("Let it soak as long as the plan says before the pour."),
    ),
    "charge-short": (lazy("There was too little metal."), lazy("Weigh the charge with its button. Weigh it twice.")),
    "vacuum-weak-pour": (
        lazy("The vacuum under the flask was weak."),
        lazy("Try table, gasket and gauge with an empty flask before the melt."),
    ),
    "out-long": (
        lazy("The flask stood out of the kiln too long."),
        lazy("Melt first. Take the flask out when the metal is ready."),
    ),
    "top-short": (
        lazy("Carbon was left: the hold at the top was short."),
        lazy("Hold longer at the top, with air in and out. White investment is done, grey is not."),
    ),
    "top-low": (lazy("Carbon was left: the top was low."), lazy("Check the kiln's reading. Fire to the full top.")),
    "plaster-too-hot": (
        lazy("The investment broke down: the top was too hot."),
        lazy("Check the kiln's reading. Fire no hotter than the powder takes."),
    ),
    "flask-hot": (
        lazy("The flask was too hot for this piece."),
        lazy("Pour heavy work from a cooler flask, with like work beside it."),
    ),
    "metal-hot": (lazy("The metal was too hot."), lazy("Pour closer to its liquidus.")),
    "metal-tired": (
        lazy("Too much of the metal had been melted before."),
        lazy("Take more fresh metal. Send what was melted often to the refiner."),
    ),
    "sprue-thin": (
        lazy("The sprue froze before the piece."),
        lazy("Set a sprue as thick as the thickest part, right at that part."),
    ),
    "sprue-long": (lazy("The sprue was too long."), lazy("Cut it shorter.")),
    "slurry-old": (
        lazy("The mix was past its working time."),
        lazy("Mix a smaller bowl. Stop when its time is over, and mix anew."),
    ),
    "no-quiet": (
        lazy("The flask was moved while it set."),
        lazy("Put it down before the gloss goes off, and leave it alone."),
    ),
    "vacuum-weak-mix": (
        lazy("The vacuum on the mix was weak."),
        lazy("Vacuum until the mix rises and falls. Try the pump before the powder is weighed."),
    ),
    "water-much": (lazy("The mix had too much water."), lazy("Weigh the water and the powder.")),
    "water-little": (lazy("The mix had too little water."), lazy("Weigh the water and the powder.")),
    "rest-short": (
        lazy("The flask went into the kiln before it was hard."),
        lazy("Let it rest longer before the kiln goes on."),
    ),
    "heated-fast": (
        lazy("The kiln rose too fast while the investment was wet."),
        lazy("Heat slowly until the steam is gone."),
    ),
    "cover-thin": (
        lazy("There was too little investment over the tallest wax."),
        lazy("Take a taller flask, or a shorter sprue."),
    ),
    "quench-early": (
        lazy("The flask went into water too soon."),
        lazy("Wait the minutes on its card. Some metals crack if they wait too long: read its sheet."),
    ),
    "resin-ash": (
        lazy("Printed resin leaves ash."),
        lazy("Burn it out longer, with more air. Follow the resin maker's sheet."),
    ),
}
"""By the ids of `fixtures/defects.json`: the cause, and the remedy."""

FACTS: Mapping[str, Promise] = {
    "flask_c": lazy("flask temperature"),
    "soak_min": lazy("soak at flask temperature"),
    "charge_g": lazy("metal weighed out"),
    "pour_gauge_mbar": lazy("air left under the flask at the pour"),
    "out_min": lazy("from the kiln to the pour"),
    "top_hold_min": lazy("hold at the top"),
    "top_c": lazy("top of the firing, as read"),
    "superheat_c": lazy("metal above its liquidus"),
    "fresh_pct": lazy("fresh metal"),
    "sprue_mm": lazy("thickness of the sprue"),
    "sprue_length_mm": lazy("length of the sprue"),
    "slurry_min": lazy("age of the mix when the flask was filled"),
    "quiet_min": lazy("left alone before the gloss went off"),
    "mix_gauge_mbar": lazy("air left over the mix"),
    "water_g_per_100g": lazy("water"),
    "rest_min": lazy("rest before the kiln"),
    "early_ramp_c_per_h": lazy("ramp of the cold kiln"),
    "cover_mm": lazy("investment over the tallest wax"),
    "quench_min": lazy("from the pour to the quench"),
    "resin": lazy("printed resin"),
}
"""What each figure is that a cause is held against."""
