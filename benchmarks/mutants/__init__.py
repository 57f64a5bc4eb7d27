"""Do the tests see it when the program is wrong? Small faults are put in, one at a time."""
