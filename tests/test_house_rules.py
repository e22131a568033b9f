"""What no linter knows: sizes, units in docstrings, no style in templates, nothing of this machine."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml",
    "school", "casting", "templates", "static", "fixtures", "tests",
}  # fmt: skip
BUILT = {"build", "casting_day.egg-info"}
MOST_LINES, MOST_CODE_LINES = 400, 40
GLYPHS = re.compile("[\u2190-\u21ff\u2300-\u23ff\u2500-\u27bf\u2900-\u297f\u2b00-\u2bff\ufe0f\U0001f000-\U0001faff]")
"""Arrows, boxes, ticks, dingbats and emoji, which a font may lack."""


def python_files(*folders: str) -> list[Path]:
    return sorted(
        path for folder in folders for path in (ROOT / folder).rglob("*.py") if "migrations" not in path.parts
    )


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


OURS = python_files("school", "casting", "tests")
CALC = python_files("casting/calc")
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node


def code_lines(path: Path) -> set[int]:
    """Lines that hold code: not blank, not comment."""
    empty = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(path.read_text(encoding="utf-8")).readline):
        if token.type not in empty:
            lines |= set(range(token.start[0], token.end[0] + 1))
    return lines


def docstring_lines(node: ast.AST) -> set[int]:
    """Lines of the docstrings in a function, its inner ones too."""
    lines: set[int] = set()
    for inner in ast.walk(node):
        if isinstance(inner, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) and ast.get_docstring(inner):
            first = inner.body[0]
            lines |= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return lines


@pytest.mark.parametrize("path", OURS, ids=named)
def test_a_file_has_at_most_400_lines(path: Path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize("path", OURS, ids=named)
def test_a_function_has_at_most_40_lines_of_code(path: Path):
    holding = code_lines(path)
    long = {
        node.name: count
        for node in functions(path)
        if (count := len((holding & set(range(node.lineno, node.end_lineno + 1))) - docstring_lines(node)))
        > MOST_CODE_LINES
    }
    assert not long


def public_functions() -> list[tuple[Path, ast.FunctionDef | ast.AsyncFunctionDef]]:
    """Module-level functions of the arithmetic without an underscore."""
    return [
        (path, node)
        for path in CALC
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)) and not node.name.startswith("_")
    ]


def numbers_taken(node: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """Arguments that are plain floats and not pure ratios."""
    return [
        argument.arg
        for argument in [*node.args.args, *node.args.kwonlyargs]
        if argument.annotation is not None and ast.unparse(argument.annotation) in {"float", "float | None"}
    ]


@pytest.mark.parametrize(("path", "node"), public_functions(), ids=lambda value: getattr(value, "name", None))
def test_a_public_function_of_the_arithmetic_says_its_units(path: Path, node: ast.FunctionDef):
    said = ast.get_docstring(node) or ""
    assert said, f"{named(path)}: {node.name} says nothing"
    if node.args.args:
        assert "Parameters\n----------" in said
    assert "Returns\n-------" in said or "Yield" in said or ast.unparse(node.returns or ast.Constant(None)) == "None"
    for argument in numbers_taken(node):
        block = re.search(rf"^(?:\w+, )*{argument}\b[^\n]* :[^\n]*\n((?:[ ]{{4}}[^\n]*\n?)+)", said, re.MULTILINE)
        assert block, f"{node.name}: {argument} is not described"
        unit_said = re.search(r"\[[^\]]+\]|unit of the step|The step|pure ratio", block[1])
        assert unit_said, f"{node.name}: {argument} has no unit in brackets"


@pytest.mark.parametrize("path", TEMPLATES, ids=named)
def test_a_template_draws_its_ticks_and_carries_no_style_or_script(path: Path):
    text = path.read_text(encoding="utf-8")
    assert not GLYPHS.findall(text)
    assert not re.findall(r"&#x?[0-9a-f]+;|&(?:check|cross|rarr|larr|times);", text, re.IGNORECASE)
    assert not re.search(r"\sstyle\s*=|<style\b|\son[a-z]+\s*=\s*[\"']|javascript:", text, re.IGNORECASE)
    for script in re.findall(r"<script\b[^>]*>.*?</script>", text, re.IGNORECASE | re.DOTALL):
        assert re.fullmatch(r"<script\b[^>]*\bsrc=[^>]*>\s*</script>", script, re.IGNORECASE | re.DOTALL)


@pytest.mark.parametrize("path", [ROOT / "pyproject.toml", ROOT / ".ci" / "constraints.txt"], ids=named)
def test_dependencies_name_no_address(path: Path):
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"https?://|git\+|\bfile:|index-url|@\s", text)


def committed_texts() -> list[Path]:
    """Our text files; what is built, kept or fetched aside."""
    kinds = {".py", ".md", ".html", ".css", ".js", ".json", ".toml", ".txt", ".po", ".csv"}
    folders = [ROOT / name for name in TOP_LEVEL if (ROOT / name).is_dir()]
    found = [path for folder in folders for path in folder.rglob("*") if path.suffix in kinds]
    return [*found, *(ROOT / name for name in TOP_LEVEL if (ROOT / name).is_file()), ROOT / ".ci" / "run"]


def test_no_file_names_a_folder_of_one_machine():
    pattern = re.compile(r"(?<![\w.])/(?:home|Users|root|work|opt|mnt)/\w")
    assert not [named(path) for path in committed_texts() if pattern.search(path.read_text(encoding="utf-8"))]


def test_the_top_level_has_only_the_names_agreed_on():
    there = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert there - BUILT <= TOP_LEVEL


@pytest.mark.parametrize("path", python_files("tests"), ids=named)
def test_no_test_is_left_out_or_expected_to_fail(path: Path):
    names = {
        node.attr
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and isinstance(node.value, (ast.Name, ast.Attribute))
        and ast.unparse(node.value) in {"pytest", "pytest.mark", "unittest"}
    }  # fmt: skip
    assert not names & {"skip", "skipif", "xfail", "importorskip", "skipUnless", "skipIf", "expectedFailure"}


def calls_in(node: ast.AST) -> list[str]:
    return [ast.unparse(inner.func) for inner in ast.walk(node) if isinstance(inner, ast.Call)]


@pytest.mark.parametrize("path", python_files("tests"), ids=named)
def test_no_test_sleeps_but_to_ask_again(path: Path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    asking = [name for loop in ast.walk(tree) if isinstance(loop, ast.While) for name in calls_in(loop)]
    slept = [name for name in calls_in(tree) if name in {"time.sleep", "sleep", "asyncio.sleep"}]
    assert len(slept) <= sum(name in {"time.sleep", "sleep"} for name in asking)


UNIT_NAMED = re.compile(r"_(?:mm|mm2|cm3|ml|g|kg|c|c_per_h|min|s|pct|deg)\b")
UNIT_SAID = re.compile(r"\[[^\]]+\]")
OF_A_GOAL = ROOT / "casting/calc/grouping/colgen"
"""Its values are in the unit of the goal at hand: waxes, flasks or currency. `goals` says so once."""


def public_methods() -> list[tuple[str, ast.ClassDef, ast.FunctionDef]]:
    """Methods of the public classes of the arithmetic, and how each is made."""
    return [
        (f"{named(path)}:{holder.name}.{node.name}", holder, node)
        for path in CALC
        if not path.is_relative_to(OF_A_GOAL)
        for holder in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(holder, ast.ClassDef) and not holder.name.startswith("_")
        for node in holder.body
        if isinstance(node, ast.FunctionDef) and (node.name == "__init__" or not node.name.startswith("_"))
    ]


def test_a_public_method_of_the_arithmetic_says_the_unit_of_each_float():
    silent = []
    for name, holder, node in public_methods():
        said = ast.get_docstring(holder if node.name == "__init__" else node) or ""
        floats = numbers_taken(node)
        if node.returns and ast.unparse(node.returns) in {"float", "float | None"}:
            floats.append(node.name)
        if not UNIT_SAID.search(said) and not all(UNIT_NAMED.search(one) for one in floats):
            silent.append(name)
    assert not silent


DOORS = {
    "casting.models": "Django finds an app's models in this one module",
    "school.models": "Django finds an app's models in this one module",
    "casting.dayfile": "the door of the day file: reading and writing",
}
MODULES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for path in python_files("casting", "school")
}


def defined_in(path: Path) -> set[str]:
    """Names that a module defines itself."""
    names: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        for inner in [node, *(ast.iter_child_nodes(node) if isinstance(node, (ast.If, ast.Try)) else [])]:
            if isinstance(inner, (ast.FunctionDef, ast.ClassDef)):
                names.add(inner.name)
            elif isinstance(inner, (ast.Assign, ast.AnnAssign)):
                targets = inner.targets if isinstance(inner, ast.Assign) else [inner.target]
                names |= {one.id for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)}
    return names


def test_a_name_is_imported_from_the_module_that_defines_it():
    own = {module: defined_in(path) for module, path in MODULES.items() if module not in DOORS}
    borrowed = [
        f"{named(path)}: {alias.name} from {node.module}"
        for path in OURS
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module in own
        for alias in node.names
        if alias.name not in own[node.module] and f"{node.module}.{alias.name}" not in MODULES
    ]
    assert not borrowed


def holds_a_function(path: Path) -> bool:
    """Whether a module holds a function, or a class with methods."""
    return next(functions(path), None) is not None


@pytest.mark.parametrize("path", [path for path in MODULES.values() if holds_a_function(path)], ids=named)
def test_a_module_has_a_test_file_of_its_name(path: Path):
    assert (ROOT / "tests" / path.relative_to(ROOT)).with_name(f"test_{path.name}").is_file()


READERS = ("drawings", "forms", "papers", "presenters", "selectors", "templatetags", "views")
WRITES = {
    "save", "create", "update", "delete", "set", "bulk_create", "bulk_update", "get_or_create", "update_or_create",
}  # fmt: skip
NO_ROWS = {
    "casting/papers/fingerprints.py: digest.update": "a hash takes bytes",
    "casting/papers/pdf/join.py: whole.save": "a PDF in memory",
    "casting/papers/pdf/tagging.py: paper.save": "a PDF in memory",
    "casting/papers/sheets/poster.py: code.save": "a QR code drawn as SVG",
}
"""Calls of these names that write no row, and what they write."""


def test_only_services_write_rows():
    written = {
        f"{named(path)}: {called}"
        for path in python_files(*(f"casting/{folder}" for folder in READERS))
        for called in calls_in(ast.parse(path.read_text(encoding="utf-8")))
        if called.rpartition(".")[0] and called.rpartition(".")[2] in WRITES
    }
    assert written == set(NO_ROWS)
