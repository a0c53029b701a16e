"""What is installed: the packages, the demo scans, and nothing that may not run with them."""

import importlib.metadata
import subprocess
import sys
import tomllib
from importlib.resources import files
from pathlib import Path

from cli.demo import SCANS

ROOT = Path(__file__).parent.parent
SETUP = tomllib.loads((ROOT / "pyproject.toml").read_text("utf8"))["tool"]["setuptools"]


def test_every_package_of_the_tree_is_installed():
    found = {".".join(path.parent.relative_to(ROOT).parts) for path in ROOT.glob("flatten/**/__init__.py")}
    found |= {".".join(path.parent.relative_to(ROOT).parts) for path in ROOT.glob("cli/**/__init__.py")}
    assert set(SETUP["packages"]) - {"cli.meshes"} == found


def test_every_file_beside_the_code_is_installed_with_it():
    for folder in ("flatten", "cli"):
        for path in (ROOT / folder).rglob("*"):
            parts = path.relative_to(ROOT).parts
            if path.is_dir() or path.suffix in (".py", ".pyc") or "node_modules" in parts:
                continue
            homes = [(".".join(parts[:depth]), "/".join(parts[depth:])) for depth in range(len(parts) - 1, 0, -1)]
            patterns = SETUP["package-data"]
            kept = any(Path(inside).match(p) for home, inside in homes for p in patterns.get(home, ()))
            assert kept or is_recipe(path), f"{path.relative_to(ROOT)} would be missing from the wheel"


def is_recipe(path):
    """What only a contributor needs, to build the page's bundle."""
    return path.relative_to(ROOT).parts[:3] == ("cli", "page", "vendor")


def test_the_demo_scans_come_with_the_package():
    for scan in SCANS:
        assert (files("cli.meshes") / scan.file).is_file()
        assert any(Path(scan.file).match(pattern) for pattern in SETUP["package-data"]["cli.meshes"])


def test_no_dependency_brings_a_package_called_flatten_or_cli():
    owners = importlib.metadata.packages_distributions()
    assert set(owners.get("flatten", ["calfskin"])) == {"calfskin"}
    assert set(owners.get("cli", ["calfskin"])) == {"calfskin"}


def test_no_gpl_part_of_the_geometry_library_is_ever_loaded():
    """`igl.copyleft` is GPL, `igl.triangle` not free for all uses; both ship in the wheel that we depend on."""
    call = (
        "import sys, pkgutil, importlib, flatten, cli\n"
        "for package in (flatten, cli):\n"
        "    for found in pkgutil.walk_packages(package.__path__, package.__name__ + '.'):\n"
        "        if '.meshes' not in found.name: importlib.import_module(found.name)\n"
        "print(*sorted(name for name in sys.modules if name.startswith('igl')))\n"
    )
    done = subprocess.run([sys.executable, "-c", call], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    loaded = done.stdout.split()
    assert "igl" in loaded
    assert not any("copyleft" in name or "triangle" in name for name in loaded)
