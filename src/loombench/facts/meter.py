"""What the instruments do to the circuit: input resistance, test lamp, LED tester, ohmmeter, buzzer, ammeter burden.

Typical values, common practice or from memory (see `meter.csv`); a meter's own data sheet wins. A lamp or an ohmmeter
is never put on airbag circuits; an ohmmeter never on a live or charged circuit.
"""

from loombench.facts.filament import Filament, filament
from loombench.facts.ohm import load_voltage_v
from loombench.facts.typical import Typical, typical, typical_values

_TABLE = "meter"


def meter_value(name: str) -> Typical:
    """A figure of `meter.csv` with its range and provenance. Raises KeyError where there is none of that name."""
    return typical(_TABLE, name)


def meter_values() -> tuple[Typical, ...]:
    """All figures of `meter.csv`."""
    return typical_values(_TABLE)


def voltmeter_ohm() -> float:
    """Input resistance of a voltmeter on DC volts: 10 Mohm. Common practice."""
    return meter_value("voltmeter").value


def low_impedance_ohm() -> float:
    """Input resistance of a low-impedance voltmeter: 3 kohm. Common practice."""
    return meter_value("low-impedance").value


def lamp_tester(system_v: float = 12) -> Filament:
    """The filament of a test lamp: 4 W at 12 V, or 4 W at 24 V above 18 V. Common practice."""
    rated_v = meter_value("test-lamp-volts").value * (2 if system_v > 18 else 1)
    return filament(rated_v, meter_value("test-lamp-watts").value)


def led_tester_a() -> float:
    """Current of an LED tester that is lit, ampere. From memory."""
    return meter_value("led-tester").value


def led_tester_v() -> float:
    """Volts below which an LED tester stays dark. An estimate."""
    return meter_value("led-tester-volts").value


def buzzer_ohm() -> float:
    """Resistance below which a continuity buzzer sounds: 30 ohm (20 to 50). From memory; never proof of a feed."""
    return meter_value("buzzer").value


def ohmmeter_v() -> float:
    """Open-circuit volts of an ohmmeter. From memory."""
    return meter_value("ohmmeter-volts").value


def ohmmeter_a() -> float:
    """Test current of an ohmmeter into a short, lowest range. From memory."""
    return meter_value("ohmmeter-amps").value


def ohmmeter_source_ohm() -> float:
    """Source resistance that gives these volts open and this current shorted. Computed from the two."""
    return ohmmeter_v() / ohmmeter_a()


def reading_v(source_v: float, source_ohm: float, meter_ohm: float) -> float:
    """What a voltmeter shows on a source behind a resistance: it loads what it measures (`source_ohm` >= 0)."""
    return load_voltage_v(source_v, meter_ohm, source_ohm)
