"""One simulation of everything: its inputs, its records, the compiled hour."""
