"""The office's work killed at any moment: filing, turning in, withdrawing, settling and sorting, each in a process of its own.

After each kill the records are whole, and the ledger is what the files add up to by another route (`by_hand`); done again,
everything ends byte for byte where uninterrupted work ends.
"""

import os
import random
import shutil
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np

from packet.ledger.check import check_records
from packet.ledger.records import read_records
from packet.ledger.state import ledger
from packet.office import events, settle
from packet.office.enter import Entered, Office
from packet.office.file import file_form
from packet.office.prefill import lay_prefilled
from packet.office.scanned import Scanned, scan_of
from packet.press.printed import PrintedBox, PrintRecord, write_record
from packet.press.run import state as run_state
from packet.scan import filing as scan_filing
from packet.scan import write as scan_write
from packet.scan.model import Address, BoxMark, PageRead, SortedPage, Source, Written
from packet.scan.sort import sort
from tests.children import forked
from tests.scan import digits, paper, pen, scanner

from .by_hand import POUND, contents_kg
from .returned import AT, FORM, TODAY, as_other, hand_in, print_it, registers

SIGNALS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT)
OPENING_LB = {"C-1": "2.0", "C-2": "0", "C-3": "0"}
TARE_LB = dict.fromkeys(OPENING_LB, "27.5")
SCANS = "out/scans"
BOXES = (
    PrintedBox("hold.1.2", 2, "initial", 170.0, 45.0, 16.0, 8.0, "hold.1.2"),
    PrintedBox("step.1.1", 2, "check", 16.0, 42.0, 4.5, 4.5, "step.1.1"),
    PrintedBox("machine_cleared", 2, "check", 16.0, 55.5, 4.5, 4.5, "machine_cleared"),
    digits.comb("times.start", 2, 100.0, 200.0, "dd:dd"),
)
PAGES = ("side-1.png", "side-2.png")  # of HP-1050, as the scanner left them: nobody has read them


@dataclass(frozen=True, slots=True)
class Kill:
    """What was killed, how, after how long; wrong: what was not as it should be, '' where all was."""

    action: str
    how: str
    seconds: float
    died: bool
    wrong: str


def made(folder: Path) -> Path:
    """A shop after two jobs and with a third that came back, its packet scanned; a folder to copy for each kill."""
    cv2.setNumThreads(1)  # a fork would leave its threads half alive
    shop = folder / "made"
    shop.mkdir(parents=True)
    for job in ("HP-1041", "HP-1042", "HP-1043"):
        print_it(shop, job, to_recover_lb=5.0 if job != "HP-1041" else 38.0)
    assert hand_in(shop).filed is not None
    second = hand_in(shop, one_cylinder("HP-1042", 13, "C-3", before="27.5", after="32.5"), name="HP-1042", reasons=WHY)
    assert second.filed is not None, (second.problems, second.unanswered)
    (shop / "HP-1043.readings.yaml").write_text(one_cylinder("HP-1043", 15, "C-2", before="35.4", after="40.4"))
    record = print_it(shop, "HP-1050", revision="PPPP2345")
    next((shop / "printed").glob("HP-1050.*")).unlink()
    record = as_other(record, boxes=BOXES)
    write_record(shop, record)
    scan_pages(shop, record)
    form = shop / "out" / "HP-1050.readings.yaml"
    form.parent.mkdir()
    form.write_text("job: HP-1050\nrevision: PPPP2345\ndate:  # 1 Date\nmachine_cleared:  # 2 Cleared\n")
    run_state.write_job(form.parent, "HP-1050", run_state.Remembered("", "PPPP2345", "", run_state.of_file(form)))
    cv2.imwrite(str(shop / "side.jpg"), np.full((200, 150), 255, np.uint8))
    return shop


