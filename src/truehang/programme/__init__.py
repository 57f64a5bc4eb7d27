"""Who comes when, and what is proved of it? From tasks, reasons, calendars and people."""
