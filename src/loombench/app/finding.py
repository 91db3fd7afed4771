"""A finding session, as plain functions over frozen values and an event store.

    case = open_case(vehicle, digest, complaint, store, "2026-001", time)    complaint: evidence.complaint.Complaint
    card = next_step(case)                       StepCard, or None where nothing is left to do
    case = answer(case, card.id, 12.4, time)     a number in card.unit, or one of card.choices
    case = take(case, setup, 3.1, time)          a reading nobody asked for, in any order
    case = cannot(case, card.id, "seized", time) declined: not offered again
    case = undo(case, time)                      takes the last thing back
    suspects(case), verdict(case)
    case = repaired(case, group, time)           then next_step asks to see complaint and neighbours again
    case = close(case, time)
    job_card(case)                               Document
    replay(vehicle, envelopes, store)            the same case from its events

Every function that changes something appends its event to the store, which acknowledges it only when it is on disk,
and gives the case that the replay of all events makes. `time` is ISO text with zone; nothing here has a clock.
"""
