"""Guards of the house itself: walls, weight at the door, and words that must not stand here."""

from __future__ import annotations

import ast
import re
import signal
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
STAGES = ("job", "intake", "resolve", "fit", "impose", "dress", "output", "readback")
GROUND = {
    "vardata", "vardata.deflated", "vardata.letters", "vardata.marks", "vardata.memo",
    "vardata.problems", "vardata.progress", "vardata.spreadsafe", "vardata.units",
}


def _modules() -> dict[str, Path]:
    found = {}
    for path in sorted((ROOT / "vardata").rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


MODULES = _modules()


def _imports(module: str, path: Path, *, top_only: bool = False) -> set[str]:
    """Modules of ours that ``module`` imports; type-checking imports count as well."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    nodes = tree.body if top_only else ast.walk(tree)
    found: set[str] = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{module}: write absolute imports"
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return {name for name in found if name in MODULES and name != module}


GRAPH = {module: _imports(module, path) for module, path in MODULES.items()}


def _stage(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def test_a_stage_imports_only_from_stages_above_it_and_the_ground() -> None:
    broken = []
    for module, imports in GRAPH.items():
        if _stage(module) not in STAGES:
            continue
        allowed = STAGES[: STAGES.index(_stage(module)) + 1]
        broken += [
            f"{module} imports {name}"
            for name in sorted(imports - GROUND)
            if _stage(name) not in (*allowed, "gs1", "svg")
            and not (_stage(module) == "readback" and name == "vardata.pool")
        ]
    assert broken == []


def test_no_import_circle() -> None:
    # A package's own __init__ comes with every import of its modules: leave those edges out.
    graph = {
        module: {name for name in imports if not module.startswith(name + ".")}
        for module, imports in GRAPH.items()
    }
    try:
        tuple(TopologicalSorter(graph).static_order())
    except CycleError as error:
        pytest.fail(" -> ".join(error.args[1]))


def test_the_ledger_is_called_by_the_engine_and_the_faces_only() -> None:
    callers = {module for module, names in GRAPH.items() if any("ledger" in n for n in names)}
    assert {_stage(module) for module in callers} <= {
        "merge", "numbering", "earlier", "grouping", "lineverdict", "rows", "register", "remake",
        "remakes", "renumbering", "finished", "forgotten", "cli", "ledger", "approved", "proofs",
        "",
    }


HEAVY = (
    "PIL", "barcode", "fontTools", "jinja2", "numpy", "openpyxl", "pandas", "pikepdf", "pydantic",
    "pypdfium2", "qrcode", "reportlab", "rich", "shapely", "sqlalchemy", "sqlite3", "svglib",
    "uharfbuzz",
)


@pytest.mark.parametrize("call", [["--help"], ["build", "--help"], ["check", "--help"]])
def test_help_loads_nothing_heavy(call: list[str]) -> None:
    code = (
        "import sys\nfrom vardata.cli.main import main\n"
        f"try:\n    main({call!r})\nexcept SystemExit:\n    pass\n"
        f"print('LOADED', [name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("LOADED []"), done.stdout


def test_the_readme_covers_every_command_and_exit_code() -> None:
    from vardata.cli.guard import INTERNAL
    from vardata.cli.main import _COMMANDS, EPILOG
    from vardata.problems import Exit

    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert [name for name in _COMMANDS if f"vardata {name}" not in text] == []
    assert [int(code) for code in Exit if f"| {int(code)} |" not in text] == []
    stops = [128 + number for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)]
    assert f"| {', '.join(map(str, stops))} |" in text
    for code in (*map(int, Exit), INTERNAL, *stops):
        assert re.search(rf"(?<!\d){code}  ", EPILOG), code


def test_top_level_holds_nothing_else() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    visible = {line.split("/")[0] for line in listed if line and not line.startswith(".")}
    assert visible <= {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "vardata", "layouts", "tests",
        "examples", "fonts",
    }


def test_test_files_have_names_of_their_own() -> None:
    """Files of tests lie in folders without packages: two of one name could not both be loaded."""
    names = [path.name for path in sorted((ROOT / "tests").rglob("*.py"))]
    names = [name for name in names if name != "conftest.py"]
    assert sorted(name for name in set(names) if names.count(name) > 1) == []
