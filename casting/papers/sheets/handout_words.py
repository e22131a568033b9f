"""What the safety handout says: short sentences, verb first, one action each, for a reader of twelve.

A line stands on the sheet always, or when one of its rules (`fixtures/cautions.json`) was raised
for the day. A rule raised at STOP that no line speaks for is printed in its own words.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to do. `when` are the rules that print it, none for always; `unless` those that keep it away.

    `speaks_for` are the rules that it replaces on the sheet.
    """

    text: Words
    sign: str | None = None
    when: frozenset[str] = frozenset()
    speaks_for: frozenset[str] = frozenset()
    unless: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Trouble:
    """What to do if it goes wrong, and what that rests on."""

    sign: str
    title: Words
    text: Words
    basis: str


def on(*rules: str) -> frozenset[str]:
    """The rules by id."""
    return frozenset(rules)


def said(text: Words, *rules: str) -> Line:
    """A line that these rules print, and that speaks for them."""
    return Line(text, when=on(*rules), speaks_for=on(*rules))


STOPS: tuple[Line, ...] = (
    Line(_("Hot metal explodes in a wet or cold mould. Do not pour."), "W017", speaks_for=on("R-21")),
    Line(
        _("One pour at a time. Do not cross the line while metal is liquid. Stay back 2 metres: two big steps."),
        "P004",
        speaks_for=on("one-pour", "nobody-crosses"),
    ),
    Line(_("Do not quench a red button. Wait for the teacher to say now."), "W017", speaks_for=on("N-07")),
    Line(
        _("Do not melt %(fan_metals)s until the fume fan is on."),
        "W016",
        when=on("R-01b"),
        speaks_for=on("R-01b"),
    ),
    Line(_("Do not melt plated, costume or unknown metal."), "W016", speaks_for=on("R-31")),
    Line(_("Put away all solvents before there is a flame or a hot kiln."), "P003", speaks_for=on("R-25b")),
    Line(_("Do not pour until the vacuum gauge reads its number: %(vacuum)s."), speaks_for=on("R-22")),
    Line(
        _("Gas alarm, or %(gas_out)s ppm? Headache at the kiln? Everyone out. Stay out."),
        "W016",
        speaks_for=on("gas-alarm"),
    ),
    Line(_("Plaster mix past its time goes in the sludge bucket, not in a flask."), speaks_for=on("N-10")),
    Line(
        _("Do not light the torch until it has passed its leak test."), "P003", when=on("R-16b"), speaks_for=on("R-16b")
    ),
    Line(_("No gas alarm? Stay out of the kiln room."), "W016", when=on("R-19b"), speaks_for=on("R-19b")),
    Line(_("Do not run the kiln until its fumes go outside."), "W016", when=on("R-19a"), speaks_for=on("R-19a")),
    Line(_("Never leave this kiln unattended."), when=on("R-20b", "N-23"), speaks_for=on("R-20b", "N-23")),
    Line(_("%(child)s or younger: only watch, from 2 metres."), "P004", when=on("R-28"), speaks_for=on("R-28")),
    Line(_("Do not touch old white pads. Tell the teacher."), "W016", when=on("R-32a"), speaks_for=on("R-32a")),
    Line(
        _("No hot work until eyewash, extinguisher and first-aider are here."),
        "E003",
        when=on("R-35"),
        speaks_for=on("R-35"),
    ),
    Line(_("Do not cast on wet ground."), "W017", when=on("R-36"), speaks_for=on("R-36")),
)

WEAR: tuple[tuple[str, Words], ...] = (
    ("M004", _("Eye protection, all day. Over contact lenses too. Never touch lenses with powder on your hands.")),
    ("M013", _("Face shield to melt, pour and quench.")),
    ("M009", _("Dry heat gloves to lift and pour. Not for the quench: wet ones scald.")),
    ("M010", _("Cotton, wool or leather. No nylon. Long sleeves. Trouser legs over the shoes.")),
    ("M008", _("Closed leather shoes. Hair tied back, no spray. No scarf, no rings.")),
    ("M017", _("A mask that fits, FFP3 or P100, for powder, quench and cleaning out. No paper mask.")),
)
WEAR_SPEAKS_FOR = on("R-30")
WEAR_BASIS = (
    "mask: HSE, CE-marked FFP3, no nuisance mask (trade press, second hand), NIOSH 2008-140 for P100; dry gloves: an "
    "encyclopedia's page on oven gloves, common practice at the quench; trouser legs: common practice"
)
"""What the lines to wear rest on that no rule of the rulebook has."""

