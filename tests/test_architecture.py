"""The rules of the house, each with the proof that breaking it is caught."""

import ast
import dataclasses
import importlib
import pkgutil
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import core

ROOT = Path(__file__).parent.parent
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "app",
    "core",
    "resources",
    "tests",
    "sample_jobs",
}
LONGEST_MODULE = 350
VAGUE_NAMES = {"utils", "helpers", "models", "types", "misc", "common"}


def tracked(root):
    """Return the files git knows below a folder, or all files outside a checkout."""
    done = subprocess.run(
        ["git", "ls-files"], cwd=root, capture_output=True, text=True, check=False
    )
    if done.returncode == 0 and done.stdout:
        return [Path(line) for line in done.stdout.splitlines() if (root / line).exists()]
    return [p.relative_to(root) for p in root.rglob("*") if p.is_file() and ".venv" not in p.parts]


def python_files(root):
    return [
        p for p in tracked(root) if p.suffix == ".py" and p.parts[0] in {"app", "core", "resources"}
    ]


def strangers_at_the_top(files):
    return {p.parts[0] for p in files if not p.parts[0].startswith(".")} ^ TOP_LEVEL


def too_long(root):
    return [
        f"{p} has {count} lines"
        for p in python_files(root)
        if (count := len((root / p).read_text("utf-8").splitlines())) > LONGEST_MODULE
    ]


def vaguely_named(root):
    return [str(p) for p in python_files(root) if p.stem in VAGUE_NAMES]


def relative_imports(root):
    return [
        f"{p}:{node.lineno}"
        for p in python_files(root)
        for node in ast.walk(ast.parse((root / p).read_text("utf-8")))
        if isinstance(node, ast.ImportFrom) and node.level
    ]


BEING_FILLED = {"core.drawing.sketch.Sketch", "core.layout.nest_fill.Filled"}
"""What a stage fills while it works; none of it leaves the stage."""


def core_modules():
    return [
        importlib.import_module(info.name)
        for info in pkgutil.walk_packages(core.__path__, prefix="core.")
    ]


def unfrozen(modules):
    """Return public dataclasses that can be changed, or that compare arrays with ==."""
    found = []
    for module in modules:
        for name, thing in vars(module).items():
            if (
                isinstance(thing, type)
                and dataclasses.is_dataclass(thing)
                and thing.__module__ == module.__name__
                and not name.startswith("_")
                and not thing.__dataclass_params__.frozen
            ):
                found.append(f"{module.__name__}.{name}")
    return found


@pytest.fixture
def broken_tree(tmp_path):
    """A tree with one module of each fault."""
    (tmp_path / "core").mkdir()
    (tmp_path / "core" / "utils.py").write_text("from .x import y\n" * (LONGEST_MODULE + 1))
    (tmp_path / "notes.txt").write_text("a stranger\n")
    return tmp_path


def test_the_top_level_is_what_the_house_says():
    assert not strangers_at_the_top(tracked(ROOT))


def test_no_module_is_longer_than_the_house_allows():
    assert not too_long(ROOT)


def test_no_module_has_a_vague_name():
    assert not vaguely_named(ROOT)


def test_no_import_is_relative():
    assert not relative_imports(ROOT)


def test_each_of_these_rules_catches_a_tree_that_breaks_it(broken_tree):
    assert "notes.txt" in strangers_at_the_top(tracked(broken_tree))
    assert too_long(broken_tree)
    assert vaguely_named(broken_tree)
    assert relative_imports(broken_tree)


def test_the_data_of_core_is_frozen():
    assert set(unfrozen(core_modules())) <= BEING_FILLED


def test_an_unfrozen_record_is_caught(monkeypatch):
    module = importlib.import_module("core.errors")
    loose = dataclasses.make_dataclass("Loose", ["x"], namespace={"__module__": "core.errors"})
    monkeypatch.setattr(module, "Loose", loose, raising=False)
    assert unfrozen([module]) == ["core.errors.Loose"]


def test_core_brings_no_screen_along():
    code = (
        "import pkgutil, importlib, sys, core\n"
        "for m in pkgutil.walk_packages(core.__path__, 'core.'): importlib.import_module(m.name)\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('PySide6', 'pyqtgraph', 'app')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def lint_imports(folder):
    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())"
    return subprocess.run(
        [sys.executable, "-c", code], cwd=folder, capture_output=True, text=True, check=False
    )


def test_the_layers_point_one_way():
    done = lint_imports(ROOT)
    assert done.returncode == 0, done.stdout


LAYERS = [
    ("core/errors.py", "import core.units"),
    ("core/heat/__init__.py", "import core.report"),
    ("core/cutting/__init__.py", "import core.plan"),
    ("core/motion/__init__.py", "import core.heat"),
    ("core/units/__init__.py", "import PySide6"),
    ("core/plan/__init__.py", "import app"),
    ("resources/__init__.py", "import core"),
]


@pytest.fixture(scope="module")
def bare_tree(tmp_path_factory):
    """The packages of the project without content, under the project's own contracts."""
    folder = tmp_path_factory.mktemp("bare")
    for package in ("app", "core", "resources"):
        (folder / package).mkdir()
        (folder / package / "__init__.py").write_text("")
    for module in (ROOT / "core").iterdir():
        if module.is_dir() and (module / "__init__.py").exists():
            (folder / "core" / module.name).mkdir()
            (folder / "core" / module.name / "__init__.py").write_text("")
        elif module.suffix == ".py":
            (folder / "core" / module.name).write_text("")
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


@pytest.mark.parametrize(("file", "line"), LAYERS)
def test_an_import_against_the_layers_is_caught(bare_tree, file, line):
    place = bare_tree / file
    before = place.read_text()
    place.write_text(line + "\n")
    try:
        assert lint_imports(bare_tree).returncode == 1
    finally:
        place.write_text(before)


def test_every_dependency_has_its_reason_in_the_developers_book():
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    book = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    names = {
        requirement.split(">")[0].split("<")[0].split(";")[0].strip()
        for requirement in wanted["dependencies"] + wanted["optional-dependencies"]["test"]
    }
    assert not [name for name in sorted(names) if f"`{name}`" not in book]
