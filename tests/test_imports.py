"""How the files hang together: no circle of files, no name of a class or a file that stands twice."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "crewtui").rglob("*.py"))


def module_of(path: Path) -> str:
    """Return the dotted name of a file; a folder's own file has the folder's."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imported(tree: ast.Module, known: set[str]) -> Iterator[str]:
    """Yield what a file of ours imports when it is loaded: not in functions, not for types alone."""
    for node in tree.body:
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names if name.name in known)
        elif isinstance(node, ast.ImportFrom) and node.module in known:
            inner = [f"{node.module}.{name.name}" for name in node.names]
            files = [name for name in inner if name in known]
            yield from files
            if len(files) < len(inner):
                yield node.module


def test_no_file_imports_itself_by_way_of_others() -> None:
    trees = {module_of(path): ast.parse(path.read_text(encoding="utf-8")) for path in FILES}
    known = set(trees)
    graph = {name: set(imported(tree, known)) - {name} for name, tree in trees.items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(" -> ".join(reversed(error.args[1])))


def test_a_public_class_s_name_stands_once() -> None:
    found: dict[str, list[str]] = defaultdict(list)
    for path in FILES:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found[node.name].append(module_of(path))
    assert {name: where for name, where in found.items() if len(where) > 1} == {}


def test_a_file_s_name_stands_once() -> None:
    found: dict[str, list[str]] = defaultdict(list)
    for path in FILES:
        if path.stem not in {"__init__", "__main__"}:
            found[path.stem].append(module_of(path))
    assert {name: where for name, where in found.items() if len(where) > 1} == {}
