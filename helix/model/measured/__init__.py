"""What people measured: caliper readings, pull tests, load-extension curves."""
