"""The league's server: PostgreSQL, reached with psycopg.

- `server` connects, by TLS unless the server is on this machine, and puts errors into words;
- `migrations` applies the numbered files of `sql/`, which hold the tables, what the server refuses
  by itself, and who may do what;
- `sending` adds a game; `sent` keeps what the server has confirmed, beside the game;
- `results` reads games and keeps what the engine makes of them; `answers` asks.

psycopg is an extra: everything else works without it.
"""
