"""What no linter knows: sizes, units in docstrings, no style in templates, nothing of this machine."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml",
    "school", "casting", "templates", "static", "fixtures", "tests",
}  # fmt: skip
BUILT = {"build", "casting_day.egg-info", "__pycache__"}
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


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def tree_of(path: Path) -> ast.Module:
    """The syntax tree of a file, parsed once for all rules."""
    return ast.parse(text_of(path))


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree_of(path)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node


def code_lines(path: Path) -> set[int]:
    """Lines that hold code: not blank, not comment."""
    empty = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text_of(path)).readline):
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


def test_a_file_has_at_most_400_lines():
    assert not {named(path): lines for path in OURS if (lines := len(text_of(path).splitlines())) > MOST_LINES}


def test_a_function_has_at_most_40_lines_of_code():
    long = {}
    for path in OURS:
        # Without its docstrings; blank lines and comments are counted out only where it matters.
        bodies = {node: set(range(node.lineno, node.end_lineno + 1)) for node in functions(path)}
        bodies = {node: lines - docstring_lines(node) for node, lines in bodies.items() if len(lines) > MOST_CODE_LINES}
        holding = code_lines(path) if any(len(lines) > MOST_CODE_LINES for lines in bodies.values()) else set()
        long |= {
            f"{named(path)}: {node.name}": count
            for node, lines in bodies.items()
            if (count := len(lines & holding)) > MOST_CODE_LINES
        }
    assert not long


def public_functions() -> list[tuple[Path, ast.FunctionDef | ast.AsyncFunctionDef]]:
    """Module-level functions of the arithmetic without an underscore."""
    return [
        (path, node)
        for path in CALC
        for node in tree_of(path).body
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)) and not node.name.startswith("_")
    ]


def numbers_taken(node: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """Arguments that are plain floats and not pure ratios."""
    return [
        argument.arg
        for argument in [*node.args.args, *node.args.kwonlyargs]
        if argument.annotation is not None and ast.unparse(argument.annotation) in {"float", "float | None"}
    ]


def unsaid(node: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """What the docstring of a public function leaves out."""
    said = ast.get_docstring(node) or ""
    if not said:
        return ["everything"]
    missing = []
    if node.args.args and "Parameters\n----------" not in said:
        missing.append("its parameters")
    nothing = ast.unparse(node.returns or ast.Constant(None)) == "None"
    if not ("Returns\n-------" in said or "Yield" in said or nothing):
        missing.append("what it returns")
    for argument in numbers_taken(node):
        block = re.search(rf"^(?:\w+, )*{argument}\b[^\n]* :[^\n]*\n((?:[ ]{{4}}[^\n]*\n?)+)", said, re.MULTILINE)
        if not block:
            missing.append(argument)
        elif not re.search(r"\[[^\]]+\]|unit of the step|The step|pure ratio", block[1]):
            missing.append(f"the unit of {argument} in brackets")
    return missing


def test_a_public_function_of_the_arithmetic_says_its_units():
    assert public_functions()
    assert not {f"{named(path)}: {node.name}": left for path, node in public_functions() if (left := unsaid(node))}


def styled(text: str) -> list[str]:
    """What a template must not hold: glyphs that a font may lack, styles and scripts of its own."""
    scripts = re.findall(r"<script\b[^>]*>.*?</script>", text, re.IGNORECASE | re.DOTALL)
    fetched = re.compile(r"<script\b[^>]*\bsrc=[^>]*>\s*</script>", re.IGNORECASE | re.DOTALL)
    return [
        *GLYPHS.findall(text),
        *re.findall(r"&#x?[0-9a-f]+;|&(?:check|cross|rarr|larr|times);", text, re.IGNORECASE),
        *re.findall(r"\sstyle\s*=|<style\b|\son[a-z]+\s*=\s*[\"']|javascript:", text, re.IGNORECASE),
        *(script for script in scripts if not fetched.fullmatch(script)),
    ]


def test_a_template_draws_its_ticks_and_carries_no_style_or_script():
    assert not {named(path): found for path in TEMPLATES if (found := styled(text_of(path)))}


def test_dependencies_name_no_address():
    for path in (ROOT / "pyproject.toml", ROOT / ".ci" / "constraints.txt"):
        assert not re.search(r"https?://|git\+|\bfile:|index-url|@\s", text_of(path)), named(path)


def committed_texts() -> list[Path]:
    """Our text files; what is built, kept or fetched aside."""
    kinds = {".py", ".md", ".html", ".css", ".js", ".json", ".toml", ".txt", ".po", ".csv"}
    folders = [ROOT / name for name in TOP_LEVEL if (ROOT / name).is_dir()]
    found = [path for folder in folders for path in folder.rglob("*") if path.suffix in kinds]
    return [*found, *(ROOT / name for name in TOP_LEVEL if (ROOT / name).is_file()), ROOT / ".ci" / "run"]


def test_no_file_names_a_folder_of_one_machine():
    pattern = re.compile(r"(?<![\w.])/(?:home|Users|root|work|opt|mnt)/\w")
    assert not [named(path) for path in committed_texts() if pattern.search(text_of(path))]


def test_the_top_level_has_only_the_names_agreed_on():
    there = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert there - BUILT <= TOP_LEVEL


def left_out(path: Path) -> set[str]:
    """Marks and calls by which a test file leaves out a test or expects it to fail."""
    names = {
        node.attr
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Attribute) and isinstance(node.value, (ast.Name, ast.Attribute))
        and ast.unparse(node.value) in {"pytest", "pytest.mark", "unittest"}
    }  # fmt: skip
    return names & {"skip", "skipif", "xfail", "importorskip", "skipUnless", "skipIf", "expectedFailure"}


def test_no_test_is_left_out_or_expected_to_fail():
    assert not {named(path): found for path in python_files("tests") if (found := left_out(path))}


def calls_in(node: ast.AST) -> list[str]:
    return [ast.unparse(inner.func) for inner in ast.walk(node) if isinstance(inner, ast.Call)]


def sleeps(path: Path) -> bool:
    """Whether a file sleeps more often than in loops that ask again."""
    if "sleep" not in text_of(path):
        return False
    tree = tree_of(path)
    asking = [name for loop in ast.walk(tree) if isinstance(loop, ast.While) for name in calls_in(loop)]
    slept = [name for name in calls_in(tree) if name in {"time.sleep", "sleep", "asyncio.sleep"}]
    return len(slept) > sum(name in {"time.sleep", "sleep"} for name in asking)


def test_no_test_sleeps_but_to_ask_again():
    assert not [named(path) for path in python_files("tests") if sleeps(path)]


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
        for holder in tree_of(path).body
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
    for node in tree_of(path).body:
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
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.ImportFrom) and node.module in own
        for alias in node.names
        if alias.name not in own[node.module] and f"{node.module}.{alias.name}" not in MODULES
    ]
    assert not borrowed


def holds_a_function(path: Path) -> bool:
    """Whether a module holds a function, or a class with methods."""
    return next(functions(path), None) is not None


def test_a_module_has_a_test_file_of_its_name():
    assert not [
        named(path)
        for path in MODULES.values()
        if not (ROOT / "tests" / path.relative_to(ROOT)).with_name(f"test_{path.name}").is_file()
        and holds_a_function(path)
    ]


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
        for called in calls_in(tree_of(path))
        if called.rpartition(".")[0] and called.rpartition(".")[2] in WRITES
    }
    assert written == set(NO_ROWS)
