"""The house's one rule: a room imports only from rooms above it."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ORDER = [
    "errors",
    "steps",
    "units",
    "findings",
    "words",
    "tolerances",
    "threads",
    "mesh",
    "scan",
    "limb",
    "worn",
    "unwrap",
    "leather",
    "pattern",
    "forming",
    "former",
    "drawn",
    "ornament",
    "sheet",
    "drawing",
    "report",
    "job",
    "record",
    "measuring",
    "advice",
    "making",
    "adorning",
    "api",
]
MODULES = sorted((ROOT / "flatten").rglob("*.py"))


def imported_rooms(path: Path) -> set[str]:
    rooms = set()
    for node in ast.walk(ast.parse(path.read_text("utf8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            parts = node.module.split(".")
            if parts == ["flatten"]:
                rooms |= {alias.name for alias in node.names}
            elif parts[0] == "flatten":
                rooms.add(parts[1])
        elif isinstance(node, ast.ImportFrom) and node.level:
            rooms.add("a relative import")
        elif isinstance(node, ast.Import):
            for alias in node.names:
                parts = alias.name.split(".")
                if parts[0] == "flatten" and len(parts) > 1:
                    rooms.add(parts[1])
                elif parts[0] == "cli":
                    rooms.add("cli")
    return rooms


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_room_imports_only_from_rooms_above(path):
    parts = path.relative_to(ROOT / "flatten").parts
    room = parts[0].removesuffix(".py")
    if room == "__init__":
        # The package's own face: what it hands on is loaded when it is first asked for.
        assert imported_rooms(path) == {"api"}
        return
    above = set(ORDER[: ORDER.index(room) + 1])
    assert imported_rooms(path) <= above


def test_a_tolerance_stands_in_the_common_room_only_where_several_rooms_work_to_it():
    """The edge lengths of panel meshes stand beside each other there, whoever takes which."""
    tree = ast.parse((ROOT / "flatten" / "tolerances.py").read_text("utf8"))
    names = {node.targets[0].id for node in tree.body if isinstance(node, ast.Assign)}
    rooms = {name: set() for name in names}
    for path in [*MODULES, *(ROOT / "cli").rglob("*.py")]:
        room = path.relative_to(ROOT).parts[1 if "flatten" in path.relative_to(ROOT).parts else 0]
        for node in ast.walk(ast.parse(path.read_text("utf8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "flatten.tolerances":
                for alias in node.names:
                    rooms[alias.name].add(room)
    assert all(rooms.values())
    assert {name for name in names if not name.startswith("EDGE_") and len(rooms[name]) < 2} == set()
