"""The command line: arguments, files, exit codes."""
