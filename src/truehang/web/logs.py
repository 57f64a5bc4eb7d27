"""What does the server write of itself? One JSON object a line, without anything of a job in it.

An error tells its kind and the places in the program that it came through, never its message or
values: those may be somebody's name, reading or price.
"""

from __future__ import annotations

import json
import logging
import traceback
from datetime import UTC, datetime
from typing import Any

_OURS = ("truehang", "uvicorn")


class Lines(logging.Formatter):
    """One line of JSON for each record."""

    def format(self, record: logging.LogRecord) -> str:
        told: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
        }
        # What other libraries put into their messages is not known; their kind of trouble is.
        if record.name.partition(".")[0] in _OURS:
            told["what"] = record.getMessage().strip()
        if record.exc_info and record.exc_info[1] is not None:
            error = record.exc_info[1]
            told["trouble"] = type(error).__name__
            told["through"] = [
                f"{frame.filename.rpartition('/')[2]}:{frame.lineno} {frame.name}"
                for frame in traceback.extract_tb(error.__traceback__)
            ]
        return json.dumps(told, ensure_ascii=False)


CONFIG: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"lines": {"()": "truehang.web.logs.Lines"}},
    "handlers": {
        "stderr": {
            "class": "logging.StreamHandler",
            "formatter": "lines",
            "stream": "ext://sys.stderr",
        }
    },
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {"truehang": {"level": "INFO"}},
}
"""For `logging.config`: everything to the standard error."""
