"""Questions put to the simulation: what if, what next, how much is enough, how sure."""
