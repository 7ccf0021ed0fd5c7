"""What stands on a record page, at which address, and what is published: by what shop.yaml says and by nothing else."""

import os
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import get_args

import pytest
from pydantic import SecretStr

from packet.ledger.fields import FIELDS, STATEMENT_FIELDS
from packet.ledger.records import Filed, Unreadable, compose, parse
from packet.office.pages.model import Known
from packet.office.pages.publish import LIST, LOCK, PublishError, publish
from packet.office.pages.view import readable
from packet.office.pages.write import Refreshed, refresh
from packet.press.addresses import note
from packet.press.printed import PrintRecord, write_record
from packet.press.printed_before import document
from packet.shop.addresses import NAMES_NOBODY, record_address
from packet.shop.records import Shop, Shown

from .returned import plan

DAY = date(2026, 11, 26)
JOB = "HP-1041"
SECRET = "kq3-Vp0xZ9-tRm7uWd2-aLf8"
PLAIN = Shop(company="Elm Cooling", phone="555-0100", emergency_phone="555-0199", records_url="https://records.example")
SECRETLY = PLAIN.model_copy(update={"records_secret": SecretStr(SECRET)})
# every text that could name somebody or something, each of its own
SAID: Mapping[str, tuple[Shown, ...]] = {
    "Corner Market": ("site",),
    "1 Elm Street": ("location",),
    "Quinn Manager": ("contact",),
    "555-0777": ("contact",),
    "key at the till": ("access",),
    "dog in the yard": ("access",),
    "Dana Fictive": ("technician",),
    "U-1234-5": ("technician", "readings"),
    "truck T2": ("truck",),
    "08:30": ("truck",),
    "Market's walk-in": ("appliance",),
    "61.4 lb": ("numbers",),
    "55.5 lb": ("readings",),
    "10:20": ("readings",),
    "25.5 lb": ("readings",),
    "Olive Owner": ("site", "readings"),
    "lock 77": ("access", "readings"),
    "neighbor complained": ("remarks", "readings"),
    "Pell is away": ("reasons",),
    "now Wren, was Dana": ("reasons",),
    "HP-1041.pdf": ("packet",),
    "scan.AAAA2222.pdf": ("scans",),
    "../index.html": ("index",),
}
KNOWN = Known(
    job=JOB,
    date="2026-11-26",
    truck="T2",
    start="08:30",
    technician="Dana Fictive",
    site="Corner Market",
    address="1 Elm Street",
    appliance="Market's walk-in",
    refrigerant="R-22",
    cautions=("Pell is away.",),
    contact="Quinn Manager",
    phone="555-0777",
    access="key at the till",
    notes="dog in the yard",
)
ALWAYS = (JOB, "2026-11-26", "R-22", "AAAA2222", "Elm Cooling")


def printed(revision: str = "AAAA2222", job: str = JOB) -> PrintRecord:
    return PrintRecord(
        job=job,
        revision=revision,
        date=DAY,
        printed_at=datetime(2026, 11, 25, 17, tzinfo=UTC),
        replaces="",
        changed=("Technician: now Wren, was Dana.",),
        paper="letter",
        pages=("Front", "Fill"),
        boxes=(),
        facts=(("Truck", "T2"), ("Technician", "Dana Fictive"), ("Stop weight of C-118", "61.4 lb")),
        plan=document(plan()),
    )


def filed() -> Filed:
    body: dict[str, object] = {
        "date": "2026-11-26",
        "technician": "Dana Fictive",
        "card": "U-1234-5",
        "times": {"start": "08:45", "end": "10:20"},
        "power": {"lock_number": "lock 77"},
        "cylinders": {"C-118": {"bare_after_gross_lb": "55.5"}},
        "gas_owner": "Olive Owner",
        "remarks": "neighbor complained",
        "moves": [{"cylinder": "C-118", "moved_lb": "25.5", "refrigerant": "R-22"}],
    }
    found = parse(f"000001-{JOB}.json", compose(1, "job", JOB, (), body))
    assert not isinstance(found, Unreadable)
    return found


