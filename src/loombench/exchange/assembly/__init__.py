"""From a harness as read to the statements of a vehicle: names, what is asked for, parts, boxes, wires."""
