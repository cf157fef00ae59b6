"""The command line: one file for each command of `callout`, and what several of them share.

A command joins what it needs from all other folders, none of which imports a command. A mistake in
what a person handed in arrives as a `CalloutError`; it is printed as one line, with exit status 2.
"""
