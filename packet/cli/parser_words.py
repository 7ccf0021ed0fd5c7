"""The words that argparse brings along, said in the reader's language like all others."""

import argparse
from typing import Any

from packet.words import N_, NN_, t, tn

# those that a user of this command line can meet; `%s` and `%(…)s` are filled by argparse
SAID = (
    N_("usage: "),
    N_("positional arguments"),
    N_("options"),
    N_("show this help message and exit"),
    N_("argument %(argument_name)s: %(message)s"),
    N_("unrecognized arguments: %s"),
    N_("not allowed with argument %s"),
    N_("ignored explicit argument %r"),
    N_("the following arguments are required: %s"),
    N_("one of the arguments %s is required"),
    N_("expected one argument"),
    N_("expected at most one argument"),
    N_("expected at least one argument"),
    N_("ambiguous option: %(option)s could match %(matches)s"),
    # Translators: %(type)s is an English word of the program's; leave it out
    N_("invalid %(type)s value: %(value)r"),
    N_("invalid choice: %(value)r (choose from %(choices)s)"),
)
COUNTED = (NN_("expected %s argument", "expected %s arguments"),)


def use() -> None:
    """From here on argparse asks us for its words: it looks them up under these two names."""
    words: Any = argparse
    words._ = t
    words.ngettext = tn
