"""The same files print to the same bytes, whoever prints, wherever and whenever the machine says it is.

`sudo PYTHONPATH=. .venv/bin/python tests/bench/bench_environments.py`: a small day printed by the command itself in each
environment, everything it leaves compared with the first. The time of the print stands on the run sheet and in the print
record, so that it is held still. Words on the command line choose among the environments.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from hashlib import sha256
from pathlib import Path

from tests.bench.bench_kills import made, shop_in
from tests.press.run.test_print_days import DAY

ROOT = Path(__file__).parents[2]
START = """
import sys
from datetime import datetime
from importlib import import_module
from packet.cli.main import main
at = datetime.fromisoformat("2026-11-26T05:00:00+00:00")
for name in ("talk", "printing", "jobs", "shop_today"):
    module = import_module(f"packet.cli.{name}")
    module.now = lambda: at
    if hasattr(module, "today"):
        module.today = at.date
sys.exit(main())
"""
NOBODY = 65534
# may read where the interpreter lies, and write nothing but what is his own
AS_NOBODY = (
    "setpriv", f"--reuid={NOBODY}", f"--regid={NOBODY}", "--clear-groups",
    "--inh-caps=+dac_read_search", "--ambient-caps=+dac_read_search",
)  # fmt: skip


def environments() -> dict[str, dict[str, object]]:
    """What is different in each: env, cwd, umask, user, workers, where the shop lies, the command before the command."""
    return {
        "plain": {},
        "locale de_DE": {"env": {"LANG": "de_DE.UTF-8", "LC_ALL": "de_DE.UTF-8"}},
        "locale C": {"env": {"LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0"}},
        "time zone": {"env": {"TZ": "Pacific/Kiritimati"}},
        "umask 077": {"umask": 0o077},
        "other folder": {"cwd": "/"},
        "no home": {"env": {"HOME": None, "XDG_CACHE_HOME": None}},
        "another user": {"user": NOBODY, "before": AS_NOBODY},
        "hash seed": {"env": {"PYTHONHASHSEED": "4711"}},
        "one worker": {"workers": 1},
        "spaces and signs": {"at": "ein Ordner, señal ☐ #1"},
        "cold memory": {"env": {"PACKET_MEMORY": "{folder}/memory"}},
        "read-only package": {"before": ("unshare", "-m", "sh", "-c", f'mount --bind {ROOT} {ROOT} && mount -o remount,ro,bind {ROOT} && exec "$@"', "sh")},
        "deep folder": {"at": "/".join(["deep"] * 30)},
    }  # fmt: skip


def printed(base: Path, change: dict[str, object]) -> tuple[int, str, dict[str, bytes]]:
    """Print in one environment: the status, what was said, everything that lies there then."""
    folder = base / str(change.get("at", "here"))
    folder.mkdir(parents=True)
    shop_in(folder)
    user = change.get("user")
    if isinstance(user, int):
        for path in (base, *base.rglob("*")):
            os.chown(path, user, user)
    environment = {name: value for name, value in os.environ.items() if name != "TMPDIR"}
    extra = change.get("env", {})
    assert isinstance(extra, dict)
    for name, value in extra.items():
        environment.pop(name, None)
        if value is not None:
            environment[name] = value.format(folder=folder)
    environment["PYTHONPATH"] = str(ROOT)
    before = change.get("before", ())
    assert isinstance(before, tuple)
    words = [*before, sys.executable, "-c", START, "print", str(folder / "jobs" / DAY), "--out", str(folder / "out")]
    done = subprocess.run(
        [*words, "--workers", str(change.get("workers", 2))],
        cwd=str(change.get("cwd", folder)),
        env=environment,
        umask=int(str(change.get("umask", 0o022))),
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr, made(folder)


def main() -> None:
    """A row an environment; 1 where some byte differs."""
    wrong, wanted = 0, dict[str, bytes]()
    asked = ["plain", *sys.argv[1:]]
    for name, change in environments().items():
        if sys.argv[1:] and name not in asked:
            continue
        base = Path(tempfile.mkdtemp())
        base.chmod(0o755)
        try:
            status, said, found = printed(base, change)
        finally:
            shutil.rmtree(base, ignore_errors=True)
        wanted = wanted or found
        differ = sorted(path for path in wanted.keys() | found.keys() if wanted.get(path) != found.get(path))
        whole = sha256(b"".join(found[path] for path in sorted(found))).hexdigest()[:12]
        wrong += bool(differ) or status != 1  # one of the two jobs may not go out
        print(f"{name:20} status {status}  {len(found)} files  {whole}  {differ or 'same'}", flush=True)
        if status != 1:
            print(said[-1500:])
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
