"""The shape of one joint: sizes, bends, gaps, findings, remedies, wire to cut."""
