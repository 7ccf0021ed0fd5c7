"""A shop's files as records: registers, jobs and days, with every problem of every file told at once.

Loading never raises for what somebody typed. It raises `WrongPathError` for a path that is not there or is not what was
asked for, and lets OSError through where the machine fails (permission, disk).
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from packet.shop.build import build, tell_duplicate
from packet.shop.checks import Context
from packet.shop.problems import Loaded, Problem, WrongPathError, quoted
from packet.shop.records import Cylinder, Equipment, Job, Record, Registers, Shop, Technician
from packet.shop.text import Map, Node, Seq, Text, read
from packet.words import t

SHOP_FILE = "shop.yaml"
CYLINDERS_FILE = "cylinders.yaml"
MACHINES_FILE = "machines.yaml"
TECHNICIANS_FILE = "technicians.yaml"
REGISTER_FILES = (SHOP_FILE, CYLINDERS_FILE, MACHINES_FILE, TECHNICIANS_FILE)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)

R = TypeVar("R", bound=Record)


@dataclass(frozen=True, slots=True)
class _Registers:
    """The registers as far as they could be read: what jobs refer to is known even when something else is wrong."""

    loaded: Loaded[Registers]
    ids: Mapping[str, tuple[str, ...]]
    records_url: str


def find_shop(path: Path) -> Path:
    """The folder of the shop that `path` lies in: the nearest one upward that holds shop.yaml.

    Raises WrongPathError when the path does not exist or no such folder is found.
    """
    if not path.exists():
        raise WrongPathError(t("There is no '{path}'.", path=path))
    start = path.absolute() if path.is_dir() else path.absolute().parent
    for folder in (start, *start.parents):
        if (folder / SHOP_FILE).is_file():
            return _as_typed(folder, path)
    raise WrongPathError(t("'{path}' is not in a shop: no folder above it holds shop.yaml.", path=path))


def _as_typed(folder: Path, path: Path) -> Path:
    """`folder`, an ancestor of `path`, the way the user would write it: relative when `path` was."""
    if path.is_absolute():
        return folder
    return folder.relative_to(Path.cwd()) if folder.is_relative_to(Path.cwd()) else folder


def load_registers(shop_folder: Path) -> Loaded[Registers]:
    """shop.yaml, cylinders.yaml, machines.yaml and technicians.yaml of a shop."""
    return _registers(shop_folder).loaded


def _registers(shop_folder: Path) -> _Registers:
    problems: list[Problem] = []
    nodes: dict[str, Node | None] = {}
    for name in REGISTER_FILES:
        loaded = read(shop_folder / name)
        nodes[name] = loaded.value
        problems += loaded.problems
    shop = _one(Shop, nodes[SHOP_FILE], shop_folder / SHOP_FILE, problems)
    cylinders = _many(Cylinder, nodes[CYLINDERS_FILE], shop_folder / CYLINDERS_FILE, problems)
    equipment = _one(Equipment, nodes[MACHINES_FILE], shop_folder / MACHINES_FILE, problems)
    technicians = _many(Technician, nodes[TECHNICIANS_FILE], shop_folder / TECHNICIANS_FILE, problems)
    # A register that cannot be read is not there to be checked against: one problem, not one a job.
    ids = {
        "trucks": _ids(_child(nodes[SHOP_FILE], "trucks")),
        "machines": _ids(_child(nodes[MACHINES_FILE], "machines")),
        "scales": _ids(_child(nodes[MACHINES_FILE], "scales")),
        "cylinders": _ids(nodes[CYLINDERS_FILE]),
        "technicians": _ids(nodes[TECHNICIANS_FILE]),
    }
    there = _to_check_against(ids)
    value = None
    if not problems and shop is not None and equipment is not None:
        value = Registers(shop=shop, cylinders=cylinders, equipment=equipment, technicians=technicians)
    return _Registers(Loaded(value, tuple(problems)), there, shop.records_url if shop else "")


def _one(record: type[R], node: Node | None, path: Path, problems: list[Problem]) -> R | None:
    if node is None:
        return None
    loaded = build(record, node, str(path), recorded_as=path.name)
    problems += loaded.problems
    return loaded.value


def _many(record: type[R], node: Node | None, path: Path, problems: list[Problem]) -> tuple[R, ...]:
    """The records of a file that is a list."""
    if node is None:
        return ()
    if not isinstance(node, Seq):
        problems.append(
            Problem(str(path), node.line, "", t("A list is expected here."), t("Start each item with '- id: …'."))
        )
        return ()
    found: list[R] = []
    seen: dict[str, int] = {}
    for index, item in enumerate(node.items):
        name = next(iter(_ids(Seq((item,), item.line)) or ()), str(index))
        told = tell_duplicate(item, seen) if isinstance(item, Map) else None
        if told is not None:
            problems.append(
                Problem(str(path), told[0], f"[{quoted(name)}].id", told[1], t("Give each an id of its own."))
            )
        loaded = build(record, item, str(path), recorded_as=path.name, prefix=f"[{quoted(name)}]")
        problems += loaded.problems
        if loaded.value is not None:
            found.append(loaded.value)
    return tuple(found)


def _child(node: Node | None, key: str) -> Node | None:
    if not isinstance(node, Map):
        return None
    return next((entry.node for entry in node.entries if entry.key == key), Seq((), node.line))


def _ids(node: Node | None) -> tuple[str, ...] | None:
    """The ids of a list of blocks, whatever else is wrong with them; None when it is no list."""
    if not isinstance(node, Seq):
        return None
    return tuple(
        entry.node.value
        for item in node.items
        if isinstance(item, Map)
        for entry in item.entries
        if entry.key == "id" and isinstance(entry.node, Text)
    )


def load_job(path: Path, registers: Registers) -> Loaded[Job]:
    """The job in the file at `path`, checked against the registers, the file's name and its folder's."""
    ids = {
        "trucks": tuple(item.id for item in registers.shop.trucks),
        "machines": tuple(item.id for item in registers.equipment.machines),
        "scales": tuple(item.id for item in registers.equipment.scales),
        "cylinders": tuple(item.id for item in registers.cylinders),
        "technicians": tuple(item.id for item in registers.technicians),
    }
    return _job(path, _to_check_against(ids), registers.shop.records_url, registers)


def _to_check_against(ids: Mapping[str, tuple[str, ...] | None]) -> dict[str, tuple[str, ...]]:
    """The lists that were read. A shop that lists no truck has not said which there are: any may be named."""
    return {name: known for name, known in ids.items() if known or (known is not None and name != "trucks")}


def _job(
    path: Path, ids: Mapping[str, tuple[str, ...]], records_url: str, registers: Registers | None = None
) -> Loaded[Job]:
    node = read(path)
    if node.value is None:
        return Loaded(None, node.problems)
    folder = path.absolute().parent.name
    context = Context(ids, path.stem, folder, records_url)
    loaded = build(Job, node.value, str(path), recorded_as=f"{folder}/{path.name}", context=context)
    problems = [*node.problems, *loaded.problems]
    if loaded.value is not None and registers is not None:
        problems += _from_the_future(loaded.value, registers, path.absolute().parent.parent)
    return Loaded(None if problems else loaded.value, tuple(problems))


def _from_the_future(job: Job, registers: Registers, shop_folder: Path) -> Iterable[Problem]:
    """A cylinder of the job that was tested or made after the job's day: a slip that would let an old one pass."""
    day = (job.date.year, job.date.month)
    for cylinder in registers.cylinders:
        if cylinder.id not in job.cylinders:
            continue
        for field in ("tested", "made"):
            month = getattr(cylinder, field)
            if month is not None and (month.year, month.month) > day:
                yield Problem(
                    str(_as_typed(shop_folder, Path()) / CYLINDERS_FILE),
                    cylinder.line(field),
                    f"[{cylinder.id}].{field}",
                    t(
                        "Cylinder {cylinder} of job {job} was '{field}' in {month}, after the job's day.",
                        cylinder=cylinder.id,
                        job=job.job,
                        field=field,
                        month=month,
                    ),
                )


