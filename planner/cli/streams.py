"""The standard streams as the shell hands them over: closed, of few signs, or with odd bytes."""

import codecs
import os
import sys
from contextlib import suppress
from io import TextIOWrapper, UnsupportedOperation
from pathlib import Path

# What stands for a sign that the terminal's encoding doesn't have; "?" for any other.
PLAIN = {
    "\N{EN DASH}": "-",
    "\N{EM DASH}": "-",
    "\N{MINUS SIGN}": "-",
    "\N{NO-BREAK SPACE}": " ",
    "\N{NARROW NO-BREAK SPACE}": " ",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{RIGHTWARDS ARROW}": "->",
    "\N{LESS-THAN OR EQUAL TO}": "<=",
    "\N{GREATER-THAN OR EQUAL TO}": ">=",
}
HANDLER = "planner-plain"


def ready_streams() -> None:
    """Make the streams such that no sign and no closed one stops a command."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:  # closed by the shell: <&-
            open_for_good = Path(os.devnull).open(mode, encoding="utf-8")  # noqa: SIM115
            setattr(sys, name, open_for_good)
    codecs.register_error(HANDLER, _plain)
    for stream, errors in ((sys.stdin, "replace"), (sys.stdout, HANDLER), (sys.stderr, HANDLER)):
        if isinstance(stream, TextIOWrapper):
            with suppress(UnsupportedOperation):
                stream.reconfigure(errors=errors)


def takes_all_signs() -> bool:
    """Return whether standard output takes any sign there is."""
    try:
        return codecs.lookup(sys.stdout.encoding or "ascii").name.startswith("utf")
    except LookupError:
        return False


def _plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end]
    return "".join(PLAIN.get(sign, "?") for sign in signs), error.end