STEPS: tuple[tuple[Words, tuple[Line, ...]], ...] = (
    (
        _("Before"),
        (
            Line(_("Practise the pour with a cold, empty flask first."), speaks_for=on("dry-run")),
            Line(_("Tell the teacher in private about anything that puts you at risk."), speaks_for=on("R-29")),
            Line(_("Think of pregnancy, asthma, heart, skin, implants, medicine.")),
            Line(_("You may stay out of hot work. Nobody asks why.")),
            Line(_("Do not eat or drink here. Wash your hands before you do.")),
        ),
    ),
    (
        _("Wax and plaster"),
        (
            said(_("Cap every solvent. Use a small bottle, far from any flame."), "R-25a"),
            said(_("Fill the lamp only when it is out and cold. Its flame is hard to see."), "R-26"),
            said(
                _("Touch only washed and cured resin, with gloves: it can start an allergy for life. "
                  "Follow its maker's firing."),
                "R-08",
            ),
            Line(
                _("Let an adult mix the powder, slowly, from low down. Its dust can damage lungs for life."),
                when=on("R-14a"),
                speaks_for=on("R-14a"),
            ),
            Line(
                _("Add powder to water slowly, from low down. Its dust can damage lungs for life."),
                unless=on("R-14a"),
            ),
            said(_("Wipe wet. Never sweep. Pour no plaster down the drain."), "R-11"),
            said(_("Read the powder's data sheet: it needs its own firing and has a sharp smell."), "R-13"),
            said(_("Check the bell jar for cracks. Put its shield on. "
                   "Do not lift it while it is pumped. Keep your face away."), "R-15"),
            Line(_("Keep hands out of wet plaster: it gets hot as it sets.")),
        ),
    ),
    (
        _("Kiln"),
        (
            Line(
                _(
                    "Keep the door shut from wax-out until the kiln has passed about %(door)s. "
                    "Air can make wax smoke flare."
                ),
                speaks_for=on("door-shut"),
            ),
            Line(
                _("Keep the vent open. Stay out of the kiln room: some smoke has no smell."), speaks_for=on("R-07")
            ),
            said(_("Before you leave the kiln: alarm on, nothing that burns near, number on the door."),
                 "R-20a-say"),
            said(_("Lift the steamer's lid away from you, with long tongs."), "R-40"),
            Line(
                _("Look for white plaster. Grey or black means carbon: more time and air, not more heat."),
                speaks_for=on("white-plaster"),
            ),
            Line(
                _("Put aside a flask that fell below %(reheat)s. Do not reheat it: it may crack."),
                speaks_for=on("no-reheat"),
            ),
        ),
    ),
    (
        _("Melt"),
        (
            Line(_("Use one crucible and one stirring rod for each metal."), speaks_for=on("one-cup")),
            Line(
                _("Choose a warm, dry ingot mould before you melt. Leftover metal goes there."),
                speaks_for=on("leftover"),
            ),
            Line(_("Add nothing wet or cold to a melt: it spits.")),
            said(_("Look only through dark glass, shade 3 to 5. Never put a lit torch down."), "R-16a"),
            said(_("Keep acetylene under 15 psi (103 kPa, 1 bar)."), "R-17a"),
            said(_("Never use propane or butane in a cellar or pit: the gas sinks."), "R-17b"),
            said(_("Keep oil and grease away from oxygen. Fuel first, then oxygen."), "R-17c"),
            said(_("Keep the lid shut. Switch off before you lift the crucible."), "R-18a"),
            said(_("Stay out if you have a pacemaker or other implant."), "R-18b"),
            said(_("Keep the fume fan on for %(fume_metals)s."), "R-02", "fan-running"),
            said(_("See white smoke? Step back. Tell the teacher. Fever later? Tell a doctor."), "R-01a"),
            said(_("Keep %(nickel_metals)s off skin that itches from nickel."), "R-03"),
            Line(_("Watch the melt: when ready, it is bright and rolls like one drop."), speaks_for=on("melt-ready")),
        ),
    ),
    (
        _("Pour"),
        (
            Line(_("Let the teacher pour, or say who may."), when=on("R-27a", "R-27b", "R-28")),
            Line(_("Stand still while someone pours. Keep the way clear.")),
            Line(_("Leave the flask alone until its glow is gone.")),
        ),
    ),
    (
        _("Quench and clean"),
        (
            Line(_("Put the mask on for the quench: its steam carries plaster dust.")),
            Line(
                _("Let the button go dark. Lower the flask slowly. Keep your face and arms out of the steam."),
                speaks_for=on("R-23"),
            ),
            Line(_("Treat every metal as hot. Ask before you touch.")),
            said(
                _("Wear goggles at the pickle. Cool the piece first. Put acid into water. No steel tongs in it."),
                "R-24",
            ),
            Line(_("Clamp the piece to saw off its sprue. Wear no gloves at a wheel.")),
        ),
    ),
)  # fmt: skip

