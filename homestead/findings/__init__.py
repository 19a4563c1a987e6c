"""Findings: what a check found, as data, and the cautions that go with the work."""
