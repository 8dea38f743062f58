"""``python -m chartscan``."""

from chartscan.cli.main import main

main()
