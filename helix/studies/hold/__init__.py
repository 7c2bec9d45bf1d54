"""Whether a joint holds: load, chance of unwinding, why, what to test next."""
