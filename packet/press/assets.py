"""Templates, style and typefaces: everything the press reads that is not a job.

Templates come with the package; the typeface comes from a declared dependency, so that paper looks the same on every
machine. WeasyPrint is given a fetcher that serves our own `asset:` addresses and `data:`, and nothing else: no file,
no network.
"""

import base64
import gc
import re
import unicodedata
from collections.abc import Callable
from contextlib import redirect_stdout, suppress
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from importlib.resources import files
from io import StringIO
from multiprocessing.util import Finalize
from pathlib import Path
from types import ModuleType
from typing import Any, cast

import platformdirs
from jinja2 import BytecodeCache, Environment, FunctionLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup

from packet.figures import unbroken
from packet.press.scratch import own_temporary_folder
from packet.shop.whole import read_whole, write_whole
from packet.words import pt, t, tn

FAMILY = "Atkinson Hyperlegible"
FONT_PACKAGE = "fontpkg_atkinson_hyperlegible"
# file name, CSS weight, CSS style
FACES = (
    ("AtkinsonHyperlegible-Regular.ttf", 400, "normal"),
    ("AtkinsonHyperlegible-Bold.ttf", 700, "normal"),
    ("AtkinsonHyperlegible-Italic.ttf", 400, "italic"),
    ("AtkinsonHyperlegible-BoldItalic.ttf", 700, "italic"),
)
SCHEME = "asset:"
DIGEST_BYTES = 32  # before a compiled template, of what follows

# Signs that the typeface lacks and that people type all the same.
STAND_INS = str.maketrans({
    "→": "->",
    "←": "<-",
    "\u2010": "-",
    "\u2011": "-",
    "\u2012": "–",
    "\u2007": "\u00a0",
    "\u2009": "\u00a0",
    "\u202f": "\u00a0",
    "☐": "[ ]",
    "✓": "x",
    "ρ": "density",
})  # fmt: skip


class MissingLibrary(Exception):  # noqa: N818 - named for the state of the machine it reports
    """Something the press needs is not on this machine; the message is one line and names the package to install."""


@cache
def weasyprint() -> ModuleType:
    """The WeasyPrint module. Raises MissingLibrary where Pango or a library beside it is missing."""
    own_temporary_folder()
    try:
        # it prints a page of advice of its own when a library is missing; ours is one line
        with redirect_stdout(StringIO()):
            import weasyprint as module
    except OSError as error:
        raise MissingLibrary(
            t(
                "The library that sets type (Pango) is missing; install it with: apt-get install {packages}",
                packages="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
            )
        ) from error
    # it lives to the end: collecting after a packet need not look through it
    gc.freeze()
    return cast(ModuleType, module)


@cache
def asset(name: str) -> bytes:
    """A typeface's bytes by file name. Raises MissingLibrary when the font package is not there, KeyError otherwise."""
    if name not in {face for face, _, _ in FACES}:
        raise KeyError(name)
    try:
        return files(FONT_PACKAGE).joinpath("files", name).read_bytes()
    except (ModuleNotFoundError, FileNotFoundError) as error:
        raise MissingLibrary(
            t("The typeface {name} is missing; install it with: pip install fontpkg-atkinson-hyperlegible", name=name)
        ) from error


@cache
def face_rules() -> str:
    """The @font-face rules. Each address carries the file's digest, so that a revision numbers the typeface too."""
    return "".join(
        f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};font-style:{style};"
        f"src:url('{SCHEME}{name}?{sha256(asset(name)).hexdigest()[:8]}')}}"
        for name, weight, style in FACES
    )


@cache
def letters() -> frozenset[int]:
    """The code points the typeface can set."""
    from io import BytesIO

    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    return frozenset(TTFont(BytesIO(asset(FACES[0][0])), lazy=True).getBestCmap())


def settable(text: object) -> object:
    """`text` with every sign that the typeface lacks replaced, so that no other font and no empty box is printed.

    A known stand-in first, then the sign's compatibility form (₂ becomes 2), then its base letter, then '?'.
    Markup and anything that is not text pass through. A control sign, which no page can carry, becomes '?'.
    """
    if not isinstance(text, str) or isinstance(text, Markup) or (text.isascii() and text.isprintable()):
        return text
    known = letters()
    return "".join(sign if ord(sign) in known or sign in "\n\t" else _stand_in(sign) for sign in text)


