"""Resistance of the joints in a loom: crimps, mated contacts, rings on studs, bars, splices, switch contacts.

No source with limits is at hand (the norms for crimps and connectors were not read): the values are from memory,
common practice or estimates, as each row of `contact.csv` says. They make a healthy model plausible, and are never a
limit to condemn a part by.
"""

from loombench.facts.typical import Typical, typical, typical_values


def joint(name: str) -> Typical:
    """The typical resistance of a kind of joint, with its range and provenance; names as in `joints()`.

    Raises:
        KeyError: no such joint.
    """
    return typical("contact", name)


def joints() -> tuple[Typical, ...]:
    """All kinds of joint."""
    return typical_values("contact")


def joint_resistance_ohm(name: str) -> float:
    """The typical resistance of a kind of joint: `crimp`, `mating`, `ring`, `bar`, `splice`, `switch` and so on.

    Raises:
        KeyError: no such joint.
    """
    return joint(name).value
