"""The calculator at the command line: every calculation becomes a command by its signature and its docstring."""