def as_set(text: object) -> object:
    """`text` as a page sets it: settable, each figure in one line with its unit."""
    text = settable(text)
    return unbroken(text) if isinstance(text, str) and not isinstance(text, Markup) else text


def _stand_in(sign: str) -> str:
    known = letters()
    plain = sign.translate(STAND_INS)
    if plain == sign:
        plain = unicodedata.normalize("NFKD", sign)
    return "".join(part for part in plain if ord(part) in known) or "?"


def css_string(text: str) -> Markup:
    """`text` as a CSS string that can neither end the string nor the style element."""
    safe = "".join(sign if sign.isalnum() or sign == " " else f"\\{ord(sign):x} " for sign in str(settable(text)))
    return Markup(f'"{safe}"')


@cache
def environment() -> Environment:
    """The templates' environment: escapes everything, refuses a name that was not given."""
    made = Environment(
        loader=FunctionLoader(_template),
        bytecode_cache=_Compiled(),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=as_set,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=False,
    )
    tools: dict[str, Callable[..., Any]] = {"t": t, "tn": tn, "pt": pt, "css_string": css_string}
    made.globals.update(tools)
    return made


@cache
def style() -> str:
    """The style sheet's text with the typeface's rules before it."""
    return face_rules() + files("packet.templates").joinpath("style.css").read_text("utf-8")


class _Compiled(BytecodeCache):
    """Compiled templates, kept in the user's cache folder: compiling takes longer than filling them in.

    Each is kept under the digest of its source, and by Jinja under its own version; what cannot be read is compiled.
    """

    def load_bytecode(self, bucket: Bucket) -> None:
        try:
            kept = read_whole(self._path(bucket))
            # code with one bit turned is still loaded, and does anything: a crash, or another paper
            if sha256(kept[DIGEST_BYTES:]).digest() == kept[:DIGEST_BYTES]:
                bucket.bytecode_from_string(kept[DIGEST_BYTES:])
                return
        except Exception:
            pass
        bucket.reset()

    def dump_bytecode(self, bucket: Bucket) -> None:
        code = bucket.bytecode_to_string()
        with suppress(OSError):
            write_whole(self._path(bucket), sha256(code).digest() + code)

    def _path(self, bucket: Bucket) -> Path:
        kept = platformdirs.user_cache_path("recovery-job-packets", appauthor=False) / "templates"
        return kept / f"{bucket.key}-{bucket.checksum}-{version('jinja2')}.bin"


def _template(name: str) -> str | None:
    place = files("packet.templates").joinpath(name)
    return place.read_text("utf-8") if place.is_file() else None


@cache
def fetcher() -> Any:
    """A WeasyPrint URL fetcher that serves `asset:` and `data:` only; anything else stops the print."""
    weasyprint()  # says which library is missing, where one is
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class AssetFetcher(URLFetcher):  # type: ignore[misc]
        """Our own addresses, and data carried in the address itself."""

        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            if url.startswith(SCHEME):
                name = url.removeprefix(SCHEME).split("?")[0]
                return URLFetcherResponse(url, asset(name), {"Content-Type": "font/ttf"})
            if url.startswith("data:"):
                return super().fetch(url, headers)
            raise FatalURLFetchingError(f"the press opens no address: {url}")

    return AssetFetcher(allowed_protocols={"asset", "data"})


@cache
def font_configuration() -> Any:
    """One for all packets of a process: each one made keeps its faces, and a folder with them, for good."""
    weasyprint()
    from weasyprint.text.fonts import FontConfiguration

    configuration = FontConfiguration()
    # its folder goes when it is deleted, which a worker's end does not do by itself
    Finalize(None, configuration.__del__, exitpriority=0)
    return configuration


_CHARSET = '<meta charset="utf-8"/>'
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:"
_ADDRESS = re.compile(r"asset:([\w.-]+)(?:\?\w+)?")


def standing_alone(html: str) -> str:
    """A packet's HTML as a file of its own: every `asset:` address replaced by the asset itself, as a data: address.

    It says itself that a browser may run nothing in it and load nothing for it.
    """

    def inside(match: re.Match[str]) -> str:
        return "data:application/octet-stream;base64," + base64.b64encode(asset(match[1])).decode("ascii")

    alone = html.replace(_CHARSET, f'{_CHARSET}\n<meta http-equiv="Content-Security-Policy" content="{_POLICY}"/>', 1)
    return _ADDRESS.sub(inside, alone)
