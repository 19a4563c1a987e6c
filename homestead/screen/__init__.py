"""What every screen shares: plain words, tables, figures, live views."""
