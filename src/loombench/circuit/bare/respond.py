"""What changed elements do to a solution, system after system: `tables.rounds` is the reference."""

import numpy as np

from loombench.circuit.bare.arrays import BoolArray, FloatArray, IntArray
from loombench.circuit.bare.laws import tangent_of
from loombench.circuit.bare.small import INPUT, small_one

NEAR_V = 3e-6
"""No law bends in less than some 25 mV, and none is steeper than what the network shows there: so near its tangent one
is off by less than moves a node by 2e-10 V."""


def admitted(
    device: int,
    volts: float,
    own_is: IntArray,
    own_line: FloatArray,
    taken: BoolArray,
    port: IntArray,
    given: FloatArray,
    count: int,
) -> int:
    """Make a nonlinear element of the sound network the next port, if it is none; the number of ports."""
    if taken[device]:
        return count
    taken[device] = True
    port[count, 0], port[count, 1], port[count, 2] = device, own_is[device, 0], own_is[device, 1]
    given[count, 0], given[count, 1] = own_line[device, 0], own_line[device, 1]
    given[count, 2:5] = 0.0
    given[count, 5] = volts
    return count + 1


def fed_loop(
    port: IntArray,
    count: int,
    own_is: IntArray,
    first_input: int,
    feed_start: IntArray,
    feed_place: IntArray,
    draws: FloatArray,
    fed: FloatArray,
    from_v: FloatArray,
) -> bool:
    """By `small.Small.fed` and `from_v`; whether any of the first `count` ports is an input."""
    feeding = False
    for j in range(count):
        if port[j, 2] != INPUT:
            continue
        feeding = True
        for k in range(len(draws)):
            if own_is[first_input + k, 0] == port[j, 1]:
                from_v[j] = draws[k, 1]
                for i in range(count):
                    for f in range(feed_start[k], feed_start[k + 1]):
                        if feed_place[f] == port[i, 1]:
                            fed[j, i] = 1.0 / draws[k, 0]
    return feeding


def beyond_loop(
    laws: FloatArray,
    own_is: IntArray,
    own_line: FloatArray,
    first_input: int,
    feed_start: IntArray,
    feed_own: IntArray,
    draws: FloatArray,
    open_v: FloatArray,
    across: FloatArray,
    off: FloatArray,
    rise: FloatArray,
) -> None:
    """By `tables.tangents.beyond_tangents`: `off` [own] and `rise` [own] at `across` [own]. One that is `NEAR_V` from
    where its tangent touches is as good as on it."""
    for d in range(first_input):
        if abs(across[d] - open_v[d]) < NEAR_V:
            off[d], rise[d] = own_line[d, 0] * across[d] + own_line[d, 1], own_line[d, 0]
        else:
            off[d], rise[d] = tangent_of(laws[own_is[d, 1]], across[d])
    for k in range(len(draws)):
        power, d = 0.0, first_input + k
        for f in range(feed_start[k], feed_start[k + 1]):
            if feed_own[f] >= 0:
                power -= off[feed_own[f]] * across[feed_own[f]]
        drawing = power > 0.0 and across[d] > draws[k, 1]
        off[d], rise[d] = power / draws[k, 0] / across[d] if drawing else 0.0, 0.0
    for d in range(len(across)):
        off[d] -= own_line[d, 0] * across[d] + own_line[d, 1]


def fed_first(
    own_is: IntArray,
    own_line: FloatArray,
    feed_start: IntArray,
    feed_own: IntArray,
    feed_place: IntArray,
    open_v: FloatArray,
    taken: BoolArray,
    port: IntArray,
    given: FloatArray,
    count: int,
) -> int:
    """Make the inputs ports whose supplies are, with all that they feed; the number of ports."""
    first_input = len(own_is) - len(feed_start) + 1
    for k in range(len(feed_start) - 1):
        feeds = False
        for f in range(feed_start[k], feed_start[k + 1]):
            for i in range(count):
                feeds = feeds or port[i, 1] == feed_place[f]
        if feeds:
            count = fed_too(
                first_input + k, open_v[first_input + k], own_is, own_line, feed_start, feed_own, open_v, taken, port,
                given, count,
            )  # fmt: skip
    return count


