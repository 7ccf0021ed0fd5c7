"""A shop's files as records: registers, jobs and days, with every problem of every file told at once.

Loading never raises for what somebody typed. It raises `WrongPathError` for a path that is not there or is not what was
asked for, and lets OSError through where the machine fails (permission, disk).
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from packet.collector import without_collecting
from packet.shop.build import build, tell_duplicate
from packet.shop.checks import SUFFIX_LENGTH, Context
from packet.shop.places import (
    CYLINDERS_FILE,
    MACHINES_FILE,
    REGISTER_FILES,
    SHOP_FILE,
    TECHNICIANS_FILE,
    as_typed,
    day_folders,
    find_shop,
    job_files,
    jobs_at,
    stray_folders,
    strays,
    targets,
)
from packet.shop.problems import MOST_PROBLEMS, Loaded, Problem, WrongPathError, at_most, quoted
from packet.shop.records import Cylinder, Equipment, Job, Record, Registers, Shop, Technician
from packet.shop.text import Map, Node, Seq, Text, nothing_in, parse, text_in
from packet.words import t

__all__ = [
    "REGISTER_FILES",
    "check",
    "day_folders",
    "days_of_jobs",
    "find_shop",
    "job_files",
    "load_day",
    "load_job",
    "load_jobs",
    "load_registers",
    "targets",
    "texts_read",
]

R = TypeVar("R", bound=Record)


@dataclass(frozen=True, slots=True)
class _Registers:
    """The registers as far as they could be read: what jobs refer to is known even when something else is wrong.

    cylinders: by id, in the order of the register.
    """

    loaded: Loaded[Registers]
    ids: Mapping[str, Collection[str]]
    records_url: str
    suffix_length: int = 0
    names: Mapping[str, str] = field(default_factory=dict)
    cylinders: Mapping[str, Cylinder] = field(default_factory=dict)


# Of each shop the registers that were last read without a problem, with the very texts they were read from: a command
# asks for them more than once, and twenty thousand cylinders take a second.
_Texts = tuple[str | Problem, ...]
_READ: dict[Path, tuple[_Texts, _Registers]] = {}
# The jobs that were read against these registers without a problem, with the text of each.
_JOBS: dict[Path, tuple[str, Job]] = {}


def load_registers(shop_folder: Path) -> Loaded[Registers]:
    """shop.yaml, cylinders.yaml, machines.yaml and technicians.yaml of a shop."""
    return _registers(shop_folder).loaded


def _registers(shop_folder: Path) -> _Registers:
    texts = tuple(text_in(shop_folder / name) for name in REGISTER_FILES)
    if shop_folder not in _READ or _READ[shop_folder][0] != texts:
        with without_collecting():
            made = _registers_in(shop_folder, texts)
        if made.loaded.value is None:  # its problems are told in the language of the moment
            return made
        _READ.clear()
        _JOBS.clear()
        _READ[shop_folder] = texts, made
    return _READ[shop_folder][1]


def _registers_in(shop_folder: Path, texts: _Texts) -> _Registers:
    problems: list[Problem] = []
    nodes: dict[str, Node | None] = {}
    for name, text in zip(REGISTER_FILES, texts, strict=True):
        loaded: Loaded[Node] = parse(text, str(shop_folder / name)) if isinstance(text, str) else Loaded(None, (text,))
        if loaded.value is None and name != SHOP_FILE and nothing_in(shop_folder / name):
            # a register without an entry yet: what is missing for what is told by `wants`, not as a slip
            loaded = Loaded(Map((), 1) if name == MACHINES_FILE else Seq((), 1))
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
    url = shop.records_url if shop else ""
    by_id = {item.id: item for item in cylinders}
    names = _names(technicians)
    return _Registers(Loaded(value, tuple(problems)), there, url, _suffix_length(shop), names, by_id)


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
    before = len(problems)
    for index, item in enumerate(node.items):
        if len(problems) - before > MOST_PROBLEMS:
            break
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
    problems[before:] = at_most(problems[before:])
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


def load_job(
    path: Path, registers: Registers, days: tuple[Path, ...] | None = None, text: str | None = None
) -> Loaded[Job]:
    """The job in the file at `path`, checked against the registers, the file's name, its folder's and the other days.

    days: the day folders to look for a job of the same name in, by default all of the shop's. text: what shall be
    written there, to check it before it is.
    """
    if days is None:
        days = day_folders(path.absolute().parent.parent)
    same = tuple(day for day in days if (day / path.name).is_file())
    return _job(path, _there_in(registers), same, text)


def texts_read(shop_folder: Path, jobs: Iterable[Path]) -> tuple[str, ...] | None:
    """The very texts that a shop's registers and these jobs were last read from; None where one of them is not at hand."""
    registers = _READ.get(shop_folder)
    kept = [_JOBS.get(path.absolute()) for path in jobs]
    if registers is None or None in kept:
        return None
    return (*(str(text) for text in registers[0]), *(one[0] for one in kept if one is not None))


