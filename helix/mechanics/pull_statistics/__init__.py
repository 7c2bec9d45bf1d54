"""Statistics of pull tests: arrays in, arrays out; scipy where it does the job, inside the functions."""
