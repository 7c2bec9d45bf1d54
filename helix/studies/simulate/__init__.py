"""The joint simulated: pulled until it breaks or slips. Simulated, not tested."""
