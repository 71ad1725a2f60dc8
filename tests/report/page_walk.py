"""A walk through a page with the standard library's parser, for what a test asks of it."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "hr", "img", "input"}
# A cell or a row ends where the next begins; its end tag may be left out.
IMPLIED = {"td": ("td", "th"), "th": ("td", "th"), "tr": ("td", "th", "tr"), "tbody": ("tbody",)}


@dataclass
class Element:
    """One element: its name, its attributes, the names of those around it, and its text."""

    name: str
    attributes: dict[str, str]
    around: tuple[str, ...]
    parts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The text within, that of inner elements included."""
        return "".join(self.parts)


@dataclass
class Page:
    """All elements in order, and the visible text."""

    elements: list[Element] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The text of the page without its head."""
        return "".join(self.parts)

    def all(self, *names: str) -> list[Element]:
        """Return the elements of these names."""
        return [element for element in self.elements if element.name in names]

    def one(self, name: str) -> Element:
        """Return the only element of that name."""
        (found,) = self.all(name)
        return found

    def meta(self, name: str) -> str:
        """Return the content of a meta tag."""
        return next(
            element.attributes["content"]
            for element in self.all("meta")
            if name in (element.attributes.get("name"), element.attributes.get("http-equiv"))
        )


class _Walker(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self.open: list[Element] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        while self.open and self.open[-1].name in IMPLIED.get(tag, ()):
            self.open.pop()
        element = Element(
            tag, {k: v or "" for k, v in attrs}, tuple(outer.name for outer in self.open)
        )
        self.page.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop().name != tag:
            pass

    def handle_data(self, data: str) -> None:
        for element in self.open:
            element.parts.append(data)
        if not any(element.name in ("style", "head") for element in self.open):
            self.page.parts.append(data)


def walk(html: str) -> Page:
    """Return what is in a page."""
    walker = _Walker()
    walker.feed(html)
    walker.close()
    return walker.page


def plain(text: str) -> str:
    """Return text with plain spaces and apostrophes and without joiners, to be searched."""
    typed = text.replace("\u2060", "").replace("\u00a0", " ").replace("\u2019", "'")
    return " ".join(typed.split())
