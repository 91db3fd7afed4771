"""Names that are given out once, and which modules list which objects: neither may take longer the more there are."""

from dataclasses import dataclass, field


@dataclass
class Names:
    """Gives out names, each once: a second `X1` is `X1#2`. However often one is wanted, it takes no search."""

    taken: set[str] = field(default_factory=set)
    counts: dict[str, int] = field(default_factory=dict)

    def free(self, wanted: str, mark: str = "#") -> str:
        """The name, or the first of its numbered forms that is free; it is taken then."""
        name = wanted
        while name in self.taken:
            number = self.counts[wanted] = self.counts.get(wanted, 1) + 1
            name = f"{wanted}{mark}{number}"
        self.taken.add(name)
        return name


@dataclass
class Listed:
    """Which modules list which objects.

    The modules of an object are a chain, shared by all objects that the same modules list: many thousand modules with
    many thousand objects each stay small. Chain 0 is that of no module.
    """

    by_object: dict[str, int] = field(default_factory=dict)
    chains: list[tuple[int, str]] = field(default_factory=lambda: [(0, "")])
    links: dict[tuple[int, str], int] = field(default_factory=dict)

    def add(self, ref: str, module: str) -> None:
        """Note that a module lists an object; once for each pair."""
        link = (self.by_object.get(ref, 0), module)
        number = self.links.get(link)
        if number is None:
            number = self.links[link] = len(self.chains)
            self.chains.append(link)
        self.by_object[ref] = number

    def modules(self, chain: int) -> tuple[str, ...]:
        """The modules of a chain, in order."""
        found: list[str] = []
        while chain:
            chain, module = self.chains[chain]
            found.append(module)
        return tuple(reversed(found))
