"""The edges on the ways from one vertex of a graph to every other, by one search: in blocks, of which two share a single vertex at most."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct


class Blocks(Struct, frozen=True):
    """The blocks of all that can be reached from `start`.

    `edges`: of each block, the indexes of its edges; `begins`: the vertex of it that is nearest to the start. `of`: for each vertex but the
    start, the block by which it is reached.
    """

    start: int
    edges: Sequence[Sequence[int]]
    begins: Sequence[int]
    of: Mapping[int, int]

    def between(self, end: int) -> tuple[int, ...]:
        """The blocks whose edges are those on some path from the start to `end` that passes no vertex twice, the last block first."""
        return tuple(self._back_from(end)) if end in self.of else ()

    def _back_from(self, vertex: int) -> Iterator[int]:
        while vertex != self.start:
            block = self.of[vertex]
            yield block
            vertex = self.begins[block]


def blocks(edges: Sequence[tuple[int, int]], start: int) -> Blocks:
    """The blocks of a graph, in time linear in the edges; two edges may join the same vertices (Hopcroft and Tarjan 1973)."""
    ways: dict[int, list[tuple[int, int]]] = {start: []}
    for index, (a, b) in enumerate(edges):
        ways.setdefault(a, []).append((index, b))
        ways.setdefault(b, []).append((index, a))
    found: list[list[int]] = []
    begins: list[int] = []
    of: dict[int, int] = {}
    order, lowest = {start: 0}, {start: 0}
    kept: list[int] = []
    met: list[int] = []
    walk = [(start, -1, 0, 0, iter(ways[start]))]
    while walk:
        vertex, came_by, kept_before, met_before, onward = walk[-1]
        for index, beside in onward:
            if beside not in order:
                order[beside] = lowest[beside] = len(order)
                walk.append((beside, index, len(kept), len(met), iter(ways[beside])))
                kept.append(index)
                met.append(beside)
                break
            if index != came_by and order[beside] < order[vertex]:
                kept.append(index)
                lowest[vertex] = min(lowest[vertex], order[beside])
        else:
            walk.pop()
            if walk and lowest[vertex] >= order[walk[-1][0]]:
                of |= dict.fromkeys(met[met_before:], len(found))
                found.append(kept[kept_before:])
                begins.append(walk[-1][0])
                del kept[kept_before:], met[met_before:]
            elif walk:
                lowest[walk[-1][0]] = min(lowest[walk[-1][0]], lowest[vertex])
    return Blocks(start, found, begins, of)
