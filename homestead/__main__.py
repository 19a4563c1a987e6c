"""``python -m homestead``."""

from homestead.cli import main

main()
