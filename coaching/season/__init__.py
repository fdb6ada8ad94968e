"""Events, phases, priorities, ramps, gates."""
