"""Everything a sketch says is carried, dropped by a named kind or reported; nothing is added.

Source: W3C MusicXML 4.0; what a layout may cause is said in ``tests.ledger.added``.
"""

from hypothesis import given

from tests.ledger.trying import troubles_of_plan
from tests.property.planning import expand
from tests.property.plans import Plan, plans


@given(plans())
def test_the_ledger_of_a_made_up_plan_is_even(plan: Plan) -> None:
    assert list(troubles_of_plan(plan, expand(plan))) == []
