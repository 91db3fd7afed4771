"""Training scenarios on the example vehicles: a hidden fault, the readings that mislead, and those that tell.

The figures marked `printed` are from a collection of trade practice, where they are computed, not measured: nodal
analysis with filament lamps (I ~ V^0.55, cold resistance a twelfth of the hot one) and wires by ISO 6722. Where a
scenario fixes the circuit they are met within 10 % (`bench.WITHIN`), else the pattern is. What a scenario leaves open
(lengths, sizes, supply volts) is assumed, and stands in the test.
"""
