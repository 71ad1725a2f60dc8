"""The one place that speaks HTTP: time-outs, retries, good manners, and what each failure means.

A request ends in an answer, in :class:`Unavailable` (later may help) or in :class:`Refused`
(asking again doesn't help), within a bounded time.
"""

import json
import random
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any

import httpx

from planner import __version__
from planner.errors import WeatherRefused, WeatherUnavailable
from planner.weather.headers import (
    http_time,
    own_words,
    seconds_to_wait,
    to_say_back,
    user_agent,
)
from planner.weather.way import broken, same_house, set_up

CONNECT_SECONDS = 5.0
READ_SECONDS = 30.0
TRIES = 3
TRIES_TO_REACH = 2  # without a network at all, who plans isn't made to wait
RETRIED = frozenset({429, 500, 502, 503, 504})
REDIRECTS = frozenset({301, 302, 303, 307, 308})
MOST_REDIRECTS = 3
MOST_BYTES = 64_000_000
FIRST_WAIT = 1.0  # seconds before the second try; doubled each time, with jitter
UNREACHABLE_WAIT = 0.5
LONGEST_WAIT = 60.0  # a service that asks for more is left alone until then

# How long [s] to wait after a failed try, given its status, its words and the time; None: stop.
Patience = Callable[[int, str, datetime], float | None]


class Refused(WeatherRefused):
    """The service won't answer this; ``status`` is the HTTP status, 200 for a wrong content."""

    def __init__(self, sentence: str, status: int = 200) -> None:
        super().__init__(sentence)
        self.status = status


class Unavailable(WeatherUnavailable):
    """The service doesn't answer now; ``not_before`` is when it wants to be asked again."""

    def __init__(self, sentence: str, not_before: datetime | None = None) -> None:
        super().__init__(sentence)
        self.not_before = not_before


@dataclass(frozen=True)
class Ask:
    """One question to a service.

    ``seconds`` bounds the whole answer, ``pause`` is kept between two questions to the service;
    ``hidden`` parameters (keys) are never shown.
    """

    service: str
    url: str
    params: Mapping[str, str] = field(default_factory=dict)
    hidden: Mapping[str, str] = field(default_factory=dict)
    headers: Mapping[str, str] = field(default_factory=dict)
    redirects: bool = False
    seconds: float = 60.0
    pause: float = 0.1
    patience: Patience | None = None


@dataclass(frozen=True)
class Answer:
    """A whole answer: ``content`` is the JSON read; ``unchanged`` for "not modified" (304)."""

    content: Any
    expires: datetime | None
    last_modified: str
    notes: tuple[str, ...] = ()
    unchanged: bool = False


def open_client(contact: str, transport: httpx.BaseTransport | None = None) -> httpx.Client:
    """Return a client that tells who is calling; *transport* stands in for the network in tests.

    Raises
    ------
    Unavailable
        If the environment sets up the network in a way that can't be used.
    """
    try:
        return httpx.Client(
            transport=transport,
            timeout=httpx.Timeout(READ_SECONDS, connect=CONNECT_SECONDS),
            headers={"User-Agent": user_agent(__version__, contact)},
            follow_redirects=False,
        )
    except (httpx.InvalidURL, ValueError, ImportError, OSError) as error:
        raise Unavailable(
            f"The network is set up in a way that can't be used ({str(error).rstrip('.')}). "
            f"Mend or unset what is wrong of {', '.join(set_up()) or 'its variables'}."
        ) from error


