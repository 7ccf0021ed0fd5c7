"""Pages whose codes carry a secret's letters, and pages of the time before, in one stack."""

import base64
from hashlib import sha256
from pathlib import Path

import cv2
import numpy as np
import pytest

from packet.press.addresses import note
from packet.press.code import LONGEST_ADDRESS, Stamp, modules
from packet.press.marks import QR_QUIET_MODULES, QR_SIDE_MM, QR_SMALLEST_MODULE_MM
from packet.scan.sort import sort
from packet.shop.checks import RECORDS_URL_MAX, SUFFIX_LENGTH
from tests.scan import paper, scanner

# the longest address that a shop with a secret may have, so that the code is as fine as it gets
URL = "https://records.example.com/".ljust(RECORDS_URL_MAX - SUFFIX_LENGTH, "a")


def letters(job: str) -> str:
    """Twelve letters as a secret would give them."""
    return f"{job}~{base64.b32encode(sha256(job.encode()).digest()).decode()[:12]}"


def test_the_longest_address_with_a_secret_fits_the_code() -> None:
    job = "HP-123456789"  # the longest id that any shop's address leaves room for
    address = Stamp(URL, letters(job), "AAAA2222", "letter").address(99)
    assert len(address) == LONGEST_ADDRESS
    assert QR_SIDE_MM / (len(modules(address)) + 2 * QR_QUIET_MODULES) >= QR_SMALLEST_MODULE_MM


@pytest.mark.parametrize("scribbled", [False, True])
def test_both_kinds_of_codes_are_read_and_no_other_is_believed(tmp_path: Path, scribbled: bool) -> None:
    shop, scans = tmp_path / "shop", tmp_path / "in"
    scans.mkdir()
    rng = np.random.default_rng(5)
    jobs = {"HP-1041": ("HP-1041", letters("HP-1041")), "HP-1042": (letters("HP-1042"),)}
    paths = []
    for job, addresses in jobs.items():
        for address in addresses:
            note(shop, job, address)
            record = paper.print_job(shop, job, "ABCDEFG2" if address == job else "QRSTUVW3")
            for page in (1, 2, 3):
                picture = paper.draw_page(record, page, URL, address)
                if scribbled and page == 2:  # the lower code is gone, the upper one half covered
                    size = picture.shape
                    cv2.rectangle(picture, (size[1] - 420, size[0] - 420), (size[1], size[0]), 255, -1)
                    cv2.line(picture, (size[1] - 300, 60), (size[1] - 60, 260), 0, 9)
                paths.append(scans / f"{job}.{record.revision}.{page}.png")
                cv2.imwrite(str(paths[-1]), scanner.scan(picture, scanner.some_wear(rng), rng, paper.PX_PER_MM))
    # never printed so: a guessed address on a page of a job that was printed with a secret alone
    forged = paper.draw_page(paper.print_job(shop, "HP-1042", "MNOPQRS4"), 1, URL, "HP-1042")
    paths.append(scans / "forged.png")
    cv2.imwrite(str(paths[-1]), forged)

    report = sort(paths, shop, tmp_path / "out", URL)

    found = {(packet.job, packet.revision): len(packet.pages) for packet in report.filed}
    assert found == {("HP-1041", "ABCDEFG2"): 3, ("HP-1041", "QRSTUVW3"): 3, ("HP-1042", "QRSTUVW3"): 3}
    assert [loose.source for loose in report.loose if loose.why == "foreign-code"] == ["forged.png #1"]
