"""A job as it may come in, with everything a card can hold. Vehicle, people and parts are invented."""

from loombench.app.jobcard import BAD, GOOD, CardPair, CardPart, CardReading, CardTime, JobCard

CARD = JobCard(
    number="2026-014",
    vehicle="Mobile library van, 12 V",
    complaint="The lamps over the shelves go dim when the step heater is on, and since Friday the left one stays dark.",
    details=(
        ("Plate", "LB 204 K"), ("Received", "2 March 2026, 08:10"),
        ("Odometer", "84 216 km"), ("Finished", "2 March 2026, 10:25"),
        ("Customer", "Harbour Towns Library"), ("Technician", "M. Holm"),
    ),
    reproduced="Shelf light switch on, engine off: left lamp dark, right lamp dim. Step heater on: right lamp dimmer.",
    codes=("A2: 9-1 outputs, shelf light, open circuit (stored, 14 times)",),
    cautions=(
        "Shore power unplugged and inverter off before work: mains on board belongs to the licensed.",
        "Second battery under the bench: dead by one switch is not dead. Proven dead before unplugging.",
    ),
    readings=(
        CardReading("Battery post + to battery post −\nall off", "12.2 to 12.9 V", "12.61 V", GOOD),
        CardReading("E7.1 (plug, wire side) to battery post −\nS4=on, all plugged", "11.9 to 12.5 V", "12.31 V", GOOD),
        CardReading("E7.2 (plug, wire side) to battery post −\nS4=on, all plugged", "0 to 90 mV", "7.84 V", BAD),
        CardReading("Stud W3 to battery post −\nS4=on, all plugged", "0 to 60 mV", "7.79 V", BAD),
        CardReading("Body beside W3 to battery post −\nS4=on, all plugged", "0 to 40 mV", "11 mV", GOOD),
    ),
    proven=True,
    cause="Stud W3 (ground, behind the left shelf): 1.4 ohm between ring and body, under paint and rust.",
    why="The body was painted after the shelves went in, the stud was put back on the paint; wash water sits there.",
    proof="Ground bypass from E7.2 to the body: lamp bright, taken off: dark again, three times.",
    repair=(
        "W3: ring off, body and ring bright, new star washer, 9 Nm, sealed after tightening. Ring crimp pulled: holds."
    ),
    parts=(CardPart("Ring terminal M6, 2.5 mm²", "RT-6-25", "1"), CardPart("Star washer M6", "", "2")),
    pairs=(
        CardPair("E7.2 to battery post −, S4=on", "7.84 V", "38 mV"),
        CardPair("E8.2 to battery post −, S4=on, step heater on", "8.12 V", "52 mV"),
        CardPair("Current at rest after 20 min", "28 mA", "28 mA"),
    ),
    times=(CardTime("finding", 35), CardTime("repair", 25), CardTime("check", 15)),
    leads_removed=True,
)  # fmt: skip
