"""The judge of what is written: the published schemas, and that they object to what is wrong."""

import pytest

from tests.exchange.out.schema import breaches

KBL = (
    '<kbl:KBL_container xmlns:kbl="http://www.prostep.org/Car_electric_container/KBL2.3/KBLSchema" '
    'id="root" version_id="2.4 SR-1">{}</kbl:KBL_container>'
)
VEC = (
    '<vec:VecContent xmlns:vec="http://www.prostep.org/ecad-if/2011/vec" id="root">'
    "<VecVersion>1.1.3</VecVersion>{}</vec:VecContent>"
)
UNIT = '<Unit id="{}"><Unit_name>Ampere</Unit_name></Unit>'
ROUTING = '<Routing id="r"><Routed_wire>{}</Routed_wire></Routing>'


@pytest.mark.parametrize(("name", "frame"), [("kbl", KBL), ("vec", VEC)])
def test_an_empty_container_is_valid_and_a_foreign_element_is_not(name: str, frame: str) -> None:
    assert breaches(name, frame.format("")) == ()
    assert breaches(name, frame.format("<Rubber_duck/>"))


def test_an_id_used_twice_and_a_reference_to_nothing_are_told() -> None:
    assert breaches("kbl", KBL.format(ROUTING.format("a") + UNIT.format("a"))) == ()
    assert breaches("kbl", KBL.format(UNIT.format("a") + UNIT.format("a")))
    assert breaches("kbl", KBL.format(ROUTING.format("b") + UNIT.format("a")))
