"""The words of every sentence that the core says, listed from its code and its fixtures."""

import ast
import json
import re
from pathlib import Path
from string import Formatter

from django.conf import settings

from casting.calc.values.sentence import LISTED
from casting.presenters.told_once import OF_ONE, OF_SEVERAL

ROOT = Path(settings.BASE_DIR)
MARKS = {"say", "words", "fact", "Sentence"}
"""What words are handed to; those that figures are filled into later are kept under the name `words`."""
PARTS = ("casting/calc", "casting/dayfile", "casting/presenters")


def texts_of(node):
    """The words that an expression may be: a text, or one of two."""
    if isinstance(node, ast.IfExp):
        return texts_of(node.body) + texts_of(node.orelse)
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def words_in(path):
    """The words of the sentences that a module says."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in MARKS and node.args:
            yield from texts_of(node.args[0])
        if isinstance(node, ast.Assign) and [getattr(name, "id", "") for name in node.targets] == ["words"]:
            yield from texts_of(node.value)


def has_letters(words):
    """Whether there is anything to translate."""
    return any(re.search(r"[^\W\d_]", text) for text, _name, _spec, _as in Formatter().parse(words))


def of_code():
    """The words of the code, without those that are the same in every language."""
    found = {text for part in PARTS for path in sorted((ROOT / part).rglob("*.py")) for text in words_in(path)}
    return sorted(filter(has_letters, found | {LISTED}))


def of_rules():
    """The words of the cautions and of what is ticked, and where the rules are from."""
    rules = json.loads((ROOT / "fixtures" / "cautions.json").read_text("utf-8"))["rules"]
    texts = [rule["text"] for rule in rules] + [rule["check"] for rule in rules if rule.get("check")]
    return list(dict.fromkeys(texts)), list(dict.fromkeys(rule["basis"]["source"] for rule in rules))


def of_several():
    """The words of the rules that name a metal, said of several metals at once."""
    rules, _sources = of_rules()
    return [text.replace(OF_ONE, OF_SEVERAL) for text in rules if "{alloy}" in text and OF_ONE in text]
