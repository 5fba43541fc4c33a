"""The sentence that stands wherever the program speaks of a whole room: on its help, its reports and its paper."""

CAUTION = (
    "bayhand says what the record implies, never that a room is safe. Mains, grounding and fixed wiring are the business "
    "of a licensed person and of the local code."
)