class Place:
    """A shop's folder with one job printed and filed, and its output."""

    def __init__(self, folder: Path) -> None:
        self.jobs, self.out, self.scans = folder / "jobs", folder / "out", folder / "out" / "scans"
        self.scans.mkdir(parents=True)
        self.jobs.mkdir()
        (self.out / f"{JOB}.pdf").write_bytes(b"%PDF-1.7 packet")
        (self.scans / f"{JOB}.AAAA2222.pdf").write_bytes(b"%PDF-1.7 scan")

    def print(self, shop: Shop, job: str = JOB) -> None:
        note(self.jobs, job, record_address(shop, job))
        write_record(self.jobs, printed(job=job))

    def pages(self, shop: Shop, planned: tuple[Known, ...] = (KNOWN,)) -> Refreshed:
        return refresh(
            shop,
            self.jobs,
            self.out,
            filed=[filed()],
            asof=DAY,
            planned=planned,
            scans=self.scans,
            touched=frozenset({JOB}),
        )

    def served(self) -> set[str]:
        return {
            path.relative_to(self.out / "records").as_posix()
            for path in (self.out / "records").rglob("*.*")
            if path.is_file()
        }

    def page(self, address: str) -> str:
        return (self.out / "records" / address / "index.html").read_text("utf-8").replace("&#39;", "'")


@pytest.fixture
def place(tmp_path: Path) -> Place:
    return Place(tmp_path)


def test_by_itself_a_page_whose_address_can_be_guessed_names_nobody(place: Place) -> None:
    place.print(PLAIN)
    place.pages(PLAIN)
    text = place.page(JOB)
    assert [word for word in ALWAYS if word not in text] == []
    assert {word for word in SAID if word in text} == {"61.4 lb", "55.5 lb", "25.5 lb", "10:20"}
    assert place.served() == {"robots.txt", f"{JOB}/index.html"}


def test_with_a_secret_it_says_what_an_inspectors_record_says(place: Place) -> None:
    place.print(SECRETLY)
    place.pages(SECRETLY)
    address = record_address(SECRETLY, JOB)
    assert place.served() == {"robots.txt", f"{address}/index.html"}
    assert {word for word in SAID if word in place.page(address)} == {
        "1 Elm Street", "Dana Fictive", "U-1234-5", "Market's walk-in", "61.4 lb", "55.5 lb", "25.5 lb", "10:20",
    }  # fmt: skip


@pytest.mark.parametrize("one", get_args(Shown))
def test_each_word_of_records_show_lets_through_its_own_and_nothing_else(place: Place, one: Shown) -> None:
    shop = SECRETLY.model_copy(update={"records_show": (one, "readings")})
    place.print(shop)
    place.pages(shop)
    text = place.page(record_address(shop, JOB))
    assert {word for word, needed in SAID.items() if word in text} == {
        word for word, needed in SAID.items() if set(needed) <= {one, "readings"}
    }
    assert [word for word in ALWAYS if word not in text] == []


def test_a_page_of_nothing_says_nothing_more_than_whether_the_sheet_is_current(place: Place) -> None:
    shop = SECRETLY.model_copy(update={"records_show": ()})
    place.print(shop)
    place.pages(shop)
    text = place.page(record_address(shop, JOB))
    assert [word for word in SAID if word in text] == []
    assert [word for word in ALWAYS if word not in text] == []


def test_a_reading_in_words_is_a_remark_until_somebody_says_that_it_names_nobody() -> None:
    assert {item.quantity for item in readable(NAMES_NOBODY)} & {"text", "initials"} == set()
    assert set(readable(frozenset(get_args(Shown)))) == {*FIELDS, *STATEMENT_FIELDS}


def test_codes_from_before_the_secret_lead_to_a_page_that_names_nobody(place: Place) -> None:
    place.print(PLAIN)
    place.print(SECRETLY)
    shop = SECRETLY.model_copy(update={"records_show": get_args(Shown)})
    place.pages(shop)
    address = record_address(shop, JOB)
    assert {word for word in SAID if word in place.page(address)} == set(SAID)
    assert {word for word in SAID if word in place.page(JOB)} == {"61.4 lb", "55.5 lb", "25.5 lb", "10:20"}
    assert "AAAA2222" in place.page(JOB)
    assert not list((place.out / "records" / JOB).glob("*.pdf"))


def test_a_secret_set_after_the_pages_were_made_takes_the_guessable_ones_away(place: Place) -> None:
    planned = replace(KNOWN, job="HP-9")
    place.pages(PLAIN, (KNOWN, planned))
    assert {"HP-1041/index.html", "HP-9/index.html"} <= place.served()
    place.pages(SECRETLY, ())
    assert place.served() == {
        "robots.txt", f"{record_address(SECRETLY, JOB)}/index.html", f"{record_address(SECRETLY, 'HP-9')}/index.html",
    }  # fmt: skip


