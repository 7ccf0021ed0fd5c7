"""One job printed: its revision, what it replaces, its PDF and its print record."""

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from packet.collector import without_collecting
from packet.hookup.model import Hookup
from packet.plan.document import plan_document
from packet.plan.model import Plan
from packet.press.addresses import note
from packet.press.code import Stamp
from packet.press.html import LEAST_BOTTOM_MM, Notice, revision_of, sheet_digests, to_html
from packet.press.marks import PAPER_MM
from packet.press.pdf import LaidOut, Printed, lay_out, write
from packet.press.printed import PrintRecord, newest_record, write_record
from packet.sheets.arrange import EVENLY_MM, cut_by_itself, evenly_arranged, sides_set_closer, without_help_on_front
from packet.sheets.arrange_large import CLOSER_LARGE_MM, arranged_large, cut_page_large
from packet.sheets.model import Content, HookupSheet, Tags, Wrong
from packet.sheets.packet import compose
from packet.shop.whole import write_whole
from packet.words import DEFAULT_LANGUAGE, speaking, spoken, t

# What may be wanting on a page for less white between the lines to be tried (measured on the demo jobs: a small appliance
# in SI is read on six sides where more than 3 mm a page were wanting), and where a page's text begins.
CLOSER_A_PAGE_MM, PAGE_TOP_MM = 4.0, 27.0
# less of a page is nearly empty, unless it is the last
LEAST_OF_A_PAGE = 1 / 3


@dataclass(frozen=True, slots=True)
class Prepared:
    """A packet ready to be set. replaces: the revision before, '' for a first print; changed: sentences, in the packet's
    language; told: the same for whoever prints it.
    """

    content: Content
    html: str
    stamp: Stamp
    notice: Notice | None
    replaces: str
    changed: tuple[str, ...]
    already_printed: bool
    told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JobPrint:
    """What one print made. record is None when this very revision was the job's newest print already."""

    pdf_path: Path
    printed: Printed
    prepared: Prepared
    record: PrintRecord | None


def prepare(content: Content, newest: PrintRecord | None) -> Prepared:
    """Number the packet and say what it replaces. newest: the job's newest print so far.

    Printed again unchanged, a packet keeps its notice, so that its bytes stay the same.
    """
    with speaking(content.language):
        made = _prepared(content, newest)
    return replace(made, told=_told(made, newest))


def _told(made: Prepared, newest: PrintRecord | None) -> tuple[str, ...]:
    """What changed, in the current language where that is English; a packet's own facts are in the packet's."""
    content = made.content
    as_packet = spoken() == content.language or spoken() != DEFAULT_LANGUAGE
    if newest is None or made.already_printed or as_packet or not newest.in_english:
        return made.changed
    return what_changed(replace(newest, facts=newest.in_english), replace(content, facts=content.in_english))


def _prepared(content: Content, newest: PrintRecord | None) -> Prepared:
    revision = revision_of(content)
    again = newest is not None and newest.revision == revision
    replaces, changed = "", tuple[str, ...]()
    if newest is not None:
        replaces = newest.replaces if again else newest.revision
        changed = newest.changed if again else what_changed(newest, content)
    notice = None
    if replaces:
        notice = Notice(t("Replaces revision {revision}. Take the old print out of use.", revision=replaces), changed)
    return Prepared(
        content=content,
        html=to_html(content, revision, notice),
        stamp=Stamp(content.records_url, content.address or content.job, revision, content.paper),
        notice=notice,
        replaces=replaces,
        changed=changed,
        already_printed=again,
    )


def what_changed(before: PrintRecord, content: Content) -> tuple[str, ...]:
    """Sentences on what a new revision changed: facts that differ, then sheets whose words differ."""
    old, new = dict(before.facts), {item.label: item.value for item in content.facts}
    if before.language and before.language != content.language:
        lines = _in_another_language(before, content)
    else:
        gone, absent = t("gone"), t("not there")
        lines = [
            t("{what}: now {now}, was {before}.", what=label, now=new.get(label, gone), before=old.get(label, absent))
            for label in dict.fromkeys([*new, *old])
            if new.get(label) != old.get(label)
        ]  # fmt: skip
    sheets = sheet_digests(content)
    differ = [name for name, digest in sheets.items() if before.sheets.get(name) != digest]
    if differ and before.sheets:
        lines.append(t("Sheets that read differently: {sheets}.", sheets=", ".join(differ)))
    return tuple(lines) or (t("Same words; style or layout changed."),)