def fed_too(
    device: int,
    volts: float,
    own_is: IntArray,
    own_line: FloatArray,
    feed_start: IntArray,
    feed_own: IntArray,
    open_v: FloatArray,
    taken: BoolArray,
    port: IntArray,
    given: FloatArray,
    count: int,
) -> int:
    """By `admitted`, and with an input what it feeds."""
    if taken[device]:
        return count
    count = admitted(device, volts, own_is, own_line, taken, port, given, count)
    k = device - (len(own_is) - len(feed_start) + 1)
    if k >= 0:
        for f in range(feed_start[k], feed_start[k + 1]):
            if feed_own[f] >= 0:
                count = admitted(feed_own[f], open_v[feed_own[f]], own_is, own_line, taken, port, given, count)
    return count


def response_loop(
    port: IntArray, count: int, own: int, at_own: FloatArray, between: FloatArray, response: FloatArray
) -> None:  # fmt: skip
    """Volts across each of the first `count` ports for one ampere through each, `response` [ports, ports]. The network
    answers alike both ways, so those of what is the network's own are taken from what the other does to it."""
    for i in range(count):
        one = port[i, 0]
        for j in range(count):
            other = port[j, 0]
            if other < own:
                response[i, j] = at_own[one, other]
            elif one < own:
                response[i, j] = at_own[other, one]
            else:
                response[i, j] = between[other - own, one - own]


def across_loop(
    port: IntArray,
    extra_a: FloatArray,
    beside: FloatArray,
    at_own: FloatArray,
    open_v: FloatArray,
    farthest_v: float,
    across: FloatArray,
) -> None:
    """Volts `across` [own] with what ports and what is `beside` them draw."""
    own = len(across)
    across[:] = open_v[:own]
    for i in range(len(extra_a)):
        for d in range(own):
            across[d] -= extra_a[i] * at_own[port[i, 0], d]
    for e in range(own):
        if beside[e] != 0.0:
            for d in range(own):
                across[d] -= beside[e] * at_own[e, d]
    for d in range(own):
        across[d] = min(max(across[d], -farthest_v), farthest_v)


def put_down(
    port: IntArray,
    found: FloatArray,
    beside: FloatArray,
    across: FloatArray,
    own_is: IntArray,
    own_line: FloatArray,
    drawn: IntArray,
    drawn_a: FloatArray,
    filled: int,
) -> int:
    """Write down what ports draw by what was `found` [3, ports], then what is drawn `beside` them; how much is filled
    then."""
    for i in range(found.shape[1]):
        drawn[filled, 0], drawn[filled, 1] = port[i, 0], port[i, 1]
        drawn_a[filled, 0], drawn_a[filled, 1] = found[1, i], found[2, i]
        filled += 1
    for d in range(len(beside)):
        if beside[d] != 0.0:
            drawn[filled, 0], drawn[filled, 1], drawn_a[filled, 0] = d, own_is[d, 0], beside[d]
            drawn_a[filled, 1] = own_line[d, 0] * across[d] + own_line[d, 1] + beside[d]
            filled += 1
    return filled


