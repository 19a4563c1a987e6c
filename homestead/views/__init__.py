"""What a reader sees: tables, figures, forms and the shared page."""
