"""The command line: one module a group of commands, results to stdout, talk to stderr."""
