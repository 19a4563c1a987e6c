"""Studies, checks, tables and figures of water."""
