"""The words for what goes wrong with a flask: what it is called, what to do at once, what is left of it."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as lazy

from casting.calc.values.mishap import Left, Mishap

KINDS: Mapping[Mishap, Promise] = {
    Mishap.LEAKED: lazy("It leaks"),
    Mishap.CRACKED: lazy("It is cracked"),
    Mishap.BLOWN_OUT: lazy("It blew out"),
    Mishap.FROZEN: lazy("Metal froze in the cup"),
    Mishap.LATE: lazy("It is late"),
    Mishap.POWER: lazy("The power failed"),
    Mishap.MISRUN: lazy("It did not fill: a misrun"),
}
"""What somebody presses."""

NOTED: Mapping[Mishap, Promise] = {
    Mishap.LEAKED: lazy("%(label)s leaked"),
    Mishap.CRACKED: lazy("%(label)s is cracked"),
    Mishap.BLOWN_OUT: lazy("%(label)s blew out"),
    Mishap.FROZEN: lazy("metal froze in the cup of %(label)s"),
    Mishap.LATE: lazy("%(label)s is late"),
    Mishap.POWER: lazy("power cut: %(label)s"),
    Mishap.MISRUN: lazy("%(label)s did not fill"),
}
"""What was noted of a flask."""

STEPS: Mapping[str, Promise] = {
    "vacuum-off": lazy("Vacuum off. Everybody two big steps back; nobody bends over it."),
    "let-freeze": lazy("Let the metal freeze where it runs. Do not lift or turn the flask."),
    "no-water": lazy("Dry sand if it still runs or something burns. Never water: water and molten metal explode."),
    "damp-others": lazy("It may have been damp. Pour no other flask before somebody knows why it blew out."),
    "do-not-pour": lazy("Not poured yet? Do not pour it: metal breaks through a crack."),
    "set-aside": lazy("Set it on dry sand, marked, out of the way. Let it cool; do not heat it again."),
    "metal-stays": lazy("Let its metal freeze in the crucible. It is weighed back."),
    "no-more-on-top": lazy("Pour nothing on top: it does not join, and it may spit."),
    "wait-to-quench": lazy("Wait its full time and until the button is dark, as ever, before any water."),
    "stays-hot": lazy("Leave it in its kiln, door shut."),
    "melt-later": lazy("Do not melt its metal before it is ready. Go on with the next flask."),
    "leave-the-tree": lazy("Take a picture before anything is cut off. Note the defect: the page Defects says why."),
    "look-at-flask": lazy("Read its kiln and the gauge before the next pour: cold flasks and weak vacuum stay so."),
}
"""What to do at once, by the ids of `fixtures/mishaps.json`."""

ASKED: Mapping[Mishap, Promise] = {
    **dict.fromkeys(Mishap, lazy("What is left of it?")),
    Mishap.LATE: lazy("How late is it?"),
    Mishap.POWER: lazy("How hot did it stay?"),
    Mishap.MISRUN: lazy("Will a piece of it do?"),
}
"""What is asked of each."""

LEFT: Mapping[Left, Promise] = {
    Left.METAL: lazy("Metal is in it: look at its pieces later"),
    Left.NONE: lazy("Nothing is in it: its pieces are lost"),
    Left.UNPOURED: lazy("It is not poured: its pieces are lost"),
    Left.HOT: lazy("Somebody read it: never below %(limit)s"),
    Left.COLD: lazy("Below %(limit)s, or nobody knows: it is not poured"),
    Left.LATE_10: lazy("10 min"),
    Left.LATE_20: lazy("20 min"),
    Left.LATE_40: lazy("40 min or more"),
}
"""The answers."""

OF_MISRUN: Mapping[Left, Promise] = {
    Left.METAL: lazy("Some may do: look at each"),
    Left.NONE: lazy("None will do"),
}
"""The answers where a casting is seen already."""

OF_FROZEN: Mapping[Left, Promise] = {
    Left.METAL: lazy("Some may have filled: look at its pieces later"),
    Left.NONE: lazy("All of it is in the cup: its pieces are lost"),
}
"""The answers where the metal can be seen in the cup."""
OWN: Mapping[Mishap, Mapping[Left, Promise]] = {Mishap.MISRUN: OF_MISRUN, Mishap.FROZEN: OF_FROZEN}


def left_words(kind: Mishap, left: Left) -> str:
    """Return the answer of what is left; it may have a place for the limit of a flask that cools."""
    return str(OWN.get(kind, {}).get(left) or LEFT[left])
