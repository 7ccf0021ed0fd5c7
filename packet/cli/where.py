"""Where things lie, seen from where somebody stands: the shop, its output, and the file that a job's id means."""

import os
import re
from datetime import date, timedelta
from pathlib import Path

from packet.shop.places import SHOP_FILE, day_folders, is_there, job_files
from packet.shop.problems import WrongPathError, did_you_mean
from packet.shop.text import MAX_BYTES
from packet.shop.whole import OwnFileError, read_start
from packet.words import DEFAULT_LANGUAGE, languages, t

OUT = "out"


def shop_here() -> Path:
    """The shop one stands in or beside: a folder with shop.yaml, or with jobs/shop.yaml in it, here or further up.

    Where there is none: 'jobs', so that the complaint names what is looked for.
    """
    here = Path.cwd()
    for folder in (here, *here.parents):
        for shop in (folder / "jobs", folder):
            if (shop / SHOP_FILE).is_file():
                return short_path(shop)
    return Path("jobs")


def language_here() -> str:
    """What somebody who stands here is spoken to in: the shop's language, or without a shop the system's.

    For help, and for what is said before the shop's files are read; then the shop's own language holds. English where
    there is no catalogue for it.
    """
    try:
        text = read_start(shop_here() / SHOP_FILE, MAX_BYTES).decode("utf-8", errors="replace")
    except (OSError, OwnFileError):
        wishes = [os.environ.get(name, "") for name in ("LC_ALL", "LC_MESSAGES", "LANG")]
        wanted = re.split(r"[_.@]", next(filter(None, wishes), ""))[0]
    else:
        found = re.search(r"""^language:\s*["']?([\w-]+)""", text, re.MULTILINE)
        wanted = found[1] if found else DEFAULT_LANGUAGE
    return wanted if wanted in languages() else DEFAULT_LANGUAGE


def short_path(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    try:
        return Path(os.path.relpath(path))
    except ValueError:  # on another drive
        return path


def out_of(shop_folder: Path) -> Path:
    """Where a shop's paper goes when nobody says: 'out' beside its folder."""
    return short_path(Path(os.path.abspath(shop_folder)).parent / OUT)  # noqa: PTH100 - ".." is taken out, links are kept


def meant(word: Path, today: date) -> Path:
    """The path that `word` means: itself, or a job's file by its id, or a day's folder by its date, 'today', 'tomorrow'.

    today: the day on the wall. Raises WrongPathError when it is none of these.
    """
    if is_there(word):
        return word
    shop = shop_here()
    text = str(word)
    days = {"today": today, "tomorrow": today + timedelta(days=1)}
    if text.casefold() in days:
        text = days[text.casefold()].isoformat()
    jobs = {}
    if (shop / SHOP_FILE).is_file():
        for place in (shop / text, shop / f"{text}.yaml"):
            if is_there(place):
                return place
        jobs = {path.stem: path for folder in day_folders(shop) for path in job_files(folder)}
        found = jobs.get(text.removesuffix(".yaml"))
        if found is not None:
            return found
    raise WrongPathError(" ".join(part for part in (t("There is no '{path}'.", path=word), _near(text, jobs)) if part))


def _near(text: str, jobs: dict[str, Path]) -> str:
    return did_you_mean(text, jobs) if jobs and os.sep not in text else ""


def place_of_new(word: Path) -> Path:
    """Where a new job 'DAY/JOB' goes: there when that lies in a shop, else in the shop one stands in or beside."""
    if word.is_absolute() or (word.parent.parent / SHOP_FILE).is_file():
        return word
    shop = shop_here()
    return shop / word if len(word.parts) == 2 and (shop / SHOP_FILE).is_file() else word
