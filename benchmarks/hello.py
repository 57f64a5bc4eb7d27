"""The least program that Typer makes: what `truehang --help` is held against."""

import typer


def hello(name: str) -> None:
    """Greet someone."""
    typer.echo(f"Hello {name}")


if __name__ == "__main__":
    typer.run(hello)
