"""Where the program starts, as ``vardata`` or ``python -m vardata``: signals first."""

from __future__ import annotations

from vardata.cli.start import arm


def run() -> None:
    """The command ``vardata``."""
    arm()
    from vardata.cli.main import main

    main()


if __name__ == "__main__":
    run()
