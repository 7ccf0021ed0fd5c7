"""Record and scan know no language: a packet in Spanish reads as the one in English does, box by box and key by key."""

from datetime import UTC, datetime
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest

from packet.hookup.build import build_hookup
from packet.ledger.state import opening
from packet.plan.job import plan_job
from packet.press.job import print_packet
from packet.press.printed import PrintRecord
from packet.scan.proposals import Proposal, proposals
from packet.scan.sort import sort
from packet.shop.load import load_job, load_registers
from tests.scan import digits, paper, pen, scanner

DEMO = Path(__file__).parents[2] / "jobs"
JOB = DEMO / "2026-11-26" / "HP-1042.yaml"
NUMBERS = {"times.start": "0845", "times.end": "1020"}


def is_marked(key: str) -> bool:
    """Which boxes the technician marks: by the key alone, as the places on paper differ."""
    return sum(key.encode()) % 3 > 0


def read_in(language: str, folder: Path) -> tuple[PrintRecord, dict[str, Proposal]]:
    """The packet printed in a language, its sheets with boxes filled in, scanned and sorted: what it proposes."""
    folder.mkdir()
    registers = load_registers(DEMO).value
    assert registers is not None
    registers = registers.model_copy(update={"shop": registers.shop.model_copy(update={"language": language})})
    job = load_job(JOB, registers).value
    assert job is not None
    plan = plan_job(job, registers, opening(registers))
    morning = datetime(2026, 11, 26, 6, tzinfo=UTC)
    made = print_packet(
        plan, build_hookup(plan), shop_folder=folder / "shop", out_folder=folder / "out", printed_at=morning
    )
    assert made.record is not None
    document = pypdfium2.PdfDocument(made.pdf_path)
    scans = []
    for page in sorted({box.page for box in made.record.boxes if box.kind != "blank" or box.form}):
        view = document[page - 1].render(scale=paper.DPI / 72, grayscale=True).to_numpy()
        picture = np.array(view.reshape(view.shape[:2]), np.uint8)
        for box in made.record.boxes:
            if box.page != page:
                continue
            rng = np.random.default_rng(list(box.key.encode()))  # the same strokes on both papers
            if box.key in NUMBERS:
                digits.write_in(picture, box, NUMBERS[box.key], digits.block_hand(rng, 0.1), rng)
            pen.fill_in(picture, [box], rng, paper.PX_PER_MM, pen=pen.Pen(0.5, 0.9), means=is_marked)
        scans.append(folder / f"{page}.png")
        wear = scanner.Wear(skew_deg=1.0, noise=2)
        cv2.imwrite(str(scans[-1]), scanner.scan(picture, wear, np.random.default_rng(page), paper.PX_PER_MM))
    document.close()
    report = sort(scans, folder / "shop", folder / "sorted", registers.shop.records_url)
    (packet,) = report.filed
    return made.record, proposals(packet, made.record)


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[PrintRecord, dict[str, Proposal]]]:
    place = tmp_path_factory.mktemp("languages")
    return {language: read_in(language, place / language) for language in ("en", "es")}


def test_both_papers_have_the_same_boxes(both: dict[str, tuple[PrintRecord, dict[str, Proposal]]]) -> None:
    english, spanish = ({(box.key, box.kind, box.form) for box in both[language][0].boxes} for language in ("en", "es"))
    assert english == spanish
    labels = {language: {box.key: box.label for box in both[language][0].boxes} for language in ("en", "es")}
    assert labels["en"] != labels["es"]  # it is Spanish paper


def test_both_papers_propose_the_same(both: dict[str, tuple[PrintRecord, dict[str, Proposal]]]) -> None:
    english, spanish = ({key: item.value for key, item in both[language][1].items()} for language in ("en", "es"))
    # a stroke that leaves its box at both ends is asked about; by a hair on one paper and not on the other
    differ = {key for key in english.keys() | spanish.keys() if english.get(key) != spanish.get(key)}
    assert all("" in {english[key], spanish[key]} for key in differ)
    assert len(differ) <= 1
    assert {english[key] for key in NUMBERS} == {"08:45", "10:20"}
    ticks = {key: value for key, value in english.items() if both["en"][1][key].how != "digits"}
    assert len(ticks) > 30
    assert all(value in {"", "yes" if is_marked(key) else "no"} for key, value in ticks.items())
    assert sum(not value for value in ticks.values()) <= 0.05 * len(ticks)