class Web:
    """Asks the services, one question at a time, and counts requests and bytes."""

    def __init__(
        self,
        client: httpx.Client,
        *,
        contact: str = "",
        sleep: Callable[[float], None] = time.sleep,
        clock: Callable[[], float] = time.monotonic,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
        jitter: Callable[[], float] = random.random,
    ) -> None:
        self.contact = contact
        self.requests = 0
        self.bytes = 0
        self._client = client
        self._sleep, self._clock, self._now, self._jitter = sleep, clock, now, jitter
        self._asked_at: dict[str, float] = {}

    def get_json(self, ask: Ask) -> Answer:
        """Return the answer to *ask*, trying up to three times where that makes sense.

        Raises
        ------
        Unavailable
            If it didn't come; ``not_before`` is set where the service said when to ask again.
        Refused
            If the service won't answer, or answers what it wasn't asked.
        """
        for number in range(1, TRIES + 1):
            outcome = self._try(ask)
            if isinstance(outcome, Answer):
                return outcome
            wait = self._wait_after(ask, outcome, number)
            last = outcome.final or number == (TRIES_TO_REACH if outcome.unreachable else TRIES)
            if wait is None or last or wait > LONGEST_WAIT:
                raise self._gave_up(ask, outcome, wait)
            self._sleep(wait)
        raise AssertionError("not reached")

    def _try(self, ask: Ask) -> "Answer | _Failure":
        try:
            status, headers, body = self._exchange(ask)
        except (httpx.InvalidURL, httpx.UnsupportedProtocol) as error:
            raise Refused(
                f"{ask.service}: {ask.url} isn't an address that can be asked."
            ) from error
        except _TooLong:
            return _Failure(0, f"no whole answer within {ask.seconds:.0f} seconds", final=True)
        except httpx.TimeoutException:
            return _Failure(0, "no answer in time")
        except httpx.RequestError as error:
            unreachable = isinstance(error, httpx.ConnectError)
            return _Failure(0, broken(error), unreachable=unreachable)
        if status in RETRIED:
            return _Failure(
                status, own_words(body, ask.hidden.values()), headers.get("retry-after", "")
            )
        if status == httpx.codes.NOT_MODIFIED:
            return Answer(None, http_time(headers.get("expires")), "", unchanged=True)
        if status not in (200, 203):
            words = own_words(body, ask.hidden.values())
            raise Refused(f"{ask.service} refused the request (status {status}): {words}.", status)
        try:
            content = json.loads(body, parse_constant=lambda name: None)
        except (ValueError, RecursionError):
            return _Failure(
                status, f"an answer that isn't whole JSON: {own_words(body, ask.hidden.values())}"
            )
        notes = ("its product is about to be withdrawn (status 203)",) if status == 203 else ()
        return Answer(
            content,
            http_time(headers.get("expires")),
            to_say_back(headers.get("last-modified")),
            notes,
        )

    def _exchange(self, ask: Ask) -> tuple[int, httpx.Headers, bytes]:
        """Send the question, following redirects within the host where the service has them."""
        url, params = ask.url, {**ask.params, **ask.hidden}
        for _ in range(MOST_REDIRECTS + 1):
            self._keep_pause(ask)
            status, headers, body = self._send(ask, url, params)
            if status not in REDIRECTS:
                return status, headers, body
            target = httpx.URL(url).join(headers.get("location", ""))
            if not ask.redirects or not same_house(httpx.URL(url), target):
                raise Refused(
                    f"{ask.service} sent us on to {target.host or 'nowhere'}; not followed.", status
                )
            url, params = str(target), {}
        raise Refused(f"{ask.service} sends us round in circles.", status)

    def _send(
        self, ask: Ask, url: str, params: Mapping[str, str]
    ) -> tuple[int, httpx.Headers, bytes]:
        """Send one question, in a thread that is left to itself when the time is over.

        The time-outs of a connection begin anew with every byte: nothing else ends a look-up of
        the host, or headers, that take for ever.
        """
        self.requests += 1
        came: SimpleQueue[tuple[int, httpx.Headers, bytes] | Exception] = SimpleQueue()

        def receive() -> None:
            try:
                came.put(self._receive(ask, url, params))
            except Exception as error:  # handed on to who asked
                came.put(error)

        Thread(target=receive, daemon=True).start()
        try:
            found = came.get(timeout=ask.seconds)
        except Empty:
            raise _TooLong from None
        if isinstance(found, Exception):
            raise found
        return found

    def _receive(
        self, ask: Ask, url: str, params: Mapping[str, str]
    ) -> tuple[int, httpx.Headers, bytes]:
        ends = self._clock() + ask.seconds
        chunks: list[bytes] = []
        size = 0
        with self._client.stream(
            "GET", url, params=params or None, headers=dict(ask.headers)
        ) as response:
            packed = response.headers.get("content-encoding", "")
            if "," in packed:
                # Each layer may swell a thousand times before there is anything to count.
                raise Refused(f'{ask.service} answered packed as "{packed[:60]}", not understood.')
            try:
                for chunk in response.iter_bytes():
                    chunks.append(chunk)
                    size += len(chunk)
                    if size > MOST_BYTES:
                        raise Refused(f"{ask.service} answered more than {MOST_BYTES:,} bytes.")
                    if self._clock() > ends:
                        raise _TooLong
            finally:
                self.bytes += response.num_bytes_downloaded
            return response.status_code, response.headers, b"".join(chunks)

    def _keep_pause(self, ask: Ask) -> None:
        last = self._asked_at.get(ask.service)
        if last is not None:
            rest = ask.pause - (self._clock() - last)
            if rest > 0:
                self._sleep(rest)
        self._asked_at[ask.service] = self._clock()

    def _wait_after(self, ask: Ask, failure: "_Failure", number: int) -> float | None:
        asked_for = seconds_to_wait(failure.retry_after, self._now())
        if asked_for is not None:
            return asked_for
        if ask.patience is not None and failure.status == 429:
            return ask.patience(failure.status, failure.words, self._now())
        if failure.unreachable:
            return UNREACHABLE_WAIT
        return float(FIRST_WAIT * 2 ** (number - 1) * (1.0 + self._jitter()))

    def _gave_up(self, ask: Ask, failure: "_Failure", wait: float | None) -> Unavailable:
        later = wait is not None and wait > LONGEST_WAIT
        not_before = self._now() + timedelta(seconds=wait or 0.0) if later else None
        when = f"; it wants to be asked again from {not_before:%Y-%m-%d %H:%M} UTC" if later else ""
        status = f" (status {failure.status})" if failure.status not in (0, 200) else ""
        return Unavailable(
            f"{ask.service} doesn't answer now{status}: {failure.words}{when}.", not_before
        )


@dataclass(frozen=True)
class _Failure:
    """A try that failed; status 0 where no answer came at all, ``final`` where none will."""

    status: int
    words: str
    retry_after: str = ""
    unreachable: bool = False
    final: bool = False


class _TooLong(Exception):
    """The whole answer took longer than it may."""
