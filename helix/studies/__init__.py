"""Studies: functions of a joint that return frozen results."""
