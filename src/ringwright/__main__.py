"""Run the command line with ``python -m ringwright``."""

from ringwright.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
