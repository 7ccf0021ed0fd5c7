"""A truck's packets as one file in running order, for the duplex printer; what a screen reader needs stays in it.

Every packet begins on a front side: after one with an odd number of pages comes a blank one. The pages are the
packets' own, so a stack costs no layout; the packets' tag trees are hung into one, as plain joining would lose them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import pikepdf
from pikepdf import Array, Dictionary, Name, ObjectStreamMode, OutlineItem, Pdf

from packet.shop.whole import MOST_PAPER_BYTES, read_whole
from packet.visible import visible


@dataclass(frozen=True, slots=True)
class StackedPaper:
    """A paper of the stack: its bookmark, and its PDF's file. sheets: the sheet on each page, for bookmarks below it."""

    title: str
    path: Path
    sheets: tuple[str, ...] = ()


def stack(parts: Iterable[StackedPaper], title: str, language: str, *, duplex: bool = True) -> bytes:
    """The parts as one tagged PDF, in the order given. The same parts give the same bytes.

    duplex: every part begins on a front side; otherwise they follow one another page by page.

    Raises ValueError when there is no part, OSError, OwnFileError or pikepdf.PdfError when one cannot be read.
    """
    joined = Pdf.new()
    tree = _TagTree(joined, language)
    marks: list[OutlineItem] = []
    for part in parts:
        with opened(part.path) as packet:
            marks.append(_bookmark(part, len(joined.pages)))
            _append(joined, packet, tree, duplex=duplex)
    if not marks:
        raise ValueError("a stack has at least one part")
    tree.finish()
    with joined.open_outline() as outline:
        outline.root.extend(marks)
    _describe(joined, title, language)
    made = BytesIO()
    joined.save(made, deterministic_id=True, object_stream_mode=ObjectStreamMode.generate)
    return made.getvalue()


def opened(path: Path) -> Pdf:
    """A paper of the output folder. Raises OSError, OwnFileError, pikepdf.PdfError."""
    # by its bytes: the library takes no path that is no text
    return Pdf.open(BytesIO(read_whole(path, MOST_PAPER_BYTES)))


def _bookmark(part: StackedPaper, first: int) -> OutlineItem:
    """The part's bookmark with one below it for each of its sheets."""
    item = OutlineItem(visible(part.title), first)
    seen: set[str] = set()
    for number, names in enumerate(part.sheets):
        # a page holds the sheets it names, in their order; a blank back none
        for name in filter(None, names.split(", ")):
            if name not in seen:
                item.children.append(OutlineItem(name, first + number))
            seen.add(name)
    # a reader's panel shows the papers, and the sheets of the one that is opened
    item.is_closed = True
    return item


def _append(joined: Pdf, packet: Pdf, tree: "_TagTree", *, duplex: bool) -> None:
    first = len(joined.pages)
    joined.pages.extend(packet.pages)
    added = [joined.pages[number].obj for number in range(first, len(joined.pages))]
    tree.hang(packet, added)
    if duplex and len(added) % 2:
        _left, _bottom, width, height = (float(side) for side in packet.pages[0].mediabox.as_list())
        joined.add_blank_page(page_size=(width, height))


def _describe(joined: Pdf, title: str, language: str) -> None:
    joined.Root.Lang = pikepdf.String(language)
    joined.Root.MarkInfo = Dictionary(Marked=True)
    joined.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
    with joined.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as about:
        about["dc:title"] = title
        about["pdfuaid:part"] = "1"


class _TagTree:
    """One structure tree from many: each packet's document element is a part of one, its numbers moved out of the way.

    ISO 32000-1, 14.7.4.4: a page's StructParents and an annotation's StructParent are keys of the parent tree.
    """

    def __init__(self, joined: Pdf, language: str) -> None:
        self.joined = joined
        self.language = language
        self.root = joined.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        self.whole = joined.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, P=self.root))
        self.parts = Array()
        self.numbers = Array()
        self.next_key = 0

    def hang(self, packet: Pdf, pages: Sequence[pikepdf.Object]) -> None:
        """Take over a packet's tree; `pages` are its pages as they stand in the joined file."""
        if Name.StructTreeRoot not in packet.Root:
            return
        old = packet.Root.StructTreeRoot
        shift = self.next_key
        for document in old.K.as_list():
            copied = self.joined.copy_foreign(document)
            copied.P, copied["/S"] = self.whole, Name.Part
            spoken = packet.Root.get(Name.Lang, self.language)
            if str(spoken) != self.language:
                copied.Lang = pikepdf.String(str(spoken))
            self.parts.append(copied)
        parents = self.joined.copy_foreign(old.ParentTree).Nums.as_list()
        for key, owner in zip(parents[::2], parents[1::2], strict=True):
            self.numbers.append(int(key) + shift)
            self.numbers.append(owner)
            self.next_key = max(self.next_key, int(key) + shift + 1)
        for page in pages:
            _move(page, Name.StructParents, shift)
            for annotation in page.get(Name.Annots, Array()).as_list():
                _move(annotation, Name.StructParent, shift)

    def finish(self) -> None:
        """Put the tree into the joined file."""
        self.whole.K = self.parts
        self.root.K = Array([self.whole])
        self.root.ParentTree = self.joined.make_indirect(Dictionary(Nums=self.numbers))
        self.root.ParentTreeNextKey = self.next_key
        self.joined.Root.StructTreeRoot = self.root


def _move(owner: pikepdf.Object, key: Name, shift: int) -> None:
    if key in owner:
        owner[key] = int(owner[key]) + shift
