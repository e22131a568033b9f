"""The steps of the day in order, each with a sentence that says what to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest

from casting.calc.quantities.investment import water_for
from casting.calc.quantities.melt import cups_ml
from casting.calc.schedule.backward import Mix, mount_min
from casting.calc.schedule.firing import whole_minutes
from casting.calc.schedule.pours import Pour, PourJob
from casting.calc.values.day_input import COLD_C, DayInput
from casting.calc.values.day_plan import FiringPlan, Step
from casting.calc.values.enums import Do
from casting.calc.values.marked_text import flasks_in_words, heat, mark, named, ramp, waxes_in_words
from casting.calc.values.sentence import Figure, Sentence, say, starred, together


@dataclass(frozen=True, slots=True)
class DaySchedule:
    """The schedule of a day: pours, firings, mixes and loads."""

    flasks: Mapping[str, PourJob]
    pours: tuple[Pour, ...]
    firings: tuple[FiringPlan, ...]
    mixes: tuple[Mix, ...]
    load_at: Mapping[str, int]
    waxes_to_mount: int


def steps_of(schedule: DaySchedule, day: DayInput) -> tuple[Step, ...]:
    """Return the steps of the day.

    Parameters
    ----------
    schedule : DaySchedule
        The schedule.
    day : DayInput
        The day, for its rules and powder.

    Returns
    -------
    tuple of Step
        In order of their start; at the same minute in the order of the work.
    """
    order = list(Do)
    called = {kiln.key: named(kiln.called) for kiln in day.kilns}
    steps = [
        *_bench(schedule, day),
        *(step for mix in schedule.mixes for step in _mixing(mix, day)),
        *_sets(day),
        *_loads(schedule, day, called),
        *(step for firing in schedule.firings for step in _burnout(firing, schedule, day, called[firing.kiln])),
        *_pours(schedule, day),
    ]
    return tuple(sorted(steps, key=lambda step: (step.at, order.index(step.do), step.kiln or "", step.flasks)))


def hand_in_closes(schedule: DaySchedule, day: DayInput) -> int | None:
    """Return when hand-in closes: as mounting begins.

    Parameters
    ----------
    schedule : DaySchedule
        The schedule.
    day : DayInput
        The day.

    Returns
    -------
    int or None
        Minutes from the first pour; None if nothing is to be mounted.
    """
    if not schedule.mixes:
        return None
    return schedule.mixes[0].at - mount_min(schedule.waxes_to_mount, _flasks_to_mount(schedule), day.rules)


def _flasks_to_mount(schedule: DaySchedule) -> int:
    return sum(not flask.fixed for flask in schedule.flasks.values())


def _bench(schedule: DaySchedule, day: DayInput) -> Iterator[Step]:
    closes = hand_in_closes(schedule, day)
    if closes is None:
        return
    labels = tuple(sorted(label for label, flask in schedule.flasks.items() if not flask.fixed))
    until = schedule.mixes[0].at
    # A last plan is often made while the waxes are being mounted.
    at = closes if day.now is None else max(closes, min(day.now, until))
    yield Step(at, at, Do.HAND_IN_CLOSES, (), None, say("Hand-in closes: no more waxes after this."))
    trees = any(schedule.flasks[label].size.mount == "tree" for label in labels)
    where = say("foot on the cone, or in a tree its sprue on the trunk") if trees else say("foot on the cone")
    said = say(
        "Mount {waxes} on {bases}: each on its own sprue, {where}. Weigh wax and sprue together, without the rubber.",
        waxes=waxes_in_words(schedule.waxes_to_mount),
        bases=say("1 base") if len(labels) == 1 else say("{bases} bases", bases=len(labels)),
        where=where,
    )
    if at > closes:
        left = say("Only {left} of the {all} minutes that this takes are left.", left=until - at, all=until - closes)
        said = together([said, left])
    yield Step(at, until, Do.MOUNT, labels, None, said)


def _mixing(mix: Mix, day: DayInput) -> Iterator[Step]:
    flasks = tuple(sorted(mix.bowl.flasks))
    water_g = water_for(mix.bowl.powder_g, day.investment)
    said = say(
        "Put {powder_g} g of powder into {water_g:.1f} g of water. Vacuum the bowl, fill {flasks}, then vacuum each "
        "flask.",
        powder_g=mix.bowl.powder_g,
        water_g=water_g,
        flasks=flasks_in_words(flasks),
    )
    yield Step(mix.at, mix.until, Do.MIX, flasks, None, said)
    for label in flasks:
        yield _set(label, mix.until, mix.set_until)


def _set(label: str, at: int, until: int) -> Step:
    return Step(at, until, Do.SET, (label,), None, say("Leave flask {flask} alone to set. Keep it damp.", flask=label))


def _sets(day: DayInput) -> Iterator[Step]:
    """The flasks that were invested before this plan."""
    for label, at in sorted(day.invested_at.items()):
        yield _set(label, at, at + whole_minutes(day.investment.set_min))


def _loads(schedule: DaySchedule, day: DayInput, called: Mapping[str, str]) -> Iterator[Step]:
    for label, flask in sorted(schedule.flasks.items()):
        if not flask.fixed or label in day.invested_at:
            at = schedule.load_at[flask.kiln]
            words = "Load flask {flask} into {kiln}, opening down, with room below for the wax."
            yield Step(at, at, Do.LOAD, (label,), flask.kiln, say(words, flask=label, kiln=called[flask.kiln]))


def _burnout(firing: FiringPlan, schedule: DaySchedule, day: DayInput, called: str) -> Iterator[Step]:
    inside = tuple(sorted(label for label, flask in schedule.flasks.items() if flask.kiln == firing.kiln))
    kiln = firing.kiln
    yield Step(
        firing.on_at, firing.on_at, Do.KILN_ON, inside, kiln, say("Switch on {kiln}. Open its vent.", kiln=called)
    )
    at_temperature = {
        temperature: tuple(p.label for p in schedule.pours if p.kiln == kiln and p.flask_c == temperature)
        for temperature in {pour.flask_c for pour in schedule.pours if pour.kiln == kiln}
    }
    soaked = {heat_c: max(schedule.flasks[one].band.mark for one in at) for heat_c, at in at_temperature.items()}
    own = mark("segments", next(one.from_memory for one in day.firings if one.key == firing.firing))
    now_c = float(COLD_C)
    for segment, following in zip_longest(firing.segments, firing.segments[1:]):
        from_c, now_c = now_c, segment.to_c
        to = heat(segment.to_c)
        # A fall has no step of its own: the step before it says where it begins.
        then: Figure = ""
        if following and following.cooling:
            then = _onward(now_c, following.to_c, f"{heat(following.to_c)}{soaked[round(following.to_c)]}")
        if segment.cooling:
            flasks = at_temperature[round(segment.to_c)]
            to += soaked[round(segment.to_c)]
            out = say("until it is out") if len(flasks) == 1 else say("until the last of them is out")
            soaked_flasks = flasks_in_words(flasks)
            said = say("Hold {kiln} at {to}: soak {flasks} {out}{then}.",
                       kiln=called, to=to, flasks=soaked_flasks, out=out, then=then)  # fmt: skip
            yield Step(segment.reached_at, segment.ends_at, Do.SOAK, flasks, kiln, said)
            continue
        words = "Let {kiln} fall to {to} at {ramp}." if now_c < from_c else "Heat {kiln} to {to} at {ramp}."
        said = say(words, kiln=called, to=f"{to}{own}", ramp=f"{ramp(segment.ramp_c_per_h)}{own}")
        yield Step(segment.starts_at, segment.reached_at, Do.RAMP, inside, kiln, said)
        said = say("Hold {kiln} at {to} for {hold} minutes{then}.",
                   kiln=called, to=f"{to}{own}", hold=starred(segment.hold_min, own), then=then)  # fmt: skip
        yield Step(segment.reached_at, segment.ends_at, Do.HOLD, inside, kiln, said)


def _onward(from_c: float, to_c: float, to: str) -> Sentence:
    """What a kiln does after a hold; it heats again only where its firing ended too cool, which is warned of."""
    if to_c == from_c:
        return say(", then keep it at {to}", to=to)
    return say(", then let it fall to {to}" if to_c < from_c else ", then heat it again to {to}", to=to)


def _pours(schedule: DaySchedule, day: DayInput) -> Iterator[Step]:
    several = len(cups_ml(day.rules)) > 1
    for pour in schedule.pours:
        flask, melt = schedule.flasks[pour.label], pour.melt
        one = (pour.label,)
        yield Step(melt.at, melt.until, Do.MELT, one, None, _melting(pour, flask, several))
        words = "Take flask {flask} out at {heat} and set it on the vacuum table. Pour, and hold the vacuum."
        said = say(words, flask=pour.label, heat=f"{heat(pour.flask_c)}{flask.band.mark}")
        yield Step(pour.out_at, pour.until, Do.POUR, one, flask.kiln, said)
        if flask.stones:
            said = say(
                "Do not quench flask {flask}: its stones would crack. Let it cool in air until it is cold to the "
                "hand, then clean it out under water. Saw off the sprues, grind the stubs, weigh everything.",
                flask=pour.label,
            )
            yield Step(pour.quench_at, pour.quench_at, Do.DIVEST, one, None, said)
            continue
        words = "Quench flask {flask} in water once its button shows no red. Mask on, face away from the steam."
        yield Step(pour.quench_at, pour.quench_at, Do.QUENCH, one, None, say(words, flask=pour.label))
        words = "Clean flask {flask} out under water. Saw off the sprues, grind the stubs, weigh everything."
        yield Step(pour.quench_at, pour.quench_at, Do.DIVEST, one, None, say(words, flask=pour.label))


def _melting(pour: Pour, flask: PourJob, several_cups: bool) -> Sentence:
    """What is melted for a flask, in which crucible if there are several."""
    cup = say(" in the {cup_ml} ml crucible", cup_ml=pour.melt.cup_ml) if several_cups else ""
    melt = say(
        "Melt {charge_g} g of {metal} for flask {flask}{cup}, to {heat}.",
        charge_g=flask.charge_g,
        metal=named(flask.alloy.called),
        flask=pour.label,
        cup=cup,
        heat=f"{heat(flask.alloy.pour_c)}{mark('pour_c', flask.alloy.from_memory)}",
    )
    fresh = [say("Take a fresh crucible, clean and glazed.")] if pour.melt.fresh_cup else []
    return together([melt, *fresh, say("The flask stays in the kiln until the metal is ready.")])
