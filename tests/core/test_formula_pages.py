"""The examples on the formulas' pages run, in every module of core."""

import doctest
import importlib
import pkgutil

import pytest

import core

MODULES = sorted(m.name for m in pkgutil.walk_packages(core.__path__, "core."))
CUTTING = [name for name in MODULES if name.startswith("core.cutting.")]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples_to_run():
    found = [doctest.DocTestFinder().find(importlib.import_module(name)) for name in CUTTING]
    assert sum(bool(page.examples) for pages in found for page in pages) >= 40


@pytest.mark.parametrize("name", CUTTING)
def test_every_formula_has_its_page(name):
    """A public function of several values says equation, parameters and an example."""
    module = importlib.import_module(name)
    for key, function in vars(module).items():
        if callable(function) and getattr(function, "__module__", "") == name and key[0].islower():
            page = function.__doc__ or ""
            assert "Equation" in page or "Parameters" in page, key
