"""Values by name, told by how they differ from others: of a large vehicle a thousand states are kept that are nearly
the same."""

from collections.abc import Iterator, Mapping


class Differing(Mapping[str, str]):
    """The values of `usual` with those in `changed` in place of them or beside them, and without those that are `gone`.
    Neither is to change afterwards."""

    __slots__ = ("_changed", "_gone", "_more", "_usual")

    def __init__(self, usual: Mapping[str, str], changed: Mapping[str, str], gone: frozenset[str]) -> None:
        self._usual, self._changed, self._gone = usual, changed, gone
        self._more = tuple(name for name in changed if name not in usual)

    def __getitem__(self, name: str) -> str:
        found = self._changed.get(name)
        if found is not None:
            return found
        if name in self._gone:
            raise KeyError(name)
        return self._usual[name]

    def __iter__(self) -> Iterator[str]:
        yield from (name for name in self._usual if name not in self._gone)
        yield from self._more

    def __len__(self) -> int:
        return len(self._usual) - len(self._gone) + len(self._more)


def differing(usual: Mapping[str, str], values: Mapping[str, str]) -> Mapping[str, str]:
    """The same values as `values`, kept by how they differ from `usual`."""
    changed = {name: value for name, value in values.items() if usual.get(name) != value}
    return Differing(usual, changed, frozenset(usual.keys() - values.keys()))
