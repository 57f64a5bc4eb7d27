"""Who has signed for the sizes, what exactly did they sign, and does it still hold?

A signature is bound to the digest of what was signed: the sizes and the statement. It holds as long
as the sizes that stand have that digest; a change that makes them others unsigns them, and says so.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from truehang.fit import Arrangement
from truehang.store import Entry, Past, Refused
from truehang.web.desk import Desk, View

ROLES = ("Measured by", "Checked by", "Customer")
STATEMENT = (
    "I have checked these sizes against the opening on site and against the datasheet of the kit "
    "and leaf that will be bought, and release them for manufacture."
)
MOST_NAME = 80
MOST_STROKES = 60
MOST_POINTS = 4000
WIDE, HIGH = 600, 200
"""The field that a signature is drawn in, in its own units."""
_DRAWN = re.compile(r"[0-9 ,;]*")


@dataclass(frozen=True, slots=True)
class Signature:
    """One signature. `holds` while the sizes that stand are those that were signed; `drawn` is its
    line as an SVG path, "" where none was drawn."""

    entry: Entry
    holds: bool

    @property
    def role(self) -> str:
        """As what they signed."""
        return str(self.entry.value["role"])

    @property
    def digest(self) -> str:
        """Of what was signed."""
        return str(self.entry.value.get("digest") or digest_of(self.entry.value["sizes"]))

    @property
    def drawn(self) -> str:
        """The drawn line as an SVG path."""
        return path_of(str(self.entry.value.get("drawn", "")))

    @property
    def leaf(self) -> list[float]:
        """The leaf's width and height that were signed, mm."""
        return list(self.entry.value["sizes"]["leaf"])


@dataclass(frozen=True, slots=True)
class Signatures:
    """The newest signature of each role: those that hold and those that a change unsigned; `since`
    is the revision that unsigned them, and `left` who can still sign."""

    holding: tuple[Signature, ...]
    lapsed: tuple[Signature, ...]
    since: Past | None
    left: tuple[str, ...]

    @property
    def first(self) -> Entry | None:
        """The first signature that holds: the documents were issued with it."""
        return min((one.entry for one in self.holding), key=lambda e: e.revision, default=None)


def sizes(fit: Arrangement) -> dict[str, Any]:
    """The sizes that are signed, mm."""
    return {
        "leaf": list(fit.leaf_order_size),
        "leaves": len(fit.leaves),
        "frame": [fit.option.frame_width, fit.option.frame_height],
        "kit": fit.kit_id,
        "leaf_kind": fit.leaf_id,
    }


def digest_of(signed: Mapping[str, Any]) -> str:
    """The digest of sizes with the statement that is signed for them."""
    text = json.dumps({"statement": STATEMENT, "sizes": signed}, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def signatures(desk: Desk, view: View) -> Signatures:
    """How the sizes of a job are signed by now."""
    fit = view.plan.arrangement
    now = digest_of(sizes(fit)) if fit is not None else ""
    newest: dict[str, Signature] = {}
    for entry in desk.store.entries(view.id, "sign"):
        if _whole(entry.value):
            one = Signature(entry, False)
            newest[one.role] = Signature(entry, one.digest == now)
    holding = tuple(one for one in newest.values() if one.holds)
    lapsed = tuple(one for one in newest.values() if not one.holds)
    left = tuple(role for role in ROLES if role not in {one.role for one in holding})
    return Signatures(holding, lapsed, _since(desk, view, lapsed), left)


def _whole(value: Any) -> bool:
    """Whether a record is a signature; a program may have recorded anything."""
    if not isinstance(value, Mapping) or not isinstance(value.get("sizes"), Mapping):
        return False
    leaf = value["sizes"].get("leaf")
    return isinstance(leaf, list) and len(leaf) > 1 and {"role", "name", "date"} <= set(value)


def _since(desk: Desk, view: View, lapsed: tuple[Signature, ...]) -> Past | None:
    """The first change after the newest signature that no longer holds."""
    if not lapsed:
        return None
    signed = max(one.entry.revision for one in lapsed)
    later = [each for each in desk.store.past(view.id, most=200) if each.number > signed]
    return later[-1] if later else None


def signature(view: View, sent: Mapping[str, str]) -> dict[str, Any]:
    """What is recorded of a form. Raises Refused where it can't be signed."""
    fit = view.plan.arrangement
    if fit is None:
        raise Refused("sizes: nothing fits yet, so there are none to sign")
    if view.plan.standing.draft:
        raise Refused(
            f"sizes: {view.plan.standing.headline}; then look at the sizes again and sign"
        )
    now = digest_of(sizes(fit))
    seen = sent.get("digest") or (now if sent.get("base") == str(view.revision.number) else "")
    if seen != now:
        raise Refused(
            f"sizes: the job has changed since this page was opened (now revision "
            f"{view.revision.number}); look at the sizes again and sign"
        )
    for name, mend in (("role", "measured by, checked by or customer"), ("name", "who signs"),
                       ("date", "the day, as year-month-day")):  # fmt: skip
        if not sent.get(name, "").strip():
            raise Refused(f"{name}: empty; give {mend}")
    if sent["role"].strip() not in ROLES:
        raise Refused(f"role: {sent['role'][:20]!r} is none; choose {', '.join(ROLES).lower()}")
    if sent.get("agreed") != "yes":
        raise Refused("the statement is not ticked; read it, and tick it to sign")
    drawn = sent.get("drawn", "").strip()
    if drawn and not path_of(drawn):
        raise Refused("signature: what was drawn can't be read; draw it again")
    return {
        "role": sent["role"].strip(),
        "name": sent["name"].strip()[:MOST_NAME],
        "date": sent["date"].strip()[:10],
        "statement": STATEMENT,
        "sizes": sizes(fit),
        "digest": now,
        "drawn": drawn,
    }


def path_of(drawn: str) -> str:
    """The strokes "x,y x,y; x,y ..." as an SVG path; "" where they are none."""
    if not _DRAWN.fullmatch(drawn):
        return ""
    strokes = [stroke.split() for stroke in drawn.split(";") if stroke.strip()]
    if not strokes or len(strokes) > MOST_STROKES or sum(map(len, strokes)) > MOST_POINTS:
        return ""
    lines = []
    for stroke in strokes:
        points = [point.split(",") for point in stroke]
        if any(len(point) != 2 or not all(map(str.isdecimal, point)) for point in points):
            return ""
        if any(int(x) > WIDE or int(y) > HIGH for x, y in points):
            return ""
        lines.append("M" + "L".join(f"{int(x)} {int(y)}" for x, y in points))
    return "".join(lines)
