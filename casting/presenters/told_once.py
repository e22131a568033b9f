"""Cautions that say the same of several metals, said once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from casting.dayfile.rules_file import rulebook
from casting.presenters.cautions import ShownCaution

OF_ONE, OF_SEVERAL = ". It contains ", ". Each contains "
METAL = "{alloy}"


def told_once(cautions: Iterable[ShownCaution]) -> list[ShownCaution]:
    """Return the cautions in their order; one whose words differ from an earlier one's by its metal joins that."""
    merged: dict[tuple[str, str], tuple[ShownCaution, list[str]]] = {}
    for nth, one in enumerate(cautions):
        metal = _metal_of(one)
        key = (
            (one.id, one.text.replace(metal, METAL) + f"{one.cleared_by} {one.reason}") if metal else (one.id, f"{nth}")
        )
        _first, metals = merged.setdefault(key, (one, []))
        if metal and metal not in metals:
            metals.append(metal)
    return [_of_all(first, metals) for first, metals in merged.values()]


def _of_all(first: ShownCaution, metals: list[str]) -> ShownCaution:
    text = first.text
    if len(metals) > 1:
        text = text.replace(metals[0], ", ".join(metals)).replace(OF_ONE, OF_SEVERAL)
    return replace(first, text=text, metals=tuple(metals))


def _metal_of(caution: ShownCaution) -> str:
    """The metal that a caution is about, found by its rule's own words; nothing if it is about none."""
    rule = rulebook().rules.get(caution.id)
    if rule is None or METAL not in rule.text:
        return ""
    parts = [re.escape(part) for part in re.split(r"(\{\w+\})", rule.text)]
    named = ["(?P<metal>.+?)" if part == re.escape(METAL) else part for part in parts]
    pattern = "".join(".+?" if re.fullmatch(r"\\\{\w+\\\}", part) else part for part in named)
    match = re.fullmatch(pattern, caution.as_raised) if rule.text.count(METAL) == 1 else None
    return match["metal"] if match else ""