def test_a_changed_secret_keeps_the_addresses_that_are_on_paper_and_no_others(place: Place) -> None:
    other = PLAIN.model_copy(update={"records_secret": SecretStr(SECRET[::-1])})
    place.print(SECRETLY)
    place.pages(SECRETLY, (KNOWN, replace(KNOWN, job="HP-9")))
    place.pages(other, ())
    assert place.served() == {
        "robots.txt",
        f"{record_address(SECRETLY, JOB)}/index.html",
        f"{record_address(other, JOB)}/index.html",
        f"{record_address(other, 'HP-9')}/index.html",
    }


def test_what_is_no_longer_shown_goes_at_the_next_run_whoever_was_planned(place: Place) -> None:
    everything = SECRETLY.model_copy(update={"records_show": get_args(Shown)})
    address = record_address(SECRETLY, JOB)
    place.print(everything)
    place.pages(everything)
    assert {
        f"{address}/{JOB}.pdf",
        f"{address}/scan.AAAA2222.pdf",
        "index.html",
        "month-2026-11.html",
    } <= place.served()
    refresh(SECRETLY, place.jobs, place.out, filed=[filed()], asof=DAY)
    assert place.served() == {"robots.txt", f"{address}/index.html"}
    assert "Corner Market" not in place.page(address)


def test_a_page_that_cannot_be_made_again_does_not_go_on_showing_too_much(place: Place) -> None:
    everything = PLAIN.model_copy(update={"records_show": get_args(Shown)})
    place.print(everything)
    place.pages(everything)
    (place.jobs / "printed" / f"{JOB}.AAAA2222.json").write_bytes(b"{")
    refresh(PLAIN, place.jobs, place.out, filed=[filed()], asof=DAY)
    assert place.served() == {"robots.txt"}


def test_pages_of_the_time_before_are_replaced_and_their_memory_goes(place: Place) -> None:
    old = place.out / "records" / "HP-7"
    old.mkdir(parents=True)
    (old / "index.html").write_text('<body data-revision="AAAA2222">Corner Market', "utf-8")
    (old / "record.json").write_text('{"site": "Corner Market"}', "utf-8")
    (old / "HP-7.pdf").write_bytes(b"%PDF")
    (place.out / "records" / "index.html").write_text('<section id="open">Corner Market', "utf-8")
    place.print(PLAIN, "HP-7")
    place.pages(PLAIN)
    assert {name for name in place.served() if name.startswith(("HP-7", "index"))} == {"HP-7/index.html"}
    assert "Corner Market" not in place.page("HP-7")


def test_what_somebody_laid_into_the_served_folder_stays(place: Place) -> None:
    mine = place.out / "records" / "help"
    mine.mkdir(parents=True)
    (mine / "index.html").write_text("<p>Call 555-0100.</p>", "utf-8")
    (place.out / "records" / "index.html").write_text("<p>Elm Cooling</p>", "utf-8")
    place.print(PLAIN)
    made = place.pages(PLAIN)
    assert {"help/index.html", "index.html"} <= place.served()
    assert {path.as_posix() for path in made.public} == {"robots.txt", f"{JOB}/index.html"}


def test_the_offices_list_says_everything_and_leads_to_pages_packets_and_scans(place: Place) -> None:
    place.print(SECRETLY)
    place.pages(SECRETLY)
    text = (place.out / "office" / "index.html").read_text("utf-8")
    assert "2026-11-26 08:30 · T2 · R-22 · Corner Market, 1 Elm Street" in text
    links = re.findall(r'href="([^"#]+)"', text)
    assert "../HP-1041.pdf" in links
    for link in links:
        assert (place.out / "office" / link.replace("%7E", "~")).resolve().is_file(), link


def test_a_public_list_says_no_more_than_a_page(place: Place) -> None:
    shop = SECRETLY.model_copy(update={"records_show": ("index",)})
    place.print(shop)
    place.pages(shop)
    for name in ("index.html", "month-2026-11.html"):
        text = (place.out / "records" / name).read_text("utf-8")
        assert "2026-11-26 · R-22" in text
        assert [word for word in SAID if word in text and word != "../index.html"] == []
        assert "· T2" not in text
        assert ">T2<" not in text


