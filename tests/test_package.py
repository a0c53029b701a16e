"""What is installed: the packages, the demo scans, and nothing that may not run with them."""

import importlib.metadata
import re
import subprocess
import sys
import tomllib
from importlib.resources import files
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

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


def run_time_dependencies():
    """Names of all that is installed with the package and its extra for USDZ, and with these."""
    found, waiting = set(), [("calfskin", "usd")]
    while waiting:
        name, extra = waiting.pop()
        if name in found:
            continue
        found.add(name)
        for text in importlib.metadata.requires(name) or ():
            wanted = Requirement(text)
            if wanted.marker is None or wanted.marker.evaluate({"extra": extra}):
                waiting.append((canonicalize_name(wanted.name), ""))
    return found - {"calfskin"}


def test_no_dependency_is_under_the_gpl_or_the_agpl():
    names = run_time_dependencies()
    assert {"numpy", "libigl", "usd-core", "pillow"} <= names
    for name in names:
        about = importlib.metadata.metadata(name)
        # The name of a licence, not its text: that may speak of other licences.
        told = [about.get("License-Expression", ""), (about.get("License") or "").partition("\n")[0]]
        told += [entry for entry in about.get_all("Classifier") or () if entry.startswith("License ::")]
        assert any(told), f"{name} does not tell its licence"
        assert not re.search(r"\bA?GPL|GNU (Affero )?General", " ".join(told)), f"{name}: {told}"


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
