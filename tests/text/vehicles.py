"""Made-up vehicles as text, drawn by hypothesis: parts of most kinds, wires between their pins, `?` anywhere."""

from hypothesis import strategies as st

PLACES = ("box", "dash", "rear")
COLOURS = ("RD", "BK", "GY/RD", "GN/YE", "?", "#214")
NUMBER = st.one_of(st.integers(1, 60).map(str), st.just("?"), st.sampled_from(["0.5", "2,5", "1..3", "1..2..9"]))
LABEL = st.one_of(st.just(""), st.sampled_from(['"work lamp"', '"Größe 2"', '"a # b (c) | d"']))


@st.composite
def part(draw: st.DrawFn, name: str) -> tuple[list[str], list[str]]:
    """The lines of a part of that name, and points at which wires can end."""
    number, label = draw(NUMBER), draw(LABEL)
    place = draw(st.one_of(st.just(""), st.sampled_from([f"at {place}" for place in PLACES])))
    tail = " ".join(word for word in (place, label) if word)
    return draw(
        st.sampled_from(
            [
                ([f"lamp {name} {number}W {tail}"], [f"{name}.1", f"{name}.2"]),
                ([f"fuse {name} {number}A {tail}"], [f"{name}.in", f"{name}.out"]),
                ([f"led {name} {number}W {tail}"], [f"{name}.+", f"{name}.-"]),
                ([f"resistor {name} {number}ohm {tail}"], [f"{name}.1", f"{name}.2"]),
                ([f"motor {name} {number}A reversing {tail}"], [f"{name}.a", f"{name}.b"]),
                ([f"breaker {name} {number}A stays-open {tail}"], [f"{name}.in", f"{name}.out"]),
                ([f"relay {name} changeover 30 85 86 87 87a diode 86 {tail}"], [f"{name}.30", f"{name}.87a"]),
                ([f"relay {name} break coil 1 2 contact 3 4 {number}A resistor {tail}"], [f"{name}.1", f"{name}.4"]),
                ([f"switch {name} alias{name} a | off | push!: 1=2 1=3 {tail}"], [f"{name}.1", f"{name}.3"]),
                ([f"switch {name} {tail}", "  wipe up: 1=2 | down rest down", "  wash off | on: 3=4"], [f"{name}.3"]),
                (
                    [f"unit {name} {tail}", f'  1-6 lamp {number}W "stop"', "  2-6 motor 5A", "  cam x: 3=6 | y"],
                    [f"{name}.6", f"{name}.3"],
                ),
                ([f"flasher {name} 49 49a 31 90/min quick below 2A {tail}"], [f"{name}.49a"]),
                (
                    [
                        f"module {name} {tail}",
                        "  plugs X1 8way",
                        '  supply X1/1 "s" 0.1A',
                        "  ground X1/2",
                        "  in X1/3 pull-down ?ohm to X1/2 on when high",
                        f"  out X1/4 high-side max {number}A pwm 40% 90Hz",
                        "  contact rest: X1/5=X1/6 | tick: X1/5=X1/7",
                        "  when not X1/3 or engine: X1/4 after 2s",
                        "  when X1/3: tick 1s every 4s",
                        "  asleep 90s 3mA",
                        f'  code X1/4 low "B{number}" | X1/3 no-signal C1',
                    ],
                    [f"{name}.X1/4", f"{name}.X1/8"],
                ),
                ([f"generic {name} 1 2 x {tail}"], [f"{name}.x"]),
                ([f"socket {name} ISO1724 {tail}"], [f"{name}.7"]),
                ([f"sensor {name} 3wire 50% {tail}"], [f"{name}.s"]),
                ([f"stud {name} on chassis {tail}"], [f"{name}/a", f"{name}/b"]),
                ([f"cable {name} twisted shield"], [f"{name}.shield"]),
                ([f"carrier {name}", f"  in = L{name}.1"], [f"{name}.in"]),
            ]
        )
    )


@st.composite
def circuit(draw: st.DrawFn) -> str:
    """A whole text that loads with no problem."""
    lines = ["loombench 1", 'vehicle "Drawn" 24V', "colours IEC", "body chassis"]
    lines += [f"place {place} reach 90s wet" for place in PLACES]
    points: list[str] = ["SP1", "SP2", "chassis"]
    for index in range(draw(st.integers(1, 6))):
        made, ends = draw(part(f"A{index}"))
        if made[0].startswith("carrier"):
            lines.append(f"lamp LA{index} 5W")
        lines += made
        points += ends
    lines.append("connector X9 4way left | right")
    looms = draw(st.lists(st.sampled_from(["left", "right", "?"]), max_size=4))
    for loom in ["?", *looms]:
        lines.append(f"loom {loom}")
        own = [*points, "X9.1", "X9.2@left"] if loom == "left" else points
        for _ in range(draw(st.integers(0, 4))):
            one, two = draw(st.lists(st.sampled_from(own), min_size=2, max_size=2, unique=True))
            via = draw(st.sampled_from(["", " via dash", ' "label"']))
            bracket = f"{draw(st.sampled_from(COLOURS))} {draw(NUMBER)}mm2 {draw(NUMBER)}m{via}"
            lines.append(f"{one} ({bracket}) {two}")
    return "\n".join(lines) + "\n"
