"""Studies, checks, tables and figures of warmth."""
