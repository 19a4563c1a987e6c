"""Forms made from the schema of the plan: type, see what is wrong, see what it changes.

This package is the only place that knows ipywidgets. What a form asks for stands in
`homestead.views.entries`, what a change does in `homestead.views.live`.
"""

from homestead.views.forms.field import NEW
from homestead.views.forms.sheet import DEMO_MARK, VIEW, Form, form

__all__ = ["DEMO_MARK", "NEW", "VIEW", "Form", "form"]
