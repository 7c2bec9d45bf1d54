"""The joint as data and pages for the 3-D viewer."""
