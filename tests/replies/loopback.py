"""A server on the loopback that speaks as the weather services do, with their faults on demand."""

import gzip
import json
import socket
import struct
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

from tests.replies import services

LAST_MODIFIED = "Wed, 25 Nov 2026 06:00:00 GMT"
HTML = "<html><head><style>p {}</style></head><body><p>Down for maintenance</p></body></html>"


@dataclass
class Speaker:
    """What the server does: *faults* by service are spent one a request, then it answers."""

    url: str = ""
    now: datetime = services.NOW
    faults: dict[str, list[str]] = field(default_factory=dict)
    requests: list[tuple[str, dict[str, str], dict[str, str]]] = field(default_factory=list)
    change: Any = None  # a change made to each answer, by the test

    @property
    def urls(self) -> dict[str, str]:
        """The base addresses, as workshop.toml names them."""
        return {name: f"{self.url}/{name}" for name in NAMES}

    def asked(self, service: str) -> list[tuple[str, dict[str, str], dict[str, str]]]:
        """Return the requests to one service: path, parameters, headers."""
        return [entry for entry in self.requests if entry[0].startswith(f"/{service}/")]

    def body(self, service: str, path: str, query: dict[str, str]) -> Any:
        """Return the answer, in the form of that service."""
        today = self.now.date()
        if service == "met-norway":
            return services.met_norway(float(query["lat"]), float(query["lon"]), self.now)
        if service == "national-weather-service":
            if path.startswith("/points/"):
                return services.us_point(*(float(c) for c in path[8:].split(",")))
            return services.us_grid(41.5, -90.0, self.now)
        if "," in query["latitude"]:
            points = zip(query["latitude"].split(","), query["longitude"].split(","), strict=True)
            one = [
                self.body(service, path, {**query, "latitude": north, "longitude": east})
                for north, east in points
            ]
            return [{"location_id": n, **table} if n else table for n, table in enumerate(one)]
        latitude, longitude = float(query["latitude"]), float(query["longitude"])
        if service == "nasa-power":
            first, last = (date.fromisoformat(query[key]) for key in ("start", "end"))
            ready = today - timedelta(days=3)
            return services.nasa_power(latitude, longitude, first, last, ready)
        if service == "open-meteo-archive":
            first, last = (date.fromisoformat(query[key]) for key in ("start_date", "end_date"))
            return services.open_meteo(latitude, longitude, first, last)
        first = today - timedelta(days=int(query["past_days"]))
        last = today + timedelta(days=int(query["forecast_days"]) - 1)
        members = 4 if service == "open-meteo-ensemble" else 0
        return services.open_meteo(latitude, longitude, first, last, members)


NAMES = (
    "met-norway",
    "national-weather-service",
    "open-meteo",
    "open-meteo-ensemble",
    "nasa-power",
    "open-meteo-archive",
)


@contextmanager
def speaking() -> Iterator[Speaker]:
    """Run the server while the block runs."""
    speaker = Speaker()
    server = ThreadingHTTPServer(("127.0.0.1", 0), type("Bound", (Handler,), {"speaker": speaker}))
    server.daemon_threads = True
    speaker.url = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield speaker
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


class Handler(BaseHTTPRequestHandler):
    """Answers one request, or does what the next fault says."""

    speaker: Speaker
    protocol_version = "HTTP/1.1"

    def log_message(self, *args: object) -> None:
        """Say nothing."""

    def handle(self) -> None:
        """Take broken connections as the end of them."""
        try:
            super().handle()
        except ConnectionError:
            self.close_connection = True

    def do_GET(self) -> None:  # the name is the base class's
        """Answer as the service of the path would."""
        where = urlsplit(self.path)
        service, _, path = where.path.lstrip("/").partition("/")
        query = {key: values[0] for key, values in parse_qs(where.query).items()}
        self.speaker.requests.append((where.path, query, dict(self.headers)))
        faults = self.speaker.faults.get(service, [])
        fault = faults.pop(0) if faults else ""
        if fault:
            getattr(self, f"fault_{fault.partition(' ')[0]}")(fault.partition(" ")[2])
        elif self.headers.get("If-Modified-Since") == LAST_MODIFIED:
            self.send_response(304)
            self.send_header("Expires", _http(self.speaker.now + timedelta(minutes=35)))
            self.end_headers()
        else:
            content = self.speaker.body(service, f"/{path}", query)
            if self.speaker.change is not None:
                content = self.speaker.change(content)
            self.answer(json.dumps(content))

    def answer(self, text: str, status: int = 200, kind: str = "application/json", **headers):
        """Send a whole answer, compressed, with the headers that caches live by."""
        body = gzip.compress(text.encode())
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Last-Modified", LAST_MODIFIED)
        self.send_header("Expires", _http(self.speaker.now + timedelta(minutes=30)))
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        self.wfile.write(body)

    def fault_slow(self, seconds: str) -> None:
        """Say nothing for so long."""
        time.sleep(float(seconds))
        self.close_connection = True

    def fault_unchanged(self, _: str) -> None:
        """Say that nothing is new, whether asked for that or not."""
        self.send_response(304)
        self.end_headers()

    def fault_drip(self, seconds: str) -> None:
        """Give a byte now and then."""
        self.send_response(200)
        self.send_header("Content-Length", "100000")
        self.end_headers()
        for _ in range(40):
            self.wfile.write(b" ")
            self.wfile.flush()
            time.sleep(float(seconds))
        self.close_connection = True

    def fault_crawl(self, seconds: str) -> None:
        """Give a byte of a header now and then."""
        self.wfile.write(b"HTTP/1.1 200 OK\r\nX-Slow: ")
        for _ in range(60):
            self.wfile.write(b"x")
            self.wfile.flush()
            time.sleep(float(seconds))
        self.close_connection = True

    def fault_reset(self, _: str) -> None:
        """Break the connection off."""
        self.connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        self.connection.close()
        self.close_connection = True

    def fault_cut(self, _: str) -> None:
        """Stop in the middle of the body."""
        self.send_response(200)
        self.send_header("Content-Length", "5000")
        self.end_headers()
        self.wfile.write(b'{"properties": {"timeseries": [')
        self.close_connection = True

    def fault_json(self, text: str) -> None:
        """Answer this text, as if all were well."""
        self.answer(text)

    def fault_html(self, _: str) -> None:
        """Answer a page, as if all were well."""
        self.answer(HTML, kind="text/html")

    def fault_status(self, text: str) -> None:
        """Answer with a status, and words or a page."""
        status, _, words = text.partition(" ")
        self.answer(words or HTML, int(status), "text/html")

    def fault_busy(self, seconds: str) -> None:
        """Answer 429, with Retry-After if it says how long."""
        self.answer("{}", 429, **{"Retry-After": seconds} if seconds else {})

    def fault_redirect(self, target: str) -> None:
        """Send on to another address."""
        self.answer("", 301, Location=target)


def _http(when: datetime) -> str:
    return when.strftime("%a, %d %b %Y %H:%M:%S GMT")
