"""The worst finding is read first, ties keep the order of the work, and nothing is said twice."""

from __future__ import annotations

from truehang.findings import Finding, Severity, worst_first


def _finding(severity: Severity, what: str) -> Finding:
    return Finding(severity, "left pocket", what, "look again", "common practice, no source")


def test_worst_first_in_order_without_repeats() -> None:
    note, warn = _finding(Severity.NOTE, "a"), _finding(Severity.WARN, "b")
    stop, second = _finding(Severity.STOP, "c"), _finding(Severity.WARN, "d")
    assert worst_first((note, warn, stop, second, warn)) == (stop, warn, second, note)


def test_severities_are_ordered_and_have_words() -> None:
    assert [severity.word for severity in sorted(Severity)] == ["note", "warn", "hold", "stop"]