def scan_pages(shop: Path, record: PrintRecord) -> None:
    """Both sides of a packet filled in and scanned, the second a little askew."""
    rng = np.random.default_rng(1050)
    for number, name in enumerate(PAGES, 1):
        side = paper.draw_page(record, number, registers().shop.records_url)
        mine = [box for box in record.boxes if box.page == number]
        for box in mine:
            if box.form:
                edge = [
                    round(value * paper.PX_PER_MM)
                    for value in (box.y_mm - 3, box.y_mm + 11, box.x_mm - 3, box.x_mm + 30)
                ]
                side[edge[0] : edge[1], edge[2] : edge[3]] = 255
                digits.draw_comb(side, box)
                digits.write_in(side, box, "0845", digits.block_hand(rng), rng)
        pen.fill_in(side, mine, rng, paper.PX_PER_MM, pen=pen.Pen(0.5, 0.9), means=bool)
        wear = scanner.Wear(skew_deg=1.5 * (number - 1), noise=2)
        cv2.imwrite(str(shop / name), scanner.scan(side, wear, rng, paper.PX_PER_MM))


WHY = {
    "cylinder-not-on-job": "taken off the truck",
    "amount-below-charge": "it had leaked",
    "amount-above-charge": "overcharged",
}


def one_cylinder(job: str, hour: int, cylinder: str, *, before: str, after: str) -> str:
    """The form of a job that put everything into one cylinder."""
    head, rest = (
        FORM.replace("HP-1041", job).replace("08:45", f"{hour}:00").replace("10:20", f"{hour + 1}:00").split("  C-1:\n")
    )
    rest = rest[rest.index("recovered_lb") :].replace("37.9", f"{float(after) - float(before):.1f}")
    weighed = (
        f"  {cylinder}:\n    inspected: AS\n    bare_before_gross_lb: {before}\n    bare_after_gross_lb: {after}\n"
        f"    put_in_lb: {float(after) - float(before):.1f}\n"
    )
    unused = "".join(f"  {name}:\n    not_used: yes\n" for name in ("C-1", "C-2") if name != cylinder)
    return head + weighed + unused + rest


def _office(shop: Path) -> Office:
    return Office(shop, registers(), TODAY, AT, {"turn-in-jobs-not-filed": "they never used it"})


def _file(shop: Path) -> None:
    form = shop / "HP-1043.readings.yaml"
    done = file_form(form, shop, registers(), today=TODAY, filed_at=AT, reasons=WHY, scans=shop / SCANS)
    assert done.filed is not None, (done.problems, done.unanswered)


def _turn_in(shop: Path) -> None:
    load = events.Load("C-1")
    _sure(events.turn_in(_office(shop), [load], to="Basin", purpose="reclaim", day=TODAY, reference="M-1"))


def _withdraw(shop: Path) -> None:
    done = settle.withdraw(_office(shop), "2", why="entered for another job")
    assert done.filed is not None or "no record '2'" in done.problems[0].message


def _settle(shop: Path) -> None:
    done = settle.join_ends(_office(shop), why="the disk was damaged")
    assert done.filed is not None or "nothing to settle" in done.problems[0].message


def _sort(shop: Path) -> None:
    """From the scanner's pictures to the form: what is killed is mostly the reading, which nothing may come of."""
    report = sort([shop / name for name in PAGES], shop, shop / "out", registers().shop.records_url)
    assert [len(packet.pages) for packet in report.filed] == [2], report.problems
    _prefill(shop)


def _file_pages(shop: Path) -> None:
    """From pages that were read to the form, so that kills meet the filing itself."""
    marks = tuple(BoxMark(box.key, 2, box.kind, box.label, "marked") for box in BOXES if not box.form)
    written = (Written("times.start", 2, "Started", "dd:dd", "08:45", 0.99, "", 1, 1, 9, 9),)
    page = SortedPage(Address("HP-1050", 2, "PPPP2345"), "a.pdf #2", "aa", 0, 0.0, 150.0, marks=marks, written=written)
    read = PageRead(Source(shop / "side.jpg", 1), page, shop / "side.jpg", (215.9, 279.4))
    with scan_write.sorting(shop / SCANS):
        scan_filing.file([read], shop, shop / SCANS)
    _prefill(shop)


def _prefill(shop: Path) -> None:
    scan = scan_of(shop, shop / SCANS, "HP-1050", "PPPP2345")
    assert isinstance(scan, Scanned)
    lay_prefilled(shop / "out", scan)