def days_of_jobs(shop_folder: Path) -> dict[str, tuple[Path, ...]]:
    """The day folders that hold a job file of each name: one look at each folder, not one a job and folder."""
    found: dict[str, tuple[Path, ...]] = {}
    for day in day_folders(shop_folder):
        for path in job_files(day):
            if path.is_file():
                found[path.name] = (*found.get(path.name, ()), day)
    return found


def _there_in(registers: Registers) -> _Registers:
    """What jobs are checked against, from registers that have been read."""
    for _, read_before in _READ.values():
        if read_before.loaded.value is registers:
            return read_before
    ids = {
        "trucks": tuple(item.id for item in registers.shop.trucks),
        "machines": tuple(item.id for item in registers.equipment.machines),
        "scales": tuple(item.id for item in registers.equipment.scales),
        "cylinders": tuple(item.id for item in registers.cylinders),
        "technicians": tuple(item.id for item in registers.technicians),
    }
    by_id = {item.id: item for item in registers.cylinders}
    url, names = registers.shop.records_url, _names(registers.technicians)
    suffix = _suffix_length(registers.shop)
    return _Registers(Loaded(registers), _to_check_against(ids), url, suffix, names, by_id)


def _suffix_length(shop: Shop | None) -> int:
    return SUFFIX_LENGTH if shop is not None and shop.records_secret is not None else 0


def _names(technicians: Iterable[Technician]) -> dict[str, str]:
    return {item.name: item.id for item in technicians}


def _to_check_against(ids: Mapping[str, tuple[str, ...] | None]) -> dict[str, Collection[str]]:
    """The lists that were read. A shop that lists no truck has not said which there are: any may be named."""
    return {
        name: dict.fromkeys(known) for name, known in ids.items() if known or (known is not None and name != "trucks")
    }


def _job(path: Path, there: _Registers, days: tuple[Path, ...], text: str | None = None) -> Loaded[Job]:
    """days: the day folders that hold a file of this name."""
    try:
        typed = text_in(path) if text is None else text
    except OSError as error:
        # one file that the machine will not give away stops its own job, not the day
        why = t("The file cannot be read: {error}.", error=error.strerror or error)
        return Loaded(None, (Problem(str(path), 0, "", why),))
    if isinstance(typed, Problem):
        return Loaded(None, (typed,))
    here = path.absolute()
    registers, folder, shop_folder = there.loaded.value, here.parent.name, here.parent.parent
    alone = all(day.name == folder for day in days)
    kept = alone and any(there is read_before for _, read_before in _READ.values())
    if kept and here in _JOBS and _JOBS[here][0] == typed:
        return Loaded(_JOBS[here][1])
    node = parse(typed, str(path))
    if node.value is None:
        return Loaded(None, node.problems)
    context = Context(there.ids, path.stem, folder, there.records_url, there.suffix_length, there.names)
    loaded = build(Job, node.value, str(path), recorded_as=f"{folder}/{path.name}", context=context)
    problems = [*node.problems, *loaded.problems]
    # A job's id names its PDF, its record and its page: two days may not share one.
    for day in days:
        if day.name != folder:
            told = t("There is a job of that id on {day} too.", day=day.name)
            problems.append(Problem(str(path), 0, "job", told, t("Give each job an id of its own.")))
    if loaded.value is not None and registers is not None:
        problems += _from_the_future(loaded.value, there.cylinders, as_typed(shop_folder, path))
    if kept and loaded.value is not None and not problems:
        _JOBS[here] = typed, loaded.value
    return Loaded(None if problems else loaded.value, tuple(problems))


