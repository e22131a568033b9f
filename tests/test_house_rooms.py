"""The rooms of the arithmetic: how many, on how many floors, how full, counted from its imports."""

from __future__ import annotations

import ast
from collections import defaultdict
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

CALC = Path(__file__).parents[1] / "casting" / "calc"
MOST_ROOMS, MOST_FLOORS, MOST_MODULES = 10, 6, 14

Arrows = dict[str, set[str]]
"""The rooms that each room imports from."""


def rooms_of(folder: Path) -> dict[Path, str]:
    """Each module with its room: the folder of the arithmetic that it lies in, or its own name."""
    modules = [path for path in folder.rglob("*.py") if path != folder / "__init__.py"]
    return {path: path.relative_to(folder).with_suffix("").parts[0] for path in modules}


def imports_of(path: Path) -> set[str]:
    """The modules that a module imports, by their full names, wherever the import stands."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def arrows_of(folder: Path, package: str) -> Arrows:
    """From each room of a package to the others that it imports from."""
    arrows: Arrows = defaultdict(set)
    for path, room in rooms_of(folder).items():
        inside = {
            name.removeprefix(f"{package}.").split(".")[0]
            for name in imports_of(path)
            if name.startswith(f"{package}.")
        }
        arrows[room] |= inside - {room}
    return dict(arrows)


def floors_of(arrows: Arrows) -> dict[str, int]:
    """The floor of each room: one above the highest that it imports from. No floor has arrows in a circle."""
    floors: dict[str, int] = {}
    for room in TopologicalSorter(arrows).static_order():
        floors[room] = 1 + max((floors[below] for below in arrows.get(room, ())), default=0)
    return floors


def test_the_arithmetic_has_at_most_ten_rooms_on_six_floors_and_no_arrow_upward():
    floors = floors_of(arrows_of(CALC, "casting.calc"))
    assert floors["values"] == 1
    assert set(floors) == set(rooms_of(CALC).values())
    assert len(floors) <= MOST_ROOMS and max(floors.values()) <= MOST_FLOORS, floors


@pytest.mark.parametrize("folder", [CALC, *sorted(path.parent for path in CALC.rglob("*/__init__.py"))], ids=str)
def test_a_room_has_at_most_fourteen_modules(folder: Path):
    modules = [path.name for path in folder.glob("*.py") if path.name != "__init__.py"]
    assert 0 < len(modules) <= MOST_MODULES, modules


def test_floors_are_counted_and_a_circle_is_found():
    assert floors_of({"c": {"a", "b"}, "b": {"a"}, "a": set()}) == {"a": 1, "b": 2, "c": 3}
    with pytest.raises(CycleError):
        floors_of({"a": {"b"}, "b": {"a"}})


def test_an_import_inside_a_function_counts(tmp_path: Path):
    (tmp_path / "low").mkdir()
    (tmp_path / "low" / "one.py").write_text("def f():\n    from shop.high import two\n")
    (tmp_path / "high.py").write_text("import shop.low.one\n")
    assert arrows_of(tmp_path, "shop") == {"low": {"high"}, "high": {"low"}}
