"""A league's many tables: what is sent of a game, and what is made of all of them.

`parcel` takes a game out of its journal as rows; `result` is what the engine makes of them;
`ranking` orders the teams by rules that are data; `fixtures` reads the list of games to come.
Nothing here touches a network: `edges/league` does, with PostgreSQL.

The far end trusts no sender. The server itself checks the hash of every entry and that it follows
the one before it (`edges/league/sql`), and who computes results reads the entries, checks the chain
again, and plays them by the same engine as at the table. A result is never sent.

Each entry has one place, its game's id and its number, so sending again, in another order or from
two machines changes nothing. A book that differs from what is there, or was changed after its end,
is kept beside the first as another version; the secretary says which one counts.
"""