def _from_the_future(job: Job, cylinders: Mapping[str, Cylinder], shop_folder: Path) -> Iterable[Problem]:
    """A cylinder of the job that was tested or made after the job's day: a slip that would let an old one pass."""
    day = (job.date.year, job.date.month)
    named = [cylinders[name] for name in job.cylinders if name in cylinders]
    for cylinder in sorted(named, key=Cylinder.line):
        for key in ("tested", "made"):
            month = getattr(cylinder, key)
            if month is not None and (month.year, month.month) > day:
                yield Problem(
                    str(shop_folder / CYLINDERS_FILE),
                    cylinder.line(key),
                    f"[{cylinder.id}].{key}",
                    t(
                        "Cylinder {cylinder} of job {job} was '{field}' in {month}, after the job's day.",
                        cylinder=cylinder.id,
                        job=job.job,
                        field=key,
                        month=month,
                    ),
                )


def load_day(day_folder: Path, registers: Registers) -> Loaded[tuple[Job, ...]]:
    """All jobs of a day's folder by file name. value holds the jobs that are in order, whatever the problems of others.

    Raises WrongPathError when there is no such folder.
    """
    if not day_folder.is_dir():
        raise WrongPathError(t("There is no folder '{path}'.", path=day_folder))
    problems = list(strays(day_folder))
    jobs = []
    for _, loaded in load_jobs(day_folder, registers):
        problems += loaded.problems
        if loaded.value is not None:
            jobs.append(loaded.value)
    return Loaded(tuple(jobs), tuple(problems))


def load_jobs(
    day_folder: Path, registers: Registers, days: Mapping[str, tuple[Path, ...]] | None = None
) -> tuple[tuple[Path, Loaded[Job]], ...]:
    """Every job file of a day's folder with what came of it, by file name. days: of the shop's jobs, where they were
    looked at already.
    """
    days = days_of_jobs(day_folder.absolute().parent) if days is None else days
    there = _there_in(registers)
    return tuple((path, _job(path, there, days.get(path.name, ()))) for path in job_files(day_folder))


def check(paths: Iterable[Path]) -> tuple[Problem, ...]:
    """Every problem of the jobs meant by `paths` and of the registers they rest on, in order of file and line.

    A path may also be a register's file, or a shop without jobs. Raises WrongPathError as `targets` and `find_shop`.
    """
    problems: set[Problem] = set()
    by_shop: dict[Path, list[Path]] = {}
    for path in paths:
        shop = find_shop(path)
        jobs = () if path.name in REGISTER_FILES else jobs_at(path)
        if not jobs and not (path.name in REGISTER_FILES or (path / SHOP_FILE).is_file()):
            raise WrongPathError(t("There is no job in '{path}'.", path=path))
        by_shop.setdefault(shop, []).extend(jobs)
        if path.is_dir():
            folders = day_folders(path) if (path / SHOP_FILE).is_file() else (path,)
            problems.update(problem for folder in folders for problem in strays(folder))
            if (path / SHOP_FILE).is_file():
                problems.update(stray_folders(path))
    for shop, jobs_of_shop in by_shop.items():
        registers = _registers(shop)
        problems.update(registers.loaded.problems)
        days = days_of_jobs(shop)
        for job in dict.fromkeys(jobs_of_shop):
            problems.update(_job(job, registers, days.get(job.name, ())).problems)
    return tuple(sorted(problems))
