"""The memory on disk: what it keeps, and that nothing that happens to it does harm."""

import errno
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from packet.refrigerant import build, library, memory, method
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties

COMPOSITION = (("R-22", 1.0),)
# not in the package: computed and remembered
OWN = replace(find("R-22"), name="R-22 of our own")
# R-22 at 70 degF, a chart drawn from NIST REFPROP (published.yaml): 121.4 psig at sea level
AT_70F_PSIA = 121.4 + 14.696
PAYLOAD = {"coefficients": [1.5, -2.25, 1e-17], "how": "°F"}


@pytest.fixture(autouse=True)
def own_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setenv("PACKET_MEMORY", str(tmp_path / "memory"))
    properties.cache_clear()
    yield tmp_path / "memory"
    properties.cache_clear()


def _run(script: str, place: Path) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"PACKET_MEMORY": str(place)}
    return subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=False)


def _only_file() -> Path:
    (path,) = memory.folder().iterdir()
    return path


def test_what_is_remembered_comes_back_bit_for_bit() -> None:
    assert memory.recall(COMPOSITION) is None
    assert memory.remember(COMPOSITION, PAYLOAD)
    assert memory.recall(COMPOSITION) == PAYLOAD
    assert [path.suffix for path in memory.folder().iterdir()] == [".json"]  # and no temporary file is left


def test_by_default_it_is_kept_in_the_users_cache_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("PACKET_MEMORY")
    monkeypatch.setattr("platformdirs.user_cache_path", lambda *_args, **_kept: tmp_path / "cache")
    assert memory.folder().parent == tmp_path / "cache" / "properties"


def test_another_composition_is_another_thing() -> None:
    memory.remember((("R-32", 0.5), ("R-125", 0.5)), PAYLOAD)
    assert memory.recall((("R-32", 0.45), ("R-125", 0.55))) is None


def test_another_library_version_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    memory.remember(COMPOSITION, PAYLOAD)
    monkeypatch.setattr(memory, "version", lambda: "99.0")
    assert memory.recall(COMPOSITION) is None


def test_another_version_of_what_computes_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    memory.remember(COMPOSITION, PAYLOAD)
    monkeypatch.setattr(memory, "METHOD", "other")
    assert memory.recall(COMPOSITION) is None


def test_a_program_upgraded_while_it_runs_keeps_its_old_figures_to_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("digest_now", "newer"), ("loaded_version", "1.0")):
        with monkeypatch.context() as patch:
            patch.setattr(memory, name, lambda value=value: value)
            assert memory.remember(COMPOSITION, PAYLOAD) is False
    assert memory.remember(COMPOSITION, PAYLOAD) is True


def test_what_has_another_shape_is_computed_again() -> None:
    item = OWN
    memory.remember(item.composition, {"how": "of another time"})
    assert properties(item).bubble_psia(70.0) == pytest.approx(AT_70F_PSIA, abs=0.2)


def test_the_method_covers_every_module_that_computes() -> None:
    """Whatever `build` imports from this station decides its figures, words excepted."""
    source = Path(str(build.__file__)).parent
    seen: set[str] = set()
    ask = ["build"]
    while ask:
        name = ask.pop()
        if name in seen:
            continue
        seen.add(name)
        lines = (source / f"{name}.py").read_text(encoding="utf-8").splitlines()
        for line in lines:
            if line.startswith("from packet.refrigerant import "):
                ask += line.removeprefix("from packet.refrigerant import ").split(", ")
            elif line.startswith("from packet.refrigerant."):
                ask.append(line.split()[1].removeprefix("packet.refrigerant."))
    # of `pure` the digest takes the columns that compute: a shipping name changes no figure
    assert seen == {*method.MODULES, "pure"}


def test_a_file_of_another_version_put_in_its_place_is_not_read() -> None:
    memory.remember(COMPOSITION, PAYLOAD)
    path = _only_file()
    kept = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(kept | {"key": "another"}), encoding="utf-8")
    assert memory.recall(COMPOSITION) is None


