"""Studies, checks, tables and figures of power."""
