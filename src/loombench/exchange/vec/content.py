"""The objects of a VEC file, found by id, and the ways between them, each checked for the kind it leads to.

In the file every reference is untyped text, so that one to the wrong kind of object, or to none, passes the schema. A
reference is followed by naming the kinds that make sense; any other is a problem with its line, and counts as not
given.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from loombench.base.problems import Level, Span
from loombench.exchange.report import Notes
from loombench.exchange.texts import Texts
from loombench.exchange.xmlin import Element

_REPEATED = frozenset({
    "UnitComponent", "ReferencedCavity", "ReferencedWireElement", "ReferencedSlot", "Part", "TerminalSpecification",
    "WireSpecification", "ConnectorHousingSpecification", "LengthType", "PositionOnWire", "CavityNumber", "Signal",
})  # fmt: skip
_POLES = frozenset({"-", "--"})


@dataclass(slots=True, eq=False)
class Thing:
    """An object of the file: `kind` is its `xsi:type`, or else the element's name; one is not equal to another.

    Children that are mere text are kept in `texts`, name and text in turn, all others in `children`, in the file's
    order. A file of 50 MB has half a million such objects, so each is as small as can be.
    """

    tag: str
    kind: str
    id: str
    line: int
    parent: "Thing | None" = None
    texts: Sequence[str] = ()
    children: Sequence["Thing"] = ()

    def say(self, tag: str) -> str:
        """The text of the first child of that name, or an empty text."""
        texts = self.texts
        for at in range(0, len(texts), 2):
            if texts[at] == tag:
                return texts[at + 1]
        return ""

    def has(self, tag: str) -> bool:
        """Whether there is such a text, be it empty."""
        return tag in self.texts and tag in self.texts[::2]

    def all(self, tag: str) -> "list[Thing]":
        """All children of that name, in order."""
        return [child for child in self.children if child.tag == tag]

    def first(self, tag: str) -> "Thing | None":
        """The first child of that name."""
        return next((child for child in self.children if child.tag == tag), None)

    def refs(self, tag: str) -> list[str]:
        """The ids listed by the children of that name, in order."""
        texts = self.texts
        found: list[str] = []
        for at in range(0, len(texts), 2):
            if texts[at] == tag:
                found += texts[at + 1].split()
        return found

    def truth(self, tag: str) -> bool:
        """Whether a boolean says yes."""
        return self.say(tag).strip().lower() in ("true", "1")


Kinds = Callable[[str], bool]
"""Whether a kind of object makes sense where a reference stands."""


def of(*kinds: str) -> Kinds:
    """Exactly these kinds."""
    return frozenset(kinds).__contains__


def ending(*endings: str) -> Kinds:
    """All kinds with such an ending: `TerminalRole` for `SpliceTerminalRole` and its like."""
    return lambda kind: kind.endswith(endings)


@dataclass
class Content:
    """All objects of a file; filled while it is read (`vec.source`), then only asked.

    `specifications` are in the file's order; a specification's `parent` is its `DocumentVersion`. `configured`:
    something in the file has a condition. `same` keeps texts that are met again and again once.
    """

    file: str
    notes: Notes
    version: str = ""
    ids: dict[str, Thing] = field(default_factory=dict)
    specifications: list[Thing] = field(default_factory=list)
    reported: set[tuple[str, str]] = field(default_factory=set)
    configured: bool = False
    same: dict[str, str] = field(default_factory=dict)
    cleaner: Texts = field(init=False)

    def __post_init__(self) -> None:
        """Make what cleans the texts."""
        self.cleaner = Texts(self.file, self.notes)

    def add(self, element: Element, parent: Thing | None) -> Thing:
        """An element and all in it as objects, known by their ids from now on."""
        tag, attributes, same = element.tag, element.attributes, self.same
        kind = same.setdefault(attributes["type"], element.type) if "type" in attributes else tag
        thing = Thing(tag, kind or tag, attributes.get("id", ""), element.line, parent)
        if thing.id:
            if thing.id in self.ids:
                self.notes.add("vec-id-twice", Level.WARNING, self.span(thing), id=thing.id[:80])
            else:
                self.ids[thing.id] = thing
        children: list[Thing] = []
        texts: list[str] = []
        for child in element.children:
            if child.children or child.attributes:
                children.append(self.add(child, thing))
            else:
                text = child.text
                texts += child.tag, same.setdefault(text, text) if child.tag in _REPEATED else text
                if child.tag == "ConfigInfo":
                    self.configured = True
        if children:
            thing.children = children
        if texts:
            thing.texts = tuple(texts)
        return thing

    def release(self) -> None:
        """Part the objects from one another, so that their memory is free at once."""
        for thing in (*self.ids.values(), *self.specifications):
            thing.parent, thing.children = None, ()
        self.ids.clear()
        self.specifications.clear()

    def name(self, thing: Thing, tag: str) -> str:
        """A short text of an object, as `exchange.texts` cleans it."""
        return self.cleaner.name(thing.say(tag), thing.line)

    def label(self, thing: Thing, tag: str) -> str:
        """What is printed at a pin or cavity: a short text, for which a stroke is the minus pole and not "nothing"."""
        text = thing.say(tag).strip()
        return text if text in _POLES else self.name(thing, tag)

    def span(self, thing: Thing) -> Span:
        """Where it stands."""
        return Span(self.file, thing.line)

    def all_of(self, kinds: Kinds) -> Iterator[Thing]:
        """The specifications of some kinds, in order."""
        return (one for one in self.specifications if kinds(one.kind))

    def follow(self, thing: Thing, tag: str, kinds: Kinds) -> Thing | None:
        """What the first reference of that name leads to; None where there is none, or it leads nowhere sensible."""
        ref = thing.say(tag)
        target = self.ids.get(ref)
        if target is not None and kinds(target.kind):
            return target
        return next(iter(self.follow_all(thing, tag, kinds)), None) if ref else None

    def follow_all(self, thing: Thing, tag: str, kinds: Kinds) -> list[Thing]:
        """What the references of that name lead to, without those that lead nowhere sensible."""
        found: list[Thing] = []
        for ref in thing.refs(tag):
            target = self.ids.get(ref)
            if target is not None and kinds(target.kind):
                found.append(target)
            elif (thing.id or str(thing.line), ref) not in self.reported:
                self.reported.add((thing.id or str(thing.line), ref))
                self._report(thing, tag, ref, target)
        return found

    def _report(self, thing: Thing, tag: str, ref: str, target: Thing | None) -> None:
        where, name = self.span(thing), f"{thing.kind}/{tag}"
        if target is None:
            self.notes.add("vec-reference-missing", Level.WARNING, where, field=name, id=ref[:80])
        else:
            self.notes.add(
                "vec-reference-kind", Level.WARNING, where, self.span(target), field=name, id=ref[:80], kind=target.kind
            )  # fmt: skip


def owner(thing: Thing, tag: str) -> Thing | None:
    """The nearest object around it (or itself) with that element name."""
    at: Thing | None = thing
    while at is not None and at.tag != tag:
        at = at.parent
    return at
