"""How does a job get in and out of its file? Load, dump, and the bytes that are hashed."""

from __future__ import annotations

import json
import re
from datetime import date
from decimal import Decimal
from importlib import resources
from pathlib import Path
from typing import Any

import yaml

from truehang.catalogue import Catalogue
from truehang.job.check import JobError, Problem, examine
from truehang.job.models import Job
from truehang.yamltree import MOST_BYTES, scalar, too_large


class _Dumper(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Quotes every text that would be read back as a number or a word like true."""


def _text(dumper: Any, text: str) -> Any:
    quoted = "'" if not isinstance(scalar(text), str) else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=quoted)


_Dumper.add_representer(str, _text)


def load(source: str | bytes | Path, known: Catalogue | None = None) -> Job:
    """The job in a text, or in the file at a Path. Raises JobError with every problem.

    `known` is the catalogue that it names things of; the shipped one where none is given.
    A file that can't be read raises JobError too; one over the size limit is not read.
    """
    job, problems = examine(_bytes(source) if isinstance(source, Path) else source, known)
    if job is None:
        raise JobError(problems)
    return job


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size <= MOST_BYTES:
            return path.read_bytes()
    except OSError as error:
        what = (error.strerror or str(error)).lower()
        problem = Problem(1, "(whole file)", path.name, what, "look at the name and the folder")
        raise JobError([problem]) from None
    fault = too_large(size)
    raise JobError([Problem(1, "(whole file)", fault.given, fault.what, fault.mend)])


def dump(job: Job) -> str:
    """The job as YAML text, what is usual left out. load(dump(job)) == job."""
    values = plain(job.model_dump(exclude_defaults=True))
    text: str = yaml.dump(
        values, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=96, indent=2
    )
    return text


def canonical(job: Job) -> bytes:
    """The whole job, defaults too, as JSON with sorted keys: the bytes that are hashed."""
    return json.dumps(
        plain(job.model_dump()),
        ensure_ascii=False,
        sort_keys=True,
        separators=(",", ":"),
        allow_nan=False,
    ).encode()


def starter(situation: str = "") -> str:
    """A commented job file to begin from; it is complete and checks clean. `situation` is the key
    of what is done to the wall, in place of the example's."""
    text = (resources.files(__package__) / "starter.yaml").read_text(encoding="utf-8")
    return _SITUATION.sub(rf"\g<1>{situation}", text, count=1) if situation else text


_SITUATION = re.compile(r"^(  situation: )\S+", re.M)


def plain(value: Any) -> Any:
    """Model values as YAML and JSON can hold them: whole lengths as integers, days as text."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, float) and value == int(value):
        return int(value)
    return value
