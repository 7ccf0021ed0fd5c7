"""The house keeps its own rules: one direction of flow, every package installed, every command documented."""

import ast
import subprocess
import tomllib
from pathlib import Path

import pytest

from packet.cli.options import build_parser, commands

ROOT = Path(__file__).parents[1]
STATIONS = ("refrigerant", "shop", "ledger", "rules", "plan", "assign", "hookup", "sheets", "press", "scan", "office")
# files every station may use; they know nothing of the stations
COMMON = (
    "units",
    "po",
    "words",
    "worked",
    "findings",
    "statements",
    "document",
    "figures",
    "collector",
    "visible",
    "templates",
)
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "packet", "templates", "jobs", "tests"}


def imported_modules(path: Path) -> set[str]:
    """The `packet.x` names (first part below packet) that a file imports."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "packet":
            parts = node.module.split(".")
            found |= {parts[1]} if len(parts) > 1 else {alias.name for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {alias.name.split(".")[1] for alias in node.names if alias.name.startswith("packet.")}
    return found


@pytest.mark.parametrize("station", STATIONS)
def test_a_station_imports_only_from_its_own_and_those_before(station: str) -> None:
    allowed = set(STATIONS[: STATIONS.index(station) + 1]) | set(COMMON)
    files = sorted((ROOT / "packet" / station).rglob("*.py"))
    assert files
    wrong = {f"{path.name}: {name}" for path in files for name in imported_modules(path) - allowed}
    assert wrong == set()


@pytest.mark.parametrize("name", [name for name in COMMON if name != "templates"])
def test_common_files_know_no_station(name: str) -> None:
    assert imported_modules(ROOT / "packet" / f"{name}.py") <= set(COMMON)


def test_every_package_folder_is_installed() -> None:
    listed = set(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["packages"])
    folders = {".".join(path.parent.relative_to(ROOT).parts) for path in (ROOT / "packet").rglob("__init__.py")}
    assert listed == folders | {"packet.templates"}


def test_nothing_lies_in_the_package_that_it_does_not_read() -> None:
    tracked = subprocess.run(["git", "ls-files", "packet"], cwd=ROOT, capture_output=True, text=True, check=True)
    files = [ROOT / line for line in tracked.stdout.splitlines()]
    assert len(files) > 300
    others = [path for path in files if path.exists() and path.suffix not in {".py", ".json"}]
    assert sorted(path.name for path in others) == ["py.typed", "weights.npz"]


def test_top_level_is_the_agreed_one() -> None:
    names = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    top = {Path(name).parts[0] for name in names}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


def test_every_command_is_in_the_readme_and_has_help() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert set(commands()) == {name for name in commands() if f"packet {name}" in readme}
    for name in commands():
        with pytest.raises(SystemExit) as stopped:
            build_parser().parse_args([*name.split(), "--help"])
        assert stopped.value.code == 0


def test_every_benchmark_is_named_in_developers() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    benches = {path.name for path in (ROOT / "tests" / "bench").glob("bench_*.py")}
    assert benches
    assert {name for name in benches if name not in text} == set()


# Of the standard library what only Unix has ("Availability: Unix" in its reference; from memory): modules, and names of
# os and signal. Reached by getattr with a stand-in, they may be used.
UNIX_MODULES = {"fcntl", "grp", "posix", "pty", "pwd", "resource", "syslog", "termios", "tty"}
UNIX_OS = {
    "chown", "chroot", "fchmod", "fchown", "fork", "forkpty", "getgid", "getuid", "geteuid", "getpgid", "killpg", "lchown",
    "mkfifo", "mknod", "nice", "setsid", "setuid", "statvfs", "sync", "uname", "wait", "O_CLOEXEC", "O_DIRECTORY",
    "O_NOCTTY", "O_NOFOLLOW", "O_NONBLOCK", "O_SYNC",
}  # fmt: skip
SIGNALS_ANYWHERE = {"SIGABRT", "SIGFPE", "SIGILL", "SIGINT", "SIGSEGV", "SIGTERM", "SIG_DFL", "SIG_IGN"}


def test_nothing_is_written_for_one_system_alone() -> None:
    found = []
    for path in sorted((ROOT / "packet").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            found += [f"{path.name}: {name}" for name in names if name.split(".")[0] in UNIX_MODULES]
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                unix = node.value.id == "os" and node.attr in UNIX_OS
                unix |= node.value.id == "signal" and node.attr[:3] == "SIG" and node.attr not in SIGNALS_ANYWHERE
                found += [f"{path.name}: {node.value.id}.{node.attr}"] if unix else []
    assert found == []