def test_robots_and_referrers_are_told_off(place: Place) -> None:
    shop = SECRETLY.model_copy(update={"records_show": ("index",)})
    place.print(shop)
    place.pages(shop)
    assert (place.out / "records" / "robots.txt").read_text("utf-8") == "User-agent: *\nDisallow: /\n"
    for path in [*(place.out / "records").rglob("*.html"), *(place.out / "office").glob("*.html")]:
        head = path.read_text("utf-8").partition("<body")[0]
        assert '<meta name="robots" content="noindex, nofollow, noarchive">' in head
        assert '<meta name="referrer" content="no-referrer">' in head
        assert head.index("Content-Security-Policy") < head.index("<style>")


# --- publishing


def put(place: Place, shop: Shop, to: Path) -> tuple[set[str], set[str], int]:
    """Published, taken away, as they were."""
    made = place.pages(shop)
    done = publish(place.out / "records", made.public, to, private=(place.jobs, place.out))
    return {path.as_posix() for path in done.written}, {path.as_posix() for path in done.taken}, done.same


def lies(to: Path) -> set[str]:
    return {path.relative_to(to).as_posix() for path in to.rglob("*") if path.is_file()} - {LIST, LOCK}


def test_published_is_what_may_be_public_and_the_same_again_is_nothing_new(place: Place, tmp_path: Path) -> None:
    place.print(SECRETLY)
    to, address = tmp_path / "www", record_address(SECRETLY, JOB)
    (place.out / "records").mkdir(parents=True)
    (place.out / "records" / "notes.txt").write_text("ours alone", "utf-8")
    assert put(place, SECRETLY, to) == ({"robots.txt", f"{address}/index.html"}, set(), 0)
    assert put(place, SECRETLY, to) == (set(), set(), 2)
    assert lies(to) == {"robots.txt", f"{address}/index.html"}


def test_what_may_no_longer_be_public_is_taken_away_there(place: Place, tmp_path: Path) -> None:
    everything = SECRETLY.model_copy(update={"records_show": get_args(Shown)})
    place.print(everything)
    to, address = tmp_path / "www", record_address(SECRETLY, JOB)
    written, _, _ = put(place, everything, to)
    assert {f"{address}/{JOB}.pdf", f"{address}/scan.AAAA2222.pdf", "index.html", "month-2026-11.html"} <= written
    (to / "logo.svg").write_text("<svg/>", "utf-8")
    (to / address / "mine.txt").write_text("mine", "utf-8")
    written, taken, _ = put(place, SECRETLY, to)
    assert taken == {f"{address}/{JOB}.pdf", f"{address}/scan.AAAA2222.pdf", "index.html", "month-2026-11.html"}
    assert lies(to) == {"robots.txt", f"{address}/index.html", "logo.svg", f"{address}/mine.txt"}


def test_an_address_that_no_code_leads_to_goes_with_its_folder(place: Place, tmp_path: Path) -> None:
    to = tmp_path / "www"
    put(place, PLAIN, to)
    assert lies(to) == {"robots.txt", f"{JOB}/index.html"}
    put(place, SECRETLY, to)
    assert lies(to) == {"robots.txt", f"{record_address(SECRETLY, JOB)}/index.html"}
    assert not (to / JOB).exists()


def test_somebody_elses_file_in_the_way_stops_all_of_it(place: Place, tmp_path: Path) -> None:
    to = tmp_path / "www"
    to.mkdir()
    (to / "robots.txt").write_text("User-agent: *\nAllow: /\n", "utf-8")
    with pytest.raises(PublishError, match=r"robots\.txt' was not put there by this command") as stopped:
        put(place, PLAIN, to)
    assert stopped.value.status == 1
    assert lies(to) == {"robots.txt"}
    assert (to / "robots.txt").read_text("utf-8") == "User-agent: *\nAllow: /\n"


@pytest.mark.parametrize("what", ["folder", "file", "dangling"])
def test_no_link_leads_out_of_the_folder(place: Place, tmp_path: Path, what: str) -> None:
    to, elsewhere = tmp_path / "www", tmp_path / "elsewhere"
    to.mkdir()
    elsewhere.mkdir()
    (elsewhere / "index.html").write_text("theirs", "utf-8")
    if what == "folder":
        (to / JOB).symlink_to(elsewhere)
    else:
        (to / JOB).mkdir()
        (to / JOB / "index.html").symlink_to(elsewhere / ("index.html" if what == "file" else "new.html"))
    with pytest.raises(PublishError, match="was not put there by this command"):
        put(place, PLAIN, to)
    assert [(path.name, path.read_text("utf-8")) for path in elsewhere.iterdir()] == [("index.html", "theirs")]


