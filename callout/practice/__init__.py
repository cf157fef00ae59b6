"""An invented game to practise on: what happens in it, what should be called, how it was called.

`drawing` invents the plays, by how often each happens in published games, and has the rules engine
keep their true book. `rehearsal` says when the next play comes. `facts` reads what the user called
from the entries of the table's own journal, `judge` lays it beside what happened, and `report` sums
up. Nothing here reads a clock, draws a random number or touches a device: all of that is passed in.
"""