def respond_loop(
    laws: FloatArray,
    own_is: IntArray,
    own_line: FloatArray,
    feed_start: IntArray,
    feed_own: IntArray,
    feed_place: IntArray,
    draws: FloatArray,
    at_own: FloatArray,
    at_watched: FloatArray,
    between: FloatArray,
    open_v: FloatArray,
    start: IntArray,
    ports: IntArray,
    numbers: FloatArray,
    limits: FloatArray,
    rounds: IntArray,
    volts: FloatArray,
    drawn: IntArray,
    drawn_a: FloatArray,
    end: IntArray,
) -> None:
    """Answer systems of ports.

    Of the sound network: `own_is` [own, 2] place and law of what bends it, inputs last, and `own_line` [own, 2] slope
    and source; inputs feed `feed_own` (-1: none of these) at `feed_place` from `feed_start` [inputs + 1] on, with
    `draws` [inputs, 2] efficiency and volts below which they draw nothing. What is driven is `own`, then the ends of
    ports: for one ampere through each the volts `at_own` [driven, own], `at_watched` [driven, pairs], and `between`
    [ends, ends]; `open_v` [driven] what each shows.

    Of the systems, from `start` [systems + 1] on: `ports` [ports, 3] what is driven, place and law, and `numbers`
    [ports, 6] slope and source of the sound law, conductance and constant of the new one, ohms in series, guess.

    `limits` are near_v, rounding, greatest_noise_v, admitted_v, strong, nothing_v, farthest_v; `rounds` how many, after
    how many all that is off becomes a port, Newton's steps, and the most ports.

    Gets: `volts` [systems, pairs], `drawn` [all, 2] what is driven and its place and `drawn_a` [all, 2] what it draws
    beyond its sound law and in all, up to `end` [systems], -1 where there is no answer.
    """
    own, first_input, filled = len(own_is), len(own_is) - len(draws), 0
    taken, beside = np.zeros(own, dtype=np.bool_), np.zeros(own)
    across, off, rise = np.zeros(own), np.zeros(own), np.zeros(own)
    most = own
    for s in range(len(end)):
        most = max(most, own + start[s + 1] - start[s])
    port, given = np.zeros((most, 3), dtype=np.intp), np.zeros((most, 6))
    for s in range(len(end)):
        end[s], before, count = -1, filled, start[s + 1] - start[s]
        port[:count], given[:count] = ports[start[s] : start[s + 1]], numbers[start[s] : start[s + 1]]
        taken[:], beside[:] = False, 0.0
        for d in range(own):
            for i in range(count):
                taken[d] = taken[d] or own_is[d, 0] == port[i, 1]
        count = fed_first(own_is, own_line, feed_start, feed_own, feed_place, open_v, taken, port, given, count)
        for number in range(rounds[0]):
            if count > rounds[3]:
                break
            response, fed, from_v = np.empty((count, count)), np.zeros((count, count)), np.zeros(count)
            line, found, law = np.empty((6, count)), np.empty((3, count)), np.empty(count, dtype=np.intp)
            response_loop(port, count, own, at_own, between, response)
            for i in range(count):
                line[0, i], law[i], found[0, i] = open_v[port[i, 0]], port[i, 2], given[i, 5]
                line[1:, i] = given[i, :5]
                for d in range(own):
                    line[0, i] -= beside[d] * at_own[port[i, 0], d]
            feeding = fed_loop(port, count, own_is, first_input, feed_start, feed_place, draws, fed, from_v)
            noise, settled = small_one(laws, response, line, law, feeding, fed, from_v, limits, rounds[2], found)
            if not settled:
                break
            across_loop(port, found[1], beside, at_own, open_v, limits[6], across)
            beyond_loop(laws, own_is, own_line, first_input, feed_start, feed_own, draws, open_v, across, off, rise)
            more = False
            for d in range(own):
                off[d] = 0.0 if taken[d] else off[d]
                more = more or abs(off[d] - beside[d]) * at_own[d, d] > limits[3]
            if not more:
                if noise < limits[2]:
                    filled = put_down(port, found, beside, across, own_is, own_line, drawn, drawn_a, filled)
                    end[s] = filled
                break
            for i in range(count):
                given[i, 5] = found[0, i]
            for d in range(own):
                wants = abs(off[d] - beside[d]) * at_own[d, d] > limits[3]
                changed = abs(rise[d] - own_line[d, 0]) * at_own[d, d] > limits[4]
                beside[d] = off[d] if abs(off[d]) * at_own[d, d] > limits[5] else 0.0
                if wants and (changed or number >= rounds[1] or d >= first_input):
                    beside[d] = 0.0
                    count = fed_too(
                        d, across[d], own_is, own_line, feed_start, feed_own, open_v, taken, port, given, count
                    )  # fmt: skip
        for k in range(before, filled):
            for w in range(volts.shape[1]):
                volts[s, w] -= drawn_a[k, 0] * at_watched[drawn[k, 0], w]