def load_day(day_folder: Path, registers: Registers) -> Loaded[tuple[Job, ...]]:
    """All jobs of a day's folder by file name. value holds the jobs that are in order, whatever the problems of others.

    Raises WrongPathError when there is no such folder.
    """
    if not day_folder.is_dir():
        raise WrongPathError(t("There is no folder '{path}'.", path=day_folder))
    problems = list(_strays(day_folder))
    jobs = []
    for path in job_files(day_folder):
        loaded = load_job(path, registers)
        problems += loaded.problems
        if loaded.value is not None:
            jobs.append(loaded.value)
    return Loaded(tuple(jobs), tuple(problems))


def job_files(day_folder: Path) -> tuple[Path, ...]:
    """The job files of a day's folder, by name. Hidden files are none."""
    return tuple(
        sorted(path for path in day_folder.iterdir() if path.suffix == ".yaml" and not path.name.startswith("."))
    )


def _strays(day_folder: Path) -> Iterable[Problem]:
    """Files that look like jobs and would be left out, and jobs that would overwrite one another on some computers."""
    seen: dict[str, Path] = {}
    for path in sorted(day_folder.iterdir()):
        if path.name.startswith("."):
            continue
        if path.suffix.casefold() in {".yml", ".yaml"} and path.suffix != ".yaml":
            yield Problem(
                str(path), 0, "", t("The file's name does not end in '.yaml', so it is no job."), t("Rename it.")
            )
        elif path.suffix == ".yaml":
            other = seen.setdefault(path.stem.casefold(), path)
            if other != path:
                yield Problem(
                    str(path),
                    0,
                    "",
                    t("The name differs from '{other}' only in capitals.", other=other.name),
                    t("Rename it."),
                )


