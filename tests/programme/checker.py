"""Is a schedule one? An independent checker: slot by slot, with nothing of the solver in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from truehang.programme.network import Network


def faults(network: Network, starts: Sequence[int]) -> list[str]:
    """Everything that is wrong with a schedule, in words; empty where nothing is."""
    wrong = []
    ends = [start + length for start, length in zip(starts, network.lengths, strict=True)]
    for link in network.links:
        end, start = ends[link.before], starts[link.after]
        least = end + link.lag
        if link.wait is not None:
            least = max(least, network.waits[link.wait][end])
        if start < least:
            wrong.append(f"{link.after} starts at {start}, {link.before} lets it at {least}")
    use: Counter[tuple[int, int]] = Counter()
    for work, need in enumerate(network.needs):
        for resource, amount in need:
            for slot in range(starts[work], ends[work]):
                use[resource, slot] += amount
    for gone in network.taken:
        for slot in range(gone.begin, gone.end):
            if use[gone.resource, slot]:
                use[gone.resource, slot] += gone.amount
    for (resource, slot), amount in sorted(use.items()):
        if amount > network.capacities[resource]:
            wrong.append(f"resource {resource} is asked for {amount} in slot {slot}")
    for work, start in enumerate(starts):
        if start < network.earliest.get(work, 0):
            wrong.append(f"{work} starts at {start}, before it may")
        mask = network.allowed.get(work)
        if mask is not None and not mask >> start & 1:
            wrong.append(f"{work} starts at {start}, where nobody is")
    return wrong
