"""Closer looks at one trade of a plan: plain results, computed from plan and hours, for views."""