def day_folders(shop_folder: Path) -> tuple[Path, ...]:
    """The folders of a shop that are named after a day, in order."""
    return tuple(sorted(path for path in shop_folder.iterdir() if _DAY.fullmatch(path.name) and path.is_dir()))


def targets(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The job files meant by `paths`: a job's file, a day's folder or a shop's folder each; every file once, in order.

    Raises WrongPathError for a path that does not exist or holds no job.
    """
    found: dict[Path, Path] = {}
    for path in paths:
        jobs = _jobs_at(path)
        if not jobs:
            raise WrongPathError(t("There is no job in '{path}'.", path=path))
        for job in jobs:
            found.setdefault(job.resolve(), job)
    return tuple(found.values())


def _jobs_at(path: Path) -> tuple[Path, ...]:
    if not path.exists():
        raise WrongPathError(t("There is no '{path}'.", path=path))
    if not path.is_dir():
        if path.name in REGISTER_FILES:
            raise WrongPathError(t("'{path}' is a register, not a job.", path=path))
        return (path,)
    if (path / SHOP_FILE).is_file():
        return tuple(job for folder in day_folders(path) for job in job_files(folder))
    return job_files(path)


def check(paths: Iterable[Path]) -> tuple[Problem, ...]:
    """Every problem of the jobs meant by `paths` and of the registers they rest on, in order of file and line.

    A path may also be a register's file, or a shop without jobs. Raises WrongPathError as `targets` and `find_shop`.
    """
    problems: set[Problem] = set()
    by_shop: dict[Path, list[Path]] = {}
    for path in paths:
        shop = find_shop(path)
        jobs = () if path.name in REGISTER_FILES else _jobs_at(path)
        if not jobs and not (path.name in REGISTER_FILES or (path / SHOP_FILE).is_file()):
            raise WrongPathError(t("There is no job in '{path}'.", path=path))
        by_shop.setdefault(shop, []).extend(jobs)
        if path.is_dir():
            folders = day_folders(path) if (path / SHOP_FILE).is_file() else (path,)
            problems.update(problem for folder in folders for problem in _strays(folder))
    for shop, jobs_of_shop in by_shop.items():
        registers = _registers(shop)
        problems.update(registers.loaded.problems)
        for job in dict.fromkeys(jobs_of_shop):
            problems.update(_job(job, registers.ids, registers.records_url, registers.loaded.value).problems)
            problems.update(_on_other_days(job, shop))
    return tuple(sorted(problems))


def _on_other_days(job: Path, shop_folder: Path) -> Iterable[Problem]:
    """A job's id names its PDF, its record and its page: two days may not share one."""
    here = job.absolute().parent
    for folder in day_folders(shop_folder):
        if folder.absolute() != here and (folder / job.name).is_file():
            yield Problem(
                str(job),
                0,
                "job",
                t("There is a job of that id on {day} too.", day=folder.name),
                t("Give each job an id of its own."),
            )
