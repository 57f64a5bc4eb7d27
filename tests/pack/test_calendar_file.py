"""Do other readers take our calendars at the same instants? RFC 5545, read by python-dateutil's own
reader of VTIMEZONE, which knows nothing of the place's clock but what stands in the file."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical
from tests.programme.requests import after, request, task

from truehang.pack.calendar_file import calendar_of, changes, files_of, timezone, uid_of
from truehang.pack.programme_texts import day_lines, message, rows_csv
from truehang.programme.make import programme

ISSUED = date(2026, 3, 1)
ASKED = request(
    [task("frame", 9, bring=("driver", "square"), people=2), task("paint", 4, "painter"),
     task("trim", 2, hold="floor is down"), task("tidy", 1)],
    [after("frame", "paint"), after("paint", "trim", 16), after("trim", "tidy")],
    effort=0.0,
)  # fmt: skip
MADE = programme(ASKED).programme


def unfolded(data: bytes) -> list[str]:
    return data.decode().replace("\r\n ", "").split("\r\n")


def events(data: bytes) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    at: dict[str, str] = {}
    for line in unfolded(data):
        if line == "BEGIN:VEVENT":
            at = {}
        elif line == "END:VEVENT":
            assert at["UID"] not in found, "a UID that is there twice"
            found[at["UID"]] = at
        elif ":" in line:
            name, _, value = line.partition(":")
            at[name.partition(";")[0]] = value
            at["TZID" if name.startswith("DTSTART;TZID") else "_"] = name.partition("TZID=")[2]
    return found


@pytest.mark.parametrize(
    "zone",
    ["Australia/Melbourne", "Australia/Brisbane", "Europe/London", "America/New_York",
     "Pacific/Auckland", "Australia/Adelaide"],
)  # fmt: skip
def test_another_reader_takes_every_hour_round_a_change_of_summer_time_alike(zone: str) -> None:
    written = b"BEGIN:VCALENDAR\r\n" + timezone(zone, 2026).to_ical() + b"END:VCALENDAR\r\n"
    read = tzical(io.StringIO(written.decode())).get(zone)
    place = ZoneInfo(zone)
    moments = [datetime(2026, month, 15, 9, tzinfo=UTC) for month in range(1, 13)]
    for year in (2026, 2027, 2029):
        for change in changes(place, year):
            moments += [
                (change.at - change.before).replace(tzinfo=UTC) + timedelta(hours=hours)
                for hours in (-30, -4, -2, 2, 4, 30)
            ]
    for moment in moments:
        wall = moment.astimezone(place).replace(tzinfo=None)
        assert wall.replace(tzinfo=read).astimezone(UTC) == moment, (zone, moment)


def test_the_rule_of_melbourne_is_that_of_the_law() -> None:
    # Summer Time Act 1972 (Victoria): from 2 am standard time on the first Sunday of October to
    # 2 am standard time (3 am by the summer clock) on the first Sunday of April.
    text = timezone("Australia/Melbourne", 2026).to_ical().decode()
    parts = {part.partition("\r\n")[0]: part for part in text.split("BEGIN:")}
    summer, winter = parts["DAYLIGHT"], parts["STANDARD"]
    assert "TZOFFSETFROM:+1000\r\nTZOFFSETTO:+1100" in summer
    assert "BYDAY=1SU;BYMONTH=10" in summer
    assert "T020000" in summer
    assert "TZOFFSETFROM:+1100\r\nTZOFFSETTO:+1000" in winter
    assert "BYDAY=1SU;BYMONTH=4" in winter
    assert "T030000" in winter


def test_a_file_is_well_formed() -> None:
    data = calendar_of(MADE, "own", ISSUED)
    assert not re.search(rb"(?<!\r)\n", data), "a bare LF"
    lines = unfolded(data)
    assert all(len(line) <= 75 for line in data.decode().split("\r\n"))
    zones = {line.partition(":")[2] for line in lines if line.startswith("TZID:")}
    assert {event["TZID"] for event in events(data).values()} <= zones
    assert any(line.startswith("RRULE:FREQ=YEARLY") for line in lines)
    assert not any(line.startswith("RDATE") for line in lines)
    assert len(events(data)) == 3


def test_events_are_at_the_instants_of_the_rows() -> None:
    data = calendar_of(MADE, "painter", ISSUED)
    (event,) = events(data).values()
    read = tzical(io.StringIO(data.decode())).get("Australia/Melbourne")
    begins = datetime.strptime(event["DTSTART"], "%Y%m%dT%H%M%S").replace(tzinfo=read)
    assert begins.astimezone(UTC) == MADE.of("paint").begin.astimezone(UTC)


def test_what_moves_is_an_update_and_what_goes_is_cancelled() -> None:
    before = calendar_of(MADE, "own", ISSUED)
    assert calendar_of(MADE, "own", ISSUED, before) == before
    tasks = [replace(t, not_before=date(2026, 3, 9)) if t.key == "trim" else t for t in ASKED.tasks]
    later = programme(replace(ASKED, tasks=tuple(t for t in tasks if t.key != "tidy"),
                              precedences=ASKED.precedences[:2])).programme  # fmt: skip
    now = events(calendar_of(later, "own", ISSUED, before))
    frame, trim, tidy = (uid_of(MADE.of(key)) for key in ("frame", "trim", "tidy"))
    assert set(now) == {frame, trim, tidy}
    assert now[frame]["SEQUENCE"] == "0"
    assert now[trim]["SEQUENCE"] == "1"
    assert now[trim]["DTSTART"].startswith("20260309")
    assert (now[tidy]["STATUS"], now[tidy]["SEQUENCE"]) == ("CANCELLED", "1")
    again = events(calendar_of(later, "own", ISSUED, calendar_of(later, "own", ISSUED, before)))
    assert again == now
    back = events(calendar_of(MADE, "own", ISSUED, calendar_of(later, "own", ISSUED, before)))
    assert (back[tidy]["STATUS"], back[tidy]["SEQUENCE"]) == ("TENTATIVE", "2")


def test_each_trade_has_its_file() -> None:
    assert set(files_of(MADE, ISSUED)) == {"programme-own.ics", "programme-painter.ics"}


def test_texts_for_people() -> None:
    told = " ".join(day_lines(MADE, date(2026, 3, 2)))
    assert "07:00 frame" in told
    assert "Bring: driver, square." in told
    assert "Two people" in told
    assert "Tue 3 Mar 08:00 to 12:00: paint" in message(MADE, "painter")
    assert message(MADE, "plumber") == ""
    rows = rows_csv(MADE).decode("utf-8-sig").split("\r\n")
    assert len(rows) == 2 + len(MADE.rows)
    assert rows[1].startswith("one,")
