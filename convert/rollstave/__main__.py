"""``python -m rollstave`` is the command line."""

from rollstave.cli.main import main

main()
