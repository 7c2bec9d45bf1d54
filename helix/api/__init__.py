"""The functions of `import helix`: each is a task with keywords in place of options, and returns the study's result."""