@pytest.mark.parametrize(
    "damage",
    [
        lambda _: b"",
        lambda raw: raw[: len(raw) // 2],
        lambda raw: raw.replace(b"1.5", b"1.6"),
        lambda raw: b"\xff\xfe" + raw,
        lambda _: b"[]",
        lambda _: b'{"key": 1}',
        lambda raw: raw.replace(b'"digest": "', b'"digest": "0'),
        lambda raw: b"\x00" * len(raw),
    ],
)
def test_a_damaged_file_is_computed_again_and_replaced(damage: object) -> None:
    memory.remember(COMPOSITION, PAYLOAD)
    path = _only_file()
    assert callable(damage)
    path.write_bytes(damage(path.read_bytes()))
    assert memory.recall(COMPOSITION) is None
    assert memory.remember(COMPOSITION, PAYLOAD)
    assert memory.recall(COMPOSITION) == PAYLOAD


def test_damage_does_not_reach_the_figures() -> None:
    item = OWN
    first = properties(item).bubble_psia(70.0)
    path = _only_file()
    path.write_text(path.read_text(encoding="utf-8").replace("10.", "11."), encoding="utf-8")
    properties.cache_clear()
    assert properties(item).bubble_psia(70.0) == first
    properties.cache_clear()
    assert properties(item).bubble_psia(70.0) == first


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_disk_that_fills_up_costs_only_time(call: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No space left on device when the file is synced or renamed: nothing half written stays, the figures are there."""

    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    if call == "fsync":
        monkeypatch.setattr(os, "fsync", full)
    else:
        monkeypatch.setattr(Path, "replace", full)
    assert memory.remember(COMPOSITION, PAYLOAD) is False
    assert list(memory.folder().iterdir()) == []
    assert properties(OWN).bubble_psia(70.0) == pytest.approx(AT_70F_PSIA, abs=0.2)


NO_ROOM = """
import dataclasses, resource, signal
from packet.refrigerant import memory
from packet.refrigerant.catalogue import find
from packet.refrigerant.properties import properties
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (64, 64))
own = dataclasses.replace(find("R-22"), name="R-22 of our own")
print(round(properties(own).bubble_psia(70.0) - 14.696, 1), list(memory.folder().iterdir()))
"""


def test_a_write_that_breaks_off_halfway_costs_only_time(own_memory: Path) -> None:
    """The system lets a file grow to 64 bytes and no further: as on a disk that is nearly full."""
    answer = _run(NO_ROOM, own_memory)
    assert answer.stdout.strip() == "121.4 []"


def test_a_folder_that_cannot_be_made_or_written_costs_only_time(own_memory: Path) -> None:
    """A plain file stands where the folder should be: true for every user, root included."""
    own_memory.write_text("in the way", encoding="utf-8")
    assert memory.remember(COMPOSITION, PAYLOAD) is False
    assert memory.recall(COMPOSITION) is None
    assert properties(OWN).bubble_psia(70.0) == pytest.approx(AT_70F_PSIA, abs=0.2)
    assert own_memory.read_text(encoding="utf-8") == "in the way"


def test_a_read_only_folder_is_read_and_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    memory.remember(COMPOSITION, PAYLOAD)

    def refuse(self: Path, mode: str = "r", *args: object, **kept: object) -> object:
        if "x" in mode or "w" in mode:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return original(self, mode, *args, **kept)  # type: ignore[call-overload]

    original = Path.open
    monkeypatch.setattr(Path, "open", refuse)
    assert memory.recall(COMPOSITION) == PAYLOAD
    assert memory.remember((("R-32", 1.0),), PAYLOAD) is False


def test_no_home_folder_costs_only_time(monkeypatch: pytest.MonkeyPatch) -> None:
    def homeless(*_args: object, **_kept: object) -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.delenv("PACKET_MEMORY")
    monkeypatch.setattr("platformdirs.user_cache_path", homeless)
    assert memory.recall(COMPOSITION) is None
    assert memory.remember(COMPOSITION, PAYLOAD) is False


CRASH = """
import os
from packet.refrigerant import memory
os.fsync = lambda _: os._exit(9)
memory.remember((("R-22", 1.0),), {"coefficients": [0.0]})
"""


def test_a_crash_while_writing_leaves_the_old_file_whole(own_memory: Path) -> None:
    memory.remember(COMPOSITION, PAYLOAD)
    assert _run(CRASH, own_memory).returncode == 9
    assert memory.recall(COMPOSITION) == PAYLOAD
    assert memory.remember(COMPOSITION, {"coefficients": [1.0]})
    assert memory.recall(COMPOSITION) == {"coefficients": [1.0]}


WRITER = """
import sys
from packet.refrigerant import memory
composition = (("R-22", 1.0),)
payload = {"coefficients": [float(k) for k in range(2000)]}
for _ in range(40):
    assert memory.remember(composition, payload)
    kept = memory.recall(composition)
    assert kept == payload, "half a file was seen"
print("whole")
"""


def test_processes_that_write_at_once_never_see_half_a_file(own_memory: Path) -> None:
    environment = os.environ | {"PACKET_MEMORY": str(own_memory)}
    running = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER], env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for _ in range(3)
    ]
    for process in running:
        output, trouble = process.communicate(timeout=120)
        assert (process.returncode, output.strip(), trouble) == (0, b"whole", b"")
    assert len(list(memory.folder().iterdir())) == 1


def test_the_library_version_is_known_without_importing_the_library() -> None:
    answer = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from packet.refrigerant.library import version; print(version(), 'CoolProp' in sys.modules)",
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert answer.stdout.split() == [library.version(), "False"]
