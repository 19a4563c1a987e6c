"""Checks of reliability measures against outside figures, cases E52 to E54."""

from homestead import reference
from homestead.plan import open_plan, with_changes
from homestead.questions.buying import buying


# E54. "Optimization of an Off-Grid PV System with Respect to the Loss of Load Probability Value",
# Energies 2025, 18(19), 5174 (abstract found): as more loss of load is allowed, the battery needed
# falls from 11 to 7 units at 1 % and further on. The input series is not published, so the trend
# alone is held: the more starts may fall short, the smaller the battery, never the larger.
def test_e54_the_battery_shrinks_as_more_loss_is_allowed():
    cabin = open_plan(reference.shipped("data", "cabin", "plan.toml"))
    price = {"name": "module", "part": "battery", "cost": "$1", "most": "40 modules"}
    changes = {"battery.modules": 1, "change": None, "price": [price]}
    changes |= {f"fuel.{fuel.name}.price": None for fuel in cabin.fuels if fuel.price_money}
    changes |= {f"fuel.{fuel.name}.price_amount": None for fuel in cabin.fuels if fuel.price_money}
    plan = with_changes(cabin.raw, changes, folder=cabin.folder)
    modules = [
        buying(plan, 30, share, years_n=2, need="power").best.cost_money
        for share in (0.99, 0.95, 0.9, 0.75)
    ]
    assert modules == sorted(modules, reverse=True)
    assert modules[-1] < modules[0]
