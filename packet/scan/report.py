"""The report of a sorted stack in words."""

from collections.abc import Iterator

from packet.scan.model import Filed, Problem, ProblemKind, SortReport
from packet.words import N_, t, tn

SENTENCES: dict[ProblemKind, str] = {
    "file-missing": N_("{file}: there is no such file."),
    "file-unreadable": N_("{file}: neither a PDF nor a picture that can be opened ({why})."),
    "no-code": N_("{source}: no code could be read; kept as {kept}."),
    "blank": N_("{count} blank, kept unsorted: {sources}."),
    "says-otherwise": N_("{source}: its code says that it is {detail}; kept as {kept}."),
    "foreign-code": N_("{source}: its code is not one of this shop's records ({detail}); kept as {kept}."),
    "two-codes": N_("{source}: two codes that differ ({detail}); kept as {kept}."),
    "unknown-job": N_("{source}: no print of job {detail} is known here; kept as {kept}."),
    "unknown-revision": N_("{source}: no print {detail} is known here; kept as {kept}."),
    "no-such-page": N_("{source}: that print has no such page ({detail}); kept as {kept}."),
    "printed-unreadable": N_("{source}: what was printed cannot be read ({detail}); kept as {kept}."),
    "kept-scan-unreadable": N_(
        "{file} cannot be read, so nothing was added to it; its pages are kept unsorted ({why})."
    ),
    "newest-unknown": N_(
        "{job}: it is not known which revision is the newest, as a print record cannot be read ({why})."
    ),
    "old-revision": N_("{job}: pages {pages} are of revision {revision}, which {newest} has replaced."),
    "missing-pages": N_("{job}: missing pages of revision {revision}: {missing}."),
    "scanned-again": N_(
        "{job}: page {page} was scanned again ({source}); both are kept, the earlier one is {earlier}."
    ),
    "unticked": N_("{job}, page {page}, not initialed: “{label}”"),
    "doubtful": N_("{job}, page {page}, look at this box, {why}: “{label}”"),
}
# What the office asks about first.
ORDER: tuple[ProblemKind, ...] = (
    "file-missing",
    "file-unreadable",
    "kept-scan-unreadable",
    "printed-unreadable",
    "no-code",
    "foreign-code",
    "two-codes",
    "unknown-job",
    "unknown-revision",
    "no-such-page",
    "says-otherwise",
    "blank",
    "newest-unknown",
    "old-revision",
    "missing-pages",
    "scanned-again",
    "unticked",
    "doubtful",
)


def sentence(problem: Problem) -> str:
    """One problem as a sentence in the current language."""
    params = {key: t(value) if key == "why" and value else value for key, value in problem.params}
    return t(SENTENCES[problem.kind], **params)


def report_text(report: SortReport) -> str:
    """The whole report, one thing a line: what was filed where, then everything to look at."""
    return "\n".join(_lines(report)) + "\n"


def _lines(report: SortReport) -> Iterator[str]:
    yield tn("{count} page scanned.", "{count} pages scanned.", report.scanned)
    if report.already_there:
        yield tn("{count} page was filed before.", "{count} pages were filed before.", report.already_there)
    for packet in report.filed:
        yield from _packet_lines(packet)
    if report.loose:
        yield tn("{count} page without a job.", "{count} pages without a job.", len(report.loose))
    if not report.problems:
        yield t("Nothing to look at.")
        return
    yield ""
    yield t("To look at:")
    for problem in sorted(report.problems, key=lambda item: ORDER.index(item.kind)):
        yield f"- {sentence(problem)}"


def _packet_lines(packet: Filed) -> Iterator[str]:
    yield t("{job}, revision {revision}: {path}", job=packet.job, revision=packet.revision, path=packet.path)
    marked = sum(item.mark == "marked" for item in packet.ticks)
    sentences = [tn("{count} page added.", "{count} pages added.", packet.added)]
    if packet.from_older:
        older = len({page.address.page for page in packet.from_older})
        sentences.append(
            tn(
                "{count} unchanged page of an older print counts.",
                "{count} unchanged pages of older prints count.",
                older,
            )
        )
    if packet.ticks:
        sentences.append(t("{marked} of {boxes} boxes marked.", marked=marked, boxes=len(packet.ticks)))
    if holds := len(packet.unticked_holds):
        sentences.append(tn("{count} hold point not initialed.", "{count} hold points not initialed.", holds))
    if doubtful := len(packet.doubtful):
        sentences.append(tn("{count} box doubtful.", "{count} boxes doubtful.", doubtful))
    yield "  " + " ".join(sentences)
    if packet.numbers:
        yield "  " + t("Numbers read, each beside its picture: {path}", path=packet.numbers)
