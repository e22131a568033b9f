"""The plan file's contract, checked from its text alone: JSON in, breaches out.

Shares no code with the program: it reads the day file and the plan file as anyone could.
"""

from tests.contract.clock import at, clock_breaches
from tests.contract.flasks import flask_breaches
from tests.contract.people import people_breaches
from tests.contract.placed import placed_breaches
from tests.contract.soak import heat_breaches


def breaches(day: dict, plan: dict) -> list[str]:
    """Every line of the contract that the plan breaks; the day has all its keys written out."""
    kinds = (flask_breaches, clock_breaches, _charged, _spilled, people_breaches, heat_breaches, placed_breaches)
    return [breach for kind in kinds for breach in kind(day, plan)]


def _spilled(day: dict, plan: dict) -> list[str]:
    """What spilled is summed beside the bowls; on the bench's clock, its flasks are mixed no earlier than that."""
    spills, totals, found = day.get("spilled", []), plan["totals"], []
    for name, places in (("powder_g", 6), ("water_g", 1)):
        asked = round(sum(spill[name] for spill in spills), places) if spills else None
        if totals.get(f"spilled_{name}") != asked:
            found.append(f"spilled_{name} is {totals.get(f'spilled_{name}')}, not {asked}")
    for step in plan["steps"]:
        since = [at(spill["at"]) for spill in spills if set(spill["flasks"]) & set(step["flasks"])]
        if step["do"] == "mix" and day.get("now") and since and at(step["at"]) < max(since):
            found.append(f"{step['flasks']} is mixed before its bowl spilled")
    return found


def _charged(day: dict, plan: dict) -> list[str]:
    """An invested flask whose charge is no longer what it was has its caution, and no other flask."""
    said = [one["text"] for one in plan["cautions"] if one["id"] == "charge-changed"]
    charges = {flask["label"]: flask["charge_g"] for flask in plan["flasks"]}
    changed = [
        label
        for label, before in day.get("charged_g", {}).items()
        if label not in day.get("poured", ()) and abs(charges[label] - before) > 0.001
    ]
    named = all(any(f"flask {label}'s" in text for text in said) for label in changed)
    return [] if named and len(said) == len(changed) else ["charge-changed names what changed"]
