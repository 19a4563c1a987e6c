"""Formulas of warmth: heat loss, fuels, hot water, cooling."""
