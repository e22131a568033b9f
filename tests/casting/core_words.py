"""The words of every sentence that the core says, listed from its code and its fixtures."""

import ast
import json
import re
from pathlib import Path
from string import Formatter

from django.conf import settings

from casting.calc.values.enums import PATTERN_KINDS, Section
from casting.calc.values.sentence import LISTED
from casting.dayfile.source_words import without_memory
from casting.presenters.told_once import OF_ONE, OF_SEVERAL

ROOT = Path(settings.BASE_DIR)
MARKS = {"say", "words", "fact", "Sentence"}
"""What words are handed to; those that figures are filled into later are kept under the name `words`."""
PARTS = ("casting/calc", "casting/dayfile", "casting/presenters")


REFUSALS = {"refusal": (2, 3), "too_hot": (3, 4), "Refused": (1,), "said": (1,), "table": (0,), "times": (2,)}
"""Which arguments of a day file's readers are text of a refusal."""
OF_REFUSAL = {"wrong", "mend"}
"""What such text is kept as, or handed over as, elsewhere."""
READERS = ("casting/dayfile", "casting/calc/grouping/preassigned.py")


def plain_in(path):
    """The text of refusals that has no figures; its braces are those of a sentence."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        texts = []
        if isinstance(node, ast.Call):
            places = REFUSALS.get(getattr(node.func, "id", ""), ())
            texts = [node.args[nth] for nth in places if nth < len(node.args)]
            texts += [one.value for one in node.keywords if one.arg in OF_REFUSAL]
        if isinstance(node, ast.Assign):
            names = [one for target in node.targets for one in ast.walk(target) if isinstance(one, ast.Name)]
            values = node.value.elts if isinstance(node.value, ast.Tuple) else [node.value]
            texts += [one for name, one in zip(names, values, strict=False) if name.id in OF_REFUSAL]
        for text in texts:
            yield from (one.replace("{", "{{").replace("}", "}}") for one in texts_of(text))


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
    readers = [
        path for part in READERS for path in ((ROOT / part).rglob("*.py") if (ROOT / part).is_dir() else [ROOT / part])
    ]
    found |= {text for path in readers for text in plain_in(path)}
    return sorted(
        filter(has_letters, found | {LISTED, *(word.value.replace("_", " ") for word in (*Section, *PATTERN_KINDS))})
    )


def of_rules():
    """The words of the cautions and of what is ticked."""
    rules = json.loads((ROOT / "fixtures" / "cautions.json").read_text("utf-8"))["rules"]
    texts = [rule["text"] for rule in rules] + [rule["check"] for rule in rules if rule.get("check")]
    return list(dict.fromkeys(texts))


def of_sources():
    """The words of where figures and rules are from, as a page says them."""
    found = []
    for name in ("cautions.json", "shelf.json", "elements.json"):
        found += sources_in(json.loads((ROOT / "fixtures" / name).read_text("utf-8")))
    texts = [without_memory(source).words for source in found]
    return [text for text in dict.fromkeys(texts) if re.search("[a-z]{2}", text)]


def sources_in(values):
    """Every source in the values of a fixture."""
    if isinstance(values, list):
        return [source for one in values for source in sources_in(one)]
    if not isinstance(values, dict):
        return []
    own = [text for name, text in values.items() if name in ("source", "heat_source") and isinstance(text, str)]
    return own + [source for one in values.values() for source in sources_in(one)]


def of_several():
    """The words of the rules that name a metal, said of several metals at once."""
    return [text.replace(OF_ONE, OF_SEVERAL) for text in of_rules() if "{alloy}" in text and OF_ONE in text]
