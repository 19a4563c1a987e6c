"""The upper floor of each trade: its studies, checks, tables, figures and sentences."""