def test_a_link_in_the_place_of_what_goes_is_not_followed(place: Place, tmp_path: Path) -> None:
    to, elsewhere = tmp_path / "www", tmp_path / "elsewhere"
    put(place, PLAIN, to)
    (to / JOB).rename(elsewhere)
    (to / JOB).symlink_to(elsewhere)
    put(place, SECRETLY, to)
    assert (elsewhere / "index.html").is_file()
    assert (to / JOB).is_symlink()


@pytest.mark.parametrize("where", [".", "jobs", "jobs/2026-11-26", "out", "out/records", "out/www"])
def test_what_is_served_holds_neither_the_shop_nor_the_output_nor_lies_in_them(
    place: Place, tmp_path: Path, where: str
) -> None:
    with pytest.raises(PublishError, match="lie in one another") as stopped:
        put(place, PLAIN, tmp_path / where)
    assert stopped.value.status == 2
    assert not list(tmp_path.rglob(LIST))


def test_not_by_a_link_either(place: Place, tmp_path: Path) -> None:
    (tmp_path / "www").symlink_to(place.jobs)
    with pytest.raises(PublishError, match="lie in one another"):
        put(place, PLAIN, tmp_path / "www")


def test_a_file_in_the_folders_place_is_said(place: Place, tmp_path: Path) -> None:
    (tmp_path / "www").write_text("", "utf-8")
    with pytest.raises(PublishError, match="is no folder"):
        put(place, PLAIN, tmp_path / "www")


@pytest.mark.parametrize("content", [b"", b"{}", b"[" * 5000, b"\xff", b'{"format": 1, "files": []}'])
def test_a_list_that_cannot_be_read_stops_it_before_anything_is_taken(
    place: Place, tmp_path: Path, content: bytes
) -> None:
    to = tmp_path / "www"
    put(place, PLAIN, to)
    (to / LIST).write_bytes(content)
    with pytest.raises(PublishError, match="nobody knows which files"):
        put(place, SECRETLY, to)
    assert lies(to) == {"robots.txt", f"{JOB}/index.html"}


def test_killed_at_any_write_the_next_run_ends_where_it_would_have(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    everything = SECRETLY.model_copy(update={"records_show": get_args(Shown)})
    place.print(everything)
    whole = tmp_path / "whole"
    put(place, everything, whole)
    wanted = put(place, SECRETLY, whole)
    assert wanted[1]
    real = os.replace
    for survived in range(12):
        to = tmp_path / f"www-{survived}"
        put(place, everything, to)
        made, left = place.pages(SECRETLY), [survived]

        def replace_or_die(source: object, target: object, left: list[int] = left) -> None:
            if not left[0]:
                raise KeyboardInterrupt
            left[0] -= 1
            real(source, target)  # type: ignore[arg-type]

        with monkeypatch.context() as patch:
            patch.setattr(os, "replace", replace_or_die)
            try:
                publish(place.out / "records", made.public, to, private=(place.jobs, place.out))
            except KeyboardInterrupt:
                died = True
            else:
                died = False
        put(place, SECRETLY, to)
        assert lies(to) == lies(whole)
        if not died:
            break
    else:
        pytest.fail("it was never let through")
    assert survived > 1


def test_half_a_page_that_a_killed_run_left_is_not_served(place: Place, tmp_path: Path) -> None:
    place.print(SECRETLY)
    to = tmp_path / "www"
    put(place, SECRETLY, to)
    wanted = lies(to)
    halves = [to / ".robots.txt.0badc0de.part", to / "HP-9~AAAABBBBCCCC" / ".index.html.0badc0de.part"]
    halves[1].parent.mkdir()
    for half in halves:
        half.write_text("<p>12 Mill Lane", "utf-8")
    put(place, SECRETLY, to)
    assert lies(to) == wanted
    assert not any(half.exists() for half in halves)


def test_nothing_that_is_published_gives_an_address_away(place: Place, tmp_path: Path) -> None:
    place.print(SECRETLY)
    to = tmp_path / "www"
    put(place, SECRETLY, to)
    letters = record_address(SECRETLY, JOB).partition("~")[2]
    for path in to.rglob("*"):
        if path.is_file() and path.parent == to:
            assert letters.encode() not in path.read_bytes(), path


def test_the_secret_stands_in_no_file_but_shop_yaml(place: Place, tmp_path: Path) -> None:
    place.print(SECRETLY)
    put(place, SECRETLY, tmp_path / "www")
    for path in tmp_path.rglob("*"):
        if path.is_file():
            assert SECRET.encode() not in path.read_bytes(), path