WRONG: tuple[Trouble, ...] = (
    Trouble(
        "E003",
        _("Burn"),
        _(
            "Hold it under cool running water for 20 minutes. Start at once. Take rings off. Keep the rest warm. Use "
            "no ice, butter or cream. Metal stuck to skin: cool it, leave it on, call. Cover loosely. Call if it is "
            "bigger than your hand, white, or on a child. Call too if it is on face, hands or feet."
        ),
        "20 minutes: British Burn Association, 2019 (second hand); stuck metal: National First Aid (Australia), "
        "textbook, molten substance burn; signs to call: an NHS trust's burns page",
    ),
    Trouble(
        "E011",
        _("Eye"),
        _(
            "Dust or splash: rinse with water, lids open, 15 minutes or more. Hot metal or a sharp bit: do not rub "
            "or pull. Cover it loosely. Go to hospital."
        ),
        "15 minutes: ANSI/ISEA Z358.1 (second hand); hot metal or a sharp bit: from memory",
    ),
    Trouble(
        "W016",
        _("Fume"),
        _(
            "Go outside and tell someone. Two people with a headache may mean carbon monoxide: call, stay out. Fever, "
            "shivers or a metal taste tonight? Tell the doctor you breathed metal fume. Hard to breathe? Call."
        ),
        "fever: OSHA chemical data page, zinc oxide, and NIOSH; carbon monoxide: from memory",
    ),
    Trouble(
        "F001",
        _("Fire"),
        _(
            "Shout. Go out. Call. Put no water on hot wax or metal. Spilled metal: step back, let it freeze; then dry "
            "sand. Gas off only if you can reach it. Clothes on fire: stop, drop, roll, blanket. "
            "Shock: power off before you touch."
        ),
        "from memory; common practice",
    ),
)

TERMS: Words = _(
    "Flask: the steel tube. Investment: the plaster in it. Sprue: the wax stem. Button: the metal left on top."
)

SHELF_NAMES: tuple[Words, ...] = (
    _("Fine silver"),
    _("Sterling silver"),
    _("Germanium sterling silver"),
    _("10k yellow gold"),
    _("14k yellow gold"),
    _("14k yellow, zinc-free"),
    _("18k yellow gold"),
    _("14k rose gold"),
    _("14k nickel white gold"),
    _("18k palladium white gold"),
    _("Silicon bronze"),
    _("Yellow brass"),
    _("Copper"),
    _("carving wax"),
    _("injection wax"),
    _("print resin"),
    _("gypsum"),
)
"""What a school starts with, so that it can be read in other languages."""

DISCLAIMER: Words = _(
    "This sheet was made from what was typed in; it may be incomplete. It gives no legal, medical or technical "
    "advice. Laws, the fire authority, the insurer, safety data sheets and makers' manuals come first. So do the "
    "school's own assessment and trained people. Where they differ, the stricter rule wins. Is a "
    "metal, powder, fuel or machine in the room not printed here? Stop and ask. Only a person judged able lights "
    "a torch, opens a hot kiln, melts or pours."
)
