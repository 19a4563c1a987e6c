"""An outlook as plain data, for scripts: the object that ``homestead days --json`` prints."""

from dataclasses import asdict

from homestead.plan import whose
from homestead.vocabulary import NEEDS


def as_dict(outlook):
    """Figures of an outlook as plain data.

    Gives dict: plan, weather, starts, horizon_days, numbers (how many are whose), needs, homestead,
        cutting_back, first_bad, chance, by_month, sunless_days, year, balance, findings; days
        whole, energy in kWh, shares from 0 to 1.
    """
    hours, spare = outlook.hours, outlook.cutting_back
    return {
        "plan": outlook.plan.name,
        "weather": {
            "source": hours.source,
            "years": hours.years_n,
            "synthetic": bool(hours.synthetic),
        },
        "starts": outlook.starts_n,
        "horizon_days": outlook.horizon_days,
        "numbers": whose.counts(outlook.plan),
        "needs": {need: asdict(outlook.needs[need]) for need in NEEDS},
        "homestead": {**asdict(outlook.homestead), "first_to_fail": outlook.first_to_fail},
        "cutting_back": {
            "needs": {need: asdict(spare.needs[need]) for need in NEEDS},
            "homestead": asdict(spare.homestead),
        },
        "first_bad": {need: asdict(outlook.first_bad[need]) for need in NEEDS},
        "chance": {"p10": list(outlook.chance)},
        "by_month": {
            f"{month:02d}": {"p10": spread.p10, "p50": spread.p50}
            for month, spread in enumerate(outlook.by_month, start=1)
        },
        "sunless_days": dict(outlook.year.sunless_days),
        "year": dict(outlook.year.totals),
        "balance": dict(outlook.year.balance),
        "findings": [
            {
                "code": finding.code,
                "severity": finding.severity,
                "subject": finding.subject,
                "about": finding.about,
                "text": finding.said(outlook.plan.units),
                "source": finding.source,
                "values": finding.values,
                "limit": {name: finding.values[name] for name in finding.limit},
            }
            for finding in outlook.findings
        ],
    }
