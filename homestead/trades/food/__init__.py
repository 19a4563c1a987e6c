"""Studies, checks, tables and figures of food."""