def _in_another_language(before: PrintRecord, content: Content) -> list[str]:
    """What differs from a print whose words cannot stand here: the language, and each fact as it is now."""
    old = dict(before.in_english)
    return [
        t("The old print is in another language."),
        *(
            t("{what}: now {now}.", what=item.label, now=item.value)
            for item, plain in zip(content.facts, content.in_english, strict=True)
            if old.get(plain.label) != plain.value
        ),
    ]


def print_packet(
    plan: Plan,
    hookup: Hookup,
    *,
    shop_folder: Path,
    out_folder: Path,
    printed_at: datetime,
    content: Content | None = None,
) -> JobPrint:
    """Print one job: `{out_folder}/{job}.pdf`, and a record in the shop's `printed` folder for a new revision.

    content: what the packet says, where that has been composed.

    A job that may not go out gets its DO NOT DISPATCH sheet under the same name, so that no older packet lies there.
    The PDF is written whole or not at all, and after the record: paper that the shop does not know of is none. Raises MissingLibrary, AddressTooLong,
    PrintRecordError, TakenError, OSError.
    """
    content = content or compose(plan, hookup)
    prepared = prepare(content, newest_record(shop_folder, content.job))
    prepared, printed = set_packet(prepared)
    pdf_path = out_folder / f"{content.job}.pdf"
    record = None
    note(shop_folder, content.job, prepared.stamp.record)
    if not prepared.already_printed:
        record = _record(plan_document(plan, hookup.findings), prepared, printed, printed_at)
        write_record(shop_folder, record)
    write_whole(pdf_path, printed.pdf)
    return JobPrint(pdf_path, printed, prepared, record)


def set_packet(prepared: Prepared) -> tuple[Prepared, Printed]:
    """The packet as it is printed; where a few lines ran on to a page of their own, laid out once more with less white
    between the lines, and kept so where that saves a page. What is kept is written. Raises as `lay_out` and `write`."""
    with without_collecting():
        prepared, laid = _laid_out(prepared)
        return prepared, write(laid, prepared.stamp)


def _laid_out(prepared: Prepared) -> tuple[Prepared, LaidOut]:
    with speaking(prepared.content.language):
        most = None if prepared.content.size == "large" else sides_set_closer(prepared.content)
    if most is not None:
        closer, laid = _closer(prepared)
        if sum(map(bool, laid.pages)) <= most and not any(wants(closer.content, laid) for wants in WANTING):
            return closer, laid
    return _usual_or_closer(prepared)


def _closer(prepared: Prepared) -> tuple[Prepared, LaidOut]:
    html = to_html(prepared.content, prepared.stamp.revision, prepared.notice, is_tight=True)
    return _evenly(replace(prepared, html=html), lay_out(html), is_tight=True)


def _usual_or_closer(prepared: Prepared) -> tuple[Prepared, LaidOut]:
    laid = lay_out(prepared.html)
    for runs_over, instead in ((_is_crowded_out, without_help_on_front), (_runs_past_the_cut, cut_by_itself)):
        if runs_over(prepared.content, laid):
            content = instead(prepared.content)
            prepared = replace(
                prepared, content=content, html=to_html(content, prepared.stamp.revision, prepared.notice)
            )
            laid = lay_out(prepared.html)
    if prepared.content.size == "large":
        return _large(prepared, laid)
    usual = _evenly(prepared, laid)
    if not _spills(prepared.content, laid):
        return usual
    return min(usual, _closer(prepared), key=_faults)


def _large(prepared: Prepared, laid: LaidOut) -> tuple[Prepared, LaidOut]:
    """Large print as it is, or set closer still and arranged anew where that saves a leaf or fills a page that was nearly empty."""
    content, best, tried = prepared.content, (prepared, laid), [prepared.content.sheets]
    for more_mm in CLOSER_LARGE_MM:
        with speaking(content.language):
            other = arranged_large(content, more_mm=more_mm)
            may_save = cut_page_large(other, more_mm=more_mm) < len(laid.pages)
        if other.sheets in tried or not (may_save or _nearly_empty(content, laid)):
            continue
        tried.append(other.sheets)
        html = to_html(other, prepared.stamp.revision, prepared.notice, is_tight=True)
        again = lay_out(html)
        if not _runs_past_the_cut(other, again):
            best = min(best, (replace(prepared, content=other, html=html), again), key=_faults)
        if len(best[1].pages) < len(laid.pages) and not _nearly_empty(best[0].content, best[1]):
            break
    return best


