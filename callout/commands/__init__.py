"""The command line: one file for each command of `callout`.

A command joins what it needs from all other folders, and nothing imports a command. A mistake in
what a person handed in arrives as a `CalloutError`; it is printed as one line, with exit status 2.
"""
