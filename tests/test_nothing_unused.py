"""Nothing in the package is there for tests alone: every function is called, every field is read."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "crewtui"
TREES = {path.relative_to(PACKAGE).as_posix(): ast.parse(path.read_text()) for path in PACKAGE.rglob("*.py")}
DATA = {
    word
    for path in PACKAGE.rglob("*")
    if path.suffix in {".toml", ".jinja", ".css"}
    for word in re.findall(r"\w+", path.read_text())
}

BY_OTHERS = re.compile(
    r"_?(action|on|watch|validate|key|get)_\w+|compose|render\w*|list_commands|run_input_thread|row_spans"
    r"|[A-Z_]+|_fatal_error|_agrees|__\w+"
)
"""What the terminal library, the command line or the models' checker calls by its name."""

KEPT = {
    "Continued.damaged_line": "stored in older journals, which are read for ever",
    "DayScreen.figures_pane": "one of the panes that a screen has by name",
    "Passing.rod_depth_in": "held against a rod drawn over falling ground",
    "PitVolume.loose_least_ft3": "tests/outside/test_peurifoy_swell.py",
    "PlateTapes.from_left_in": "tests/outside/test_yard_plan_tapes.py",
    "PlateTapes.from_right_in": "tests/outside/test_yard_plan_tapes.py",
    "TensionCheck.share_waxed": "tests/outside/test_asme_b1_1.py",
    "TensionCheck.share_zinc": "tests/outside/test_asme_b1_1.py",
    "Lift.two_lift": "tests/outside/test_steel_weights.py",
    "Joint.place_drawn_in": "held against the rod as drawn in",
    "WallReading.fitted_lean": "held against a general library's linear regression",
}
"""The working of a result, each held against something outside the program, or why else it stands."""


def used() -> Counter[str]:
    """Return how often each name is loaded, or written as a word of its own, anywhere in the package."""
    found: Counter[str] = Counter()
    for tree in TREES.values():
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
                found[node.attr] += 1
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                found[node.id] += 1
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                found[node.value] += 1
            elif isinstance(node, ast.MatchClass):
                found.update(node.kwd_attrs)
            elif isinstance(node, ast.ImportFrom):
                found.update(alias.name for alias in node.names)
    return found


def defined() -> Iterator[tuple[str, str]]:
    """Yield each function, method and field as it is called and as it is named in full."""
    for place, tree in TREES.items():
        if place in {"job/file/model.py", "record/signed/form.py"}:
            continue  # forms of files: every field is read, by its place in the file
        for node in tree.body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield node.name, f"{place}: {node.name}"
            elif isinstance(node, ast.ClassDef):
                for part in node.body:
                    if isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef):
                        yield part.name, f"{node.name}.{part.name}"
                    elif isinstance(part, ast.AnnAssign) and isinstance(part.target, ast.Name):
                        yield part.target.id, f"{node.name}.{part.target.id}"


def test_every_function_is_called_and_every_field_is_read() -> None:
    counts = used()
    unused = {
        full
        for name, full in defined()
        if not counts[name] and name not in DATA and not BY_OTHERS.fullmatch(name)
    }
    assert unused - set(KEPT) == set(), "used by tests alone: use it or take it out"
    assert set(KEPT) - unused == set(), "used now: strike it off the list"
