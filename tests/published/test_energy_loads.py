"""Checks of loads against outside figures, cases E44 and E48 to E51."""
