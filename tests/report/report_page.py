"""A page as tests look at it: its elements, and its text without markup."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = {"col", "meta", "link", "img", "br", "hr", "input"}


class Page(HTMLParser):
    """Elements with their attributes, and the text that a reader sees (not styles)."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.html = html
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.stray: list[str] = []
        self._parts: list[str] = []
        self.feed(html)
        self.close()
        self.text = " ".join(" ".join(self._parts).split())

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if self.open and self.open[-1] == tag:
            self.open.pop()
        else:
            self.stray.append(tag)

    def handle_data(self, data):
        if "style" not in self.open:
            self._parts.append(data)

    def values(self, attribute: str) -> list[str]:
        """Values of an attribute, wherever it stands."""
        return [attrs[attribute] or "" for _, attrs in self.elements if attribute in attrs]

    def tags(self) -> set[str]:
        """Kinds of elements."""
        return {tag for tag, _ in self.elements}
