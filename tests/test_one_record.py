"""Whatever differs from one kind of limb to another is asked of its record, and no room knows the kinds by name."""

import ast
import re
from pathlib import Path

import pytest

from flatten.limb.kind import KINDS

ROOT = Path(__file__).parent.parent
MODULES = sorted(path for top in ("flatten", "cli") for path in (ROOT / top).rglob("*.py"))
RECORD = ROOT / "flatten" / "limb" / "kind.py"
DEMO = ROOT / "cli" / "demo.py"
"""The demo's scans say what they show, as a user's job files do."""


def limb_names(tree: ast.AST) -> list[str]:
    """The names of limbs that stand as whole strings in a module."""
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in KINDS
    ]


def kinds_of_limbs(function: ast.FunctionDef | ast.Module) -> set[str]:
    """How a function's own text calls kinds of limbs: parameters of that type, and `limb.kind`."""
    own = [] if isinstance(function, ast.Module) else [*function.args.args, *function.args.kwonlyargs]
    typed = {arg.arg for arg in own if arg.annotation and ast.unparse(arg.annotation) in ("LimbKind", "DistalLimb")}
    return typed | {arg.arg for arg in own if arg.annotation and ast.unparse(arg.annotation) == "ProximalLimb"}


def compared_kinds(tree: ast.Module) -> list[str]:
    """Comparisons of a kind of limb, or of its name, with a string."""
    found = []
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef | ast.Module):
            continue
        kinds = kinds_of_limbs(function)
        for node in ast.walk(function):
            if not isinstance(node, ast.Compare):
                continue
            terms = [node.left, *node.comparators]
            words = any(isinstance(part, ast.Constant) and isinstance(part.value, str) for part in terms)
            texts = [ast.unparse(part) for part in terms]
            known = (*kinds, *(f"{kind}.name" for kind in kinds))
            if words and any(text in known or text.endswith(("limb.kind", "limb.kind.name")) for text in texts):
                found.append(ast.unparse(node))
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_but_the_record_knows_a_kind_of_limb_by_its_name(path):
    tree = ast.parse(path.read_text("utf-8"))
    assert compared_kinds(tree) == []
    if path not in (RECORD, DEMO):
        assert limb_names(tree) == []


def test_a_name_or_a_comparison_would_be_seen():
    tree = ast.parse('def f(kind: LimbKind, limb):\n    return kind == "thigh" or limb.kind.name == "tail"')
    assert limb_names(tree) == ["thigh"]
    assert set(compared_kinds(tree)) == {"kind == 'thigh'", "limb.kind.name == 'tail'"}
    assert compared_kinds(ast.parse('def f(seam):\n    return seam.kind == "laced"')) == []


@pytest.mark.parametrize("path", sorted((ROOT / "cli" / "page" / "static").glob("*.js")), ids=lambda path: path.name)
def test_no_script_of_the_page_knows_a_kind_of_limb_by_its_name(path):
    text = path.read_text("utf-8")
    quoted = re.findall(rf"""["'`]({"|".join(KINDS)})["'`]""", text)
    keyed = re.findall(rf"^\s*({'|'.join(kind for kind in KINDS if ' ' not in kind)}):", text, re.MULTILINE)
    assert quoted + keyed == []
