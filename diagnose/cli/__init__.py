"""The command line: one module a group of commands, results to stdout, talk to stderr.

What was typed and cannot be understood is a ``UsageError`` of one line: at a prompt it is told and
asked for again (``Talk.ask``), anywhere else it ends the command (``diagnose.__main__``).

A module that declares commands imports what brings numpy or the rules where it is used, so that
help comes at once; every other module imports at its head.
"""
