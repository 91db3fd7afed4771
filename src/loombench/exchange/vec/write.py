"""A harness as a VEC file (VDA 4968), version 1.1.3, of elements that are the same in every version to 2.2.0.

Wires, connectors, splices and rings, contacts, matings, boxes with their bars, fuses and relays with their pins,
lengths, colours with the name of their system, looms as compositions, conditions. Stretches of loom are not written.
"""

from loombench.exchange.crimps import crimps
from loombench.exchange.harness import Harness
from loombench.exchange.vec.holdersout import Holders
from loombench.exchange.vec.pages import Pages, specification, units
from loombench.exchange.vec.wiresout import write_wires
from loombench.exchange.xmlout import NULL, document, tag

VERSION = "1.1.3"
NAMESPACE = "http://www.prostep.org/ecad-if/2011/vec"
INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"


def write_vec(harness: Harness) -> str:
    """The text of the file; the same text for the same harness."""
    pages = Pages()
    holders = Holders(pages, harness, crimps(harness))
    holders.write()
    holders.mate()
    signals = write_wires(pages, harness, holders)
    points = list(holders.contact_points())
    name = harness.name or NULL
    made = [
        specification("CompositionSpecification", loom or name, pages.names.new("comp"), components)
        for loom, components in pages.components.items()
    ]
    for kind, inside in (
        ("ContactingSpecification", points),
        ("CouplingSpecification", holders.couplings),
        ("SignalSpecification", signals),
        ("VariantConfigurationSpecification", pages.configurations),
    ):
        if inside:
            made.append(specification(kind, name, pages.names.new("spec"), inside))
    documents = (
        pages.document("PartMaster", f"{name} parts", pages.specifications),
        pages.document("HarnessDescription", name, made),
    )
    spaces = {"xmlns:vec": NAMESPACE, "xmlns:xsi": INSTANCE}
    root = tag("vec:VecContent", tag("VecVersion", VERSION), *documents, *pages.parts, *units(), **spaces, id="root")
    return document(root)
