"""The parts that are the joint's own: eye, entries, exits, the tag on the standing leg."""
