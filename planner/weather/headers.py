"""What stands in the headers and error bodies of HTTP, in plain terms."""

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import Any

PROGRAM = "seasonal-humidity-planner"
LONGEST_WORDS = 160
LONGEST_RETRY_AFTER = 7 * 86_400.0  # seconds; who asks for more has made a mistake


def user_agent(version: str, contact: str) -> str:
    """Return the honest name of the caller: program, version, whom to write to."""
    bare = unicodedata.normalize("NFKD", contact).encode("ascii", "ignore").decode()
    bare = re.sub(r"[^\x20-\x7e]|[()]", "", bare).strip()
    return f"{PROGRAM}/{version} ({bare})" if bare else f"{PROGRAM}/{version}"


def http_time(text: str | None) -> datetime | None:
    """Return the time of a header such as ``Expires``, None where it says none."""
    try:
        found = parsedate_to_datetime(text or "")
        return found.astimezone(UTC) if found.tzinfo else found.replace(tzinfo=UTC)
    except (ValueError, TypeError, IndexError, OverflowError):
        return None


def to_say_back(text: str | None) -> str:
    """Return a header as it can be sent back to the service, "" where it can't."""
    sound = text is not None and text.isascii() and text.isprintable()
    return text if text and sound and len(text) <= LONGEST_WORDS else ""


def seconds_to_wait(retry_after: str, now: datetime) -> float | None:
    """Return the seconds that ``Retry-After`` asks to wait (a number or a date), else None.

    References
    ----------
    RFC 9110, HTTP Semantics, 2022, section 10.2.3.
    """
    text = retry_after.strip()
    if re.fullmatch(r"\d{1,9}", text):
        return min(float(text), LONGEST_RETRY_AFTER)
    when = http_time(text)
    if when is None:
        return None
    return min(max(0.0, (when - now).total_seconds()), LONGEST_RETRY_AFTER)


def own_words(body: bytes, hidden: Iterable[str] = ()) -> str:
    """Return what the service itself says in an error body, short and on one line.

    Nothing *hidden* (a key), which it may say again, is shown.
    """
    for value in hidden:
        body = body.replace(value.encode(), b"...")
    text = body[:100_000].decode("utf-8", "replace")
    try:
        words = " ".join(_told(json.loads(text)))
    except (ValueError, RecursionError):
        words = re.sub(r"<(script|style).*?</\1>|<[^>]*>", " ", text, flags=re.S | re.I)
    words = " ".join("".join(c if c.isprintable() else " " for c in words).split())
    if len(words) > LONGEST_WORDS:
        words = words[:LONGEST_WORDS].rsplit(" ", 1)[0] + " (cut short)"
    return words.rstrip(".") or "no word why"


def _told(content: Any) -> Iterator[str]:
    """Yield the fields in which the services give their reasons."""
    if not isinstance(content, dict):
        return
    for key in ("reason", "detail", "title", "header", "message", "messages"):
        value = content.get(key)
        if isinstance(value, str):
            yield value
        elif isinstance(value, list):
            yield from (entry for entry in value if isinstance(entry, str))
        if key == "detail" and isinstance(value, str):
            return