def _sure(done: Entered) -> None:
    assert done.filed is not None, (done.problems, done.unanswered)


ACTIONS: dict[str, Callable[[Path], None]] = {
    "file": _file, "turn-in": _turn_in, "withdraw": _withdraw, "settle": _settle, "sort": _sort,
    "sort, read before": _file_pages,
}  # fmt: skip


def begun(template: Path, place: Path, action: str) -> Path:
    """A copy of the shop, as it stands before an action."""
    shutil.copytree(template, place)
    if action == "settle":
        (place / "filed" / "000001-HP-1041.json").unlink()
    return place


def everything(shop: Path) -> dict[str, bytes]:
    """Every file by its path, but for locks and the scans' PDF, which says when it was made: its list stands for it."""
    found = {
        str(path.relative_to(shop)): path.read_bytes()
        for path in shop.rglob("*")
        if path.is_file() and path.suffix not in {".lock", ".pdf"} and path.name != "lock"
    }
    for path in shop.rglob("*.pdf"):
        found[str(path.relative_to(shop))] = repr(scan_write.kept(path).pages).encode()
    return found


def started(action: str, shop: Path) -> int:
    """The action in a process of its own; its id."""
    return forked(lambda: ACTIONS[action](shop))


def kill_once(
    template: Path, place: Path, action: str, *, how: signal.Signals, after: float, wanted: dict[str, bytes]
) -> Kill:
    """Start an action, kill it after so many seconds, look, do it again, look. Removes the copy."""
    shop = begun(template, place, action)
    child = started(action, shop)
    time.sleep(after)
    os.kill(child, how)
    died = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0
    wrong = adds_up(shop)
    again = os.waitstatus_to_exitcode(os.waitpid(started(action, shop), 0)[1])
    if again != 0:
        wrong += f" again ended with {again}"
    wrong += adds_up(shop)
    ends = everything(shop)
    differ = sorted(name for name in wanted.keys() | ends.keys() if wanted.get(name) != ends.get(name))
    if differ:
        wrong += f" not as uninterrupted: {differ}"
    shutil.rmtree(place)
    return Kill(action, how.name, after, died, wrong.strip())


def adds_up(shop: Path) -> str:
    """What is wrong with the records and the ledger, '' when nothing is."""
    wrong = [f"{item.file} {item.kind}" for item in check_records(shop) if item.kind != "lost" and not item.settled]
    found = read_records(shop)
    if found.trouble:  # a lost record that nobody has settled yet
        return " ".join(wrong if found.lost else [*wrong, found.trouble])
    book = ledger(registers(), shop, date.max)
    mine = contents_kg(shop, OPENING_LB, TARE_LB)
    wrong += [name for name, kg in mine.items() if Fraction(book.states[name].ledger_kg) != kg]
    total = sum((Fraction(item.kg) for item in book.journal), Fraction(2) * POUND)
    if total != sum(mine.values()):
        wrong.append("the journal does not add up")
    return " ".join(wrong)


def uninterrupted(template: Path, folder: Path) -> dict[str, tuple[float, dict[str, bytes]]]:
    """Of each action: how long it takes in a process of its own, and how everything ends."""
    out = {}
    for action in ACTIONS:
        shop = begun(template, folder / f"whole-{action}", action)
        began = time.monotonic()
        assert os.waitstatus_to_exitcode(os.waitpid(started(action, shop), 0)[1]) == 0, action
        seconds = time.monotonic() - began
        assert not (wrong := adds_up(shop)), (action, wrong)
        out[action] = (seconds, everything(shop))
    return out


def kills(template: Path, folder: Path, count: int, seed: int) -> list[Kill]:
    """So many kills, the actions in turn, at moments drawn from the time that each takes."""
    chance, known = random.Random(seed), uninterrupted(template, folder)
    done = []
    for number in range(count):
        action = list(ACTIONS)[number % len(ACTIONS)]
        seconds, wanted = known[action]
        after = chance.uniform(0.0, seconds * 1.1)
        done.append(
            kill_once(template, folder / str(number), action, how=chance.choice(SIGNALS), after=after, wanted=wanted)
        )
    return done
