"""The plan: one declaration of everything a family enters, and the file that keeps it."""

from homestead.plan.fields import Assumption
from homestead.plan.file import PlanError, PlanFile, demo_path, open_plan, with_changes
from homestead.plan.schema import Plan

__all__ = ["Assumption", "Plan", "PlanError", "PlanFile", "demo_path", "open_plan", "with_changes"]
