"""What happens when something breaks in the midst of work? Trials with counts: `make faults`."""
