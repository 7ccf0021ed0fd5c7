"""Which addresses the codes of a job's prints carry: `printed/addresses`, a file for each, only ever added.

All is in the files' names, so that it is read fast and nothing can be half written. A job without one was printed, if
at all, with its id alone as the address.
"""

import os
from collections.abc import Mapping
from pathlib import Path

from packet.press.printed import LOCK, PATIENCE_SECONDS, files_of, printed_folder
from packet.shop.addresses import can_be_guessed, job_of
from packet.shop.whole import locked, sweep, write_if_new

FOLDER = "addresses"


def noted(folder: Path) -> dict[str, frozenset[str]]:
    """The addresses noted in a folder of print records, by job. Raises OSError."""
    found: dict[str, set[str]] = {}
    for name in _names(folder):
        found.setdefault(job_of(name), set()).add(name)
    return {job: frozenset(names) for job, names in found.items()}


def carried(noted_ones: Mapping[str, frozenset[str]], job: str) -> frozenset[str]:
    """The addresses that a printed job's codes carry."""
    return noted_ones.get(job, frozenset({job}))


def note(shop_folder: Path, job: str, address: str) -> None:
    """Note that a job is about to be printed with an address: before its print record is written. Raises TakenError, OSError."""
    folder = printed_folder(shop_folder)
    there = [name for name in _names(folder) if job_of(name) == job]
    if address in there or (not there and can_be_guessed(address)):
        return
    # its first print with a secret; the codes of the prints before it carry the id alone
    earlier = [job] if not there and files_of(folder, job) else []
    with locked(folder / LOCK, PATIENCE_SECONDS):
        sweep(folder / FOLDER)
        for name in (*earlier, address):
            write_if_new(folder / FOLDER / name, f"{name}\n".encode())


def _names(folder: Path) -> list[str]:
    try:
        return sorted(name for name in os.listdir(folder / FOLDER) if not name.startswith("."))  # noqa: PTH208 - names alone
    except FileNotFoundError:
        return []
