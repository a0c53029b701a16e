"""A public function that raises an error of the project says so."""

import ast
from pathlib import Path

import pytest

from flatten.errors import CalfskinError

ROOT = Path(__file__).parent.parent
MODULES = {path: ast.parse(path.read_text("utf8")) for path in sorted((ROOT / "flatten").rglob("*.py"))}


def project_errors():
    """The names of all classes that derive from CalfskinError, by whatever chain."""
    classes = [node for tree in MODULES.values() for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    names = {CalfskinError.__name__}
    while more := {each.name for each in classes if {getattr(base, "id", "") for base in each.bases} & names} - names:
        names |= more
    return names


ERRORS = project_errors()


def own_nodes(function):
    """The nodes of a function's body, without those of functions inside it."""
    waiting = list(function.body)
    while waiting:
        node = waiting.pop()
        yield node
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda | ast.ClassDef):
            waiting += ast.iter_child_nodes(node)


def raised_by(function):
    """The project's errors that a function raises by itself."""
    calls = [node.exc for node in own_nodes(function) if isinstance(node, ast.Raise)]
    return {call.func.id for call in calls if isinstance(call, ast.Call) and isinstance(call.func, ast.Name)} & ERRORS


def public_functions(tree):
    """Functions of a module, and methods of its public classes, whose names are public."""
    for node in tree.body:
        inside = node.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_") else [node]
        yield from (each for each in inside if isinstance(each, ast.FunctionDef) and not each.name.startswith("_"))


def says_what_it_raises(function):
    return any(word in (ast.get_docstring(function) or "") for word in ("Raises", "Raise "))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_public_function_says_what_it_raises(path):
    silent = [
        each.name for each in public_functions(MODULES[path]) if raised_by(each) and not says_what_it_raises(each)
    ]
    assert silent == []


def test_what_is_looked_for_is_found():
    tree = ast.parse(
        "def told():\n    'It is so. Raises ScanError where it is not.'\n    raise ScanError('no')\n"
        "def silent():\n    'It is so.'\n    raise ScanError('no')\n"
        "def other():\n    'It is so.'\n    raise ValueError('no')\n"
    )
    functions = list(public_functions(tree))
    assert [bool(raised_by(each)) for each in functions] == [True, True, False]
    assert [says_what_it_raises(each) for each in functions] == [True, False, False]
    assert {"ScanError", "SeveralPartsError", "AmbiguousUnitError"} <= ERRORS
