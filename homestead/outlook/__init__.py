"""The coupled hour, days of independence, and what to change next."""

from homestead.outlook.independence import Outlook, Spread, all_findings, run
from homestead.outlook.summary import as_dict

__all__ = ["Outlook", "Spread", "all_findings", "as_dict", "run"]
