"""Where things lie in a shop: its folder, its days, its job files; and which files a path on the command line means."""

import errno
import os
import re
from collections.abc import Iterable
from pathlib import Path

from packet.shop.problems import Problem, WrongPathError
from packet.words import t

SHOP_FILE = "shop.yaml"
CYLINDERS_FILE = "cylinders.yaml"
MACHINES_FILE = "machines.yaml"
TECHNICIANS_FILE = "technicians.yaml"
REGISTER_FILES = (SHOP_FILE, CYLINDERS_FILE, MACHINES_FILE, TECHNICIANS_FILE)
# 'HP-1041.yml', 'HP-1041.YAML', 'HP-1041.yaml.txt', 'HP-1041.yaml (copy)'
_LIKE_A_JOB = re.compile(r"\.ya?ml", re.IGNORECASE)
# what the shop's folder holds beside its days
_KEPT = ("printed", "filed")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def is_there(path: Path) -> bool:
    """Whether a path exists; one too long to exist does not. Raises OSError when the machine will not say."""
    try:
        return path.exists()
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            return False
        raise


def find_shop(path: Path) -> Path:
    """The folder of the shop that `path` lies in: the nearest one upward that holds shop.yaml.

    Raises WrongPathError when the path does not exist or no such folder is found.
    """
    if not is_there(path):
        raise WrongPathError(t("There is no '{path}'.", path=path))
    start = path.absolute() if path.is_dir() else path.absolute().parent
    for folder in (start, *start.parents):
        if (folder / SHOP_FILE).is_file():
            return as_typed(folder, path)
    raise WrongPathError(t("'{path}' is not in a shop: no folder above it holds shop.yaml.", path=path))


def as_typed(folder: Path, path: Path) -> Path:
    """`folder`, an ancestor of `path`, the way the user would write it: relative when `path` was."""
    if path.is_absolute():
        return folder
    return folder.relative_to(Path.cwd()) if folder.is_relative_to(Path.cwd()) else folder


def job_files(day_folder: Path) -> tuple[Path, ...]:
    """The job files of a day's folder, by name. Hidden files are none."""
    return tuple(
        sorted(path for path in day_folder.iterdir() if path.suffix == ".yaml" and not path.name.startswith("."))
    )


def strays(day_folder: Path) -> Iterable[Problem]:
    """Files that look like jobs and would be left out, and jobs that would overwrite one another on some computers."""
    seen: dict[str, Path] = {}
    for path in sorted(day_folder.iterdir()):
        if path.name.startswith("."):
            continue
        if path.is_dir() and path.suffix != ".yaml":
            if any(path.glob("*.yaml")):
                said = t("This folder lies in a day's folder: the jobs in it are left out.")
                yield Problem(str(path), 0, "", said, t("Move them up."))
        elif path.suffix != ".yaml" and _LIKE_A_JOB.search(path.name):
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


def stray_folders(shop_folder: Path) -> Iterable[Problem]:
    """Folders of a shop that hold jobs and are not named after a day, so that their jobs would be left out."""
    for path in sorted(shop_folder.iterdir()):
        if not path.is_dir() or _DAY.fullmatch(path.name) or path.name in _KEPT or path.name.startswith("."):
            continue
        if any(path.glob("*.yaml")) and not (path / SHOP_FILE).is_file():
            said = t("The folder is not named after a day, so the jobs in it are left out.")
            yield Problem(str(path), 0, "", said, t("Name it like 2026-11-26."))


def day_folders(shop_folder: Path) -> tuple[Path, ...]:
    """The folders of a shop that are named after a day, in order."""
    return tuple(sorted(path for path in shop_folder.iterdir() if _DAY.fullmatch(path.name) and path.is_dir()))


def targets(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The job files meant by `paths`: a job's file, a day's folder or a shop's folder each; every file once, in order.

    Raises WrongPathError for a path that does not exist or holds no job.
    """
    found: dict[str, Path] = {}
    for path in paths:
        jobs = jobs_at(path)
        if not jobs:
            raise WrongPathError(t("There is no job in '{path}'.", path=path))
        for job in jobs:
            # not Path.resolve: links in a circle stop themselves, not the day
            found.setdefault(os.path.realpath(job), job)
    return tuple(found.values())


def jobs_at(path: Path) -> tuple[Path, ...]:
    """The job files meant by one path; none for a folder without jobs. Raises WrongPathError."""
    if not is_there(path):
        raise WrongPathError(t("There is no '{path}'.", path=path))
    if not path.is_dir():
        if path.name in REGISTER_FILES:
            raise WrongPathError(t("'{path}' is a register, not a job.", path=path))
        return (path,)
    if (path / SHOP_FILE).is_file():
        return tuple(job for folder in day_folders(path) for job in job_files(folder))
    return job_files(path)
