"""The model: parts, wires, contacts, places, controls; conditions, set-ups and changes."""
