"""`python -m truehang.cli` is the command `truehang`."""

from truehang.cli import main

if __name__ == "__main__":
    main()
