"""A page as a reader takes it in: elements, text, links and forms. Anything a browser would have to mend is a fault."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
#: Elements that stand in a line of text; all others begin a line of their own.
INLINE = {"a", "b", "code", "em", "label", "mark", "small", "span", "strong", "sub", "sup", "time", "use", "path"}


@dataclass
class Node:
    """One element. `kids` holds elements and text in order."""

    tag: str
    attrs: dict[str, str]
    kids: list["Node | str"] = field(default_factory=list)
    parent: "Node | None" = field(default=None, repr=False)

    def walk(self) -> Iterator["Node"]:
        for kid in self.kids:
            if isinstance(kid, Node):
                yield kid
                yield from kid.walk()

    def all(self, tag: str = "", **attrs: str) -> list["Node"]:
        """Elements beneath with this tag and these attributes; `cls` asks for a class, `data_kind` for data-kind."""
        return [node for node in self.walk() if (not tag or node.tag == tag) and node.has(**attrs)]

    def one(self, tag: str = "", **attrs: str) -> "Node":
        found = self.all(tag, **attrs)
        assert len(found) == 1, f"{len(found)} of <{tag} {attrs}> stand in <{self.tag}>"
        return found[0]

    def has(self, **attrs: str) -> bool:
        return all(
            value in self.classes if name == "cls" else self.attrs.get(name.replace("_", "-")) == value
            for name, value in attrs.items()
        )

    @property
    def classes(self) -> list[str]:
        return self.attrs.get("class", "").split()

    @property
    def words(self) -> str:
        """All text beneath, blanks folded, narrow blanks made plain ones."""
        return " ".join(self._text().replace("\u202f", " ").split())

    def _text(self) -> str:
        return "".join(
            kid if isinstance(kid, str) else kid._text() if kid.tag in INLINE else f" {kid._text()} "
            for kid in self.kids
        )

    @property
    def raw(self) -> str:
        """The text of an element that holds nothing else, as it stands."""
        return "".join(kid for kid in self.kids if isinstance(kid, str))

    def inside(self, *tags: str) -> bool:
        node = self.parent
        while node is not None:
            if node.tag in tags:
                return True
            node = node.parent
        return False


class _Builder(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Node("", {})
        self.here = self.root
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        self.faults += [f"<{tag}> says {name} twice" for name in sorted(set(names)) if names.count(name) > 1]
        node = Node(tag, {name: value or "" for name, value in attrs}, parent=self.here)
        self.here.kids.append(node)
        if tag not in VOID:
            self.here = node

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """`<path/>`: in a drawing it is an element that ends at once."""
        self.here.kids.append(Node(tag, {name: value or "" for name, value in attrs}, parent=self.here))

    def handle_endtag(self, tag: str) -> None:
        if tag != self.here.tag:
            self.faults.append(f"</{tag}> ends <{self.here.tag}>")
            return
        assert self.here.parent is not None
        self.here = self.here.parent

    def handle_data(self, data: str) -> None:
        self.here.kids.append(data)


def read_html(text: str) -> tuple[Node, list[str]]:
    """The tree, and every fault of its form."""
    builder = _Builder()
    builder.feed(text)
    builder.close()
    if builder.here is not builder.root:
        builder.faults.append(f"<{builder.here.tag}> is not ended")
    return builder.root, builder.faults


@dataclass
class Form:
    """A form with what a browser would send: the first button, unless another is named."""

    node: Node

    @property
    def action(self) -> str | None:
        return self.node.attrs.get("action")

    @property
    def method(self) -> str:
        return self.node.attrs.get("method", "get").lower()

    def controls(self) -> list[Node]:
        return [
            node for node in self.node.walk() if node.tag in ("input", "select", "textarea") and node.attrs.get("name")
        ]

    def names(self) -> list[str]:
        return list(dict.fromkeys(node.attrs["name"] for node in self.controls()))

    def values(self) -> list[tuple[str, str]]:
        """Name and value of every control that would be sent as the page stands."""
        return [(node.attrs["name"], value) for node in self.controls() for value in _sent_by(node)]

    def value(self, name: str) -> str:
        return dict(self.values()).get(name, "")

    def filled(self, **told: "str | list[str] | None") -> list[tuple[str, str]]:
        """The values with these typed or chosen; None clears one. `private__name` spells `private-name`."""
        typed = {name.replace("__", "-"): value for name, value in told.items()}
        strange = set(typed) - set(self.names())
        assert not strange, f"the form has no {sorted(strange)}; it has {self.names()}"
        kept = [(name, value) for name, value in self.values() if name not in typed]
        for name, value in typed.items():
            kept += [(name, one) for one in ([] if value is None else [value] if isinstance(value, str) else value)]
        return kept


def _sent_by(node: Node) -> list[str]:
    kind = node.attrs.get("type", "text")
    if node.tag == "textarea":
        text = node.raw
        # The parser of a browser drops one line break after the tag, and a form sends line breaks as CR LF.
        return [text.removeprefix("\r\n").removeprefix("\n").replace("\r\n", "\n").replace("\n", "\r\n")]
    if node.tag == "select":
        options = node.all("option")
        chosen = [option for option in options if "selected" in option.attrs]
        if "multiple" not in node.attrs and not chosen:
            chosen = options[:1]
        return [option.attrs.get("value", option.words) for option in chosen]
    if kind in ("checkbox", "radio"):
        return [node.attrs.get("value", "on")] if "checked" in node.attrs else []
    return [] if kind in ("submit", "button", "image", "file") else [node.attrs.get("value", "")]
