"""One live game: ear, voice, keys, screen and copies joined around a session.

Devices and child processes are read by threads of their own, which put what happens on one queue. A
single thread (`table`) takes from that queue and owns the game. So the book needs no locks, and
every call is decided on the game that the one before it left.
"""