def _faults(made: tuple[Prepared, LaidOut]) -> tuple[tuple[int, int], bool, bool]:
    """What speaks against a setting, the worst first."""
    prepared, laid = made
    return _thickness(laid), _nearly_empty(prepared.content, laid), _is_help_torn(prepared.content, laid)


def _evenly(prepared: Prepared, laid: LaidOut, *, is_tight: bool = False) -> tuple[Prepared, LaidOut]:
    """The same, or arranged anew where that takes no page more and leaves none nearly empty."""
    content = prepared.content
    if not _nearly_empty(content, laid):
        return prepared, laid
    runs_on, tried = laid.pages[1] == content.sheets[0].name, [content]
    for more_mm in EVENLY_MM[is_tight]:
        other = evenly_arranged(content, front_runs_on=runs_on, more_mm=more_mm)
        if other in tried:
            continue
        tried.append(other)
        html = to_html(other, prepared.stamp.revision, prepared.notice, is_tight=is_tight)
        again = lay_out(html)
        if len(again.pages) <= len(laid.pages) and not _nearly_empty(other, again):
            return replace(prepared, content=other, html=html), again
    return prepared, laid


def _nearly_empty(content: Content, laid: LaidOut) -> bool:
    high = PAPER_MM[content.paper][1] - LEAST_BOTTOM_MM - PAGE_TOP_MM
    least = PAGE_TOP_MM + LEAST_OF_A_PAGE * high
    return any(names and low < least for names, low in zip(laid.pages[:-1], laid.lowest_mm, strict=False))


def _is_help_torn(content: Content, laid: LaidOut) -> bool:
    """Whether what is read when it goes wrong stands on two pages, as it may in large print: one of its lines alone would not
    be found in haste."""
    help_ = {sheet.name for sheet in content.sheets if isinstance(sheet, Wrong)}
    return sum(not help_.isdisjoint(names.split(", ")) for names in laid.pages) > len(help_)


def _thickness(laid: LaidOut) -> tuple[int, int]:
    """Pages with blank backs, then those that are printed on."""
    return len(laid.pages), sum(map(bool, laid.pages))


def _is_crowded_out(content: Content, laid: LaidOut) -> bool:
    """Whether what stands below the front runs on behind it: a notice may have made the front higher."""
    # in large print it stands behind the front, wherever that ends
    below = content.sheets[1:2] if content.size != "large" else ()
    return any(isinstance(sheet, Wrong) and sheet.below_front and sheet.name in laid.pages[1] for sheet in below)


def _runs_past_the_cut(content: Content, laid: LaidOut) -> bool:
    """Whether what is cut runs on to the back of its own leaf, as what stands above it is higher than was thought."""
    cut = content.sheets[-1]
    return isinstance(cut, Tags) and cut.below_load and sum(cut.name in page for page in laid.pages) > 1


def _spills(content: Content, laid: LaidOut) -> bool:
    """Whether less white between the lines may save a page: the front goes on behind, or the pages from steps to what
    begins a page anew have, together, nearly a page free.
    """
    front, *_ = laid.pages
    if len(laid.pages) > 1 and laid.pages[1] == front:
        return True
    hookups = {sheet.name for sheet in content.sheets if isinstance(sheet, HookupSheet)}
    cut = {sheet.name for sheet in content.sheets if isinstance(sheet, Tags)}
    bottom = PAPER_MM[content.paper][1] - LEAST_BOTTOM_MM
    free, pages = 0.0, 0
    for names, low in zip(laid.pages, laid.lowest_mm, strict=True):
        if not names or names in hookups or cut & set(names.split(", ")) or names.split(", ")[0] == front:
            free, pages = 0.0, 0
            continue
        free, pages = free + max(0.0, bottom - low), pages + 1
        if pages > 1 and free + CLOSER_A_PAGE_MM * pages > bottom - PAGE_TOP_MM:
            return True
    return False


# what a setting that was not the usual one may not have
WANTING = (_is_crowded_out, _runs_past_the_cut, _nearly_empty)


def _record(plan: dict[str, Any], prepared: Prepared, printed: Printed, printed_at: datetime) -> PrintRecord:
    content = prepared.content
    return PrintRecord(
        job=content.job,
        revision=printed.revision,
        date=content.on,
        printed_at=printed_at,
        replaces=prepared.replaces,
        changed=prepared.changed,
        paper=content.paper,
        pages=printed.pages,
        boxes=printed.boxes,
        facts=tuple((item.label, item.value) for item in content.facts),
        plan=plan,
        sheets=sheet_digests(content),
        language=content.language,
        in_english=tuple((item.label, item.value) for item in content.in_english),
        reads=printed.reads,
    )
