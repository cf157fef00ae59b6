"""The journal of a game: a SQLite file to which entries are added and from which none is removed.

**What is written when.** A call that the rules accept becomes one entry: number, call, source, time
and events. The session commits it in a transaction of its own, and SQLite flushes its write-ahead
log to the disk before the commit returns (`synchronous = FULL`). Only then is anything said about
the call. What was said is written afterwards, in a second transaction: a reply can be lost in a
crash, an entry that was confirmed cannot. Questions and refusals, which book nothing, are kept
among the replies too.

**What is in the file.** The table `header` holds the setup, `entry` the entries, `reply` what was
said, `name` people's names, `copy` the other files that may contain them. Names have a table of
their own, so that `callout forget` can delete them and leave the same game. Triggers refuse to
change or delete an entry.

**The hash chain.** Each entry holds the hash of the entry before it and its own: the SHA-256 of the
game's id, the former hash and the entry's columns. The first hash is that of id and header. A
change after the fact breaks the chain. The first twenty digits of the newest hash are the mark on a
printed sheet, which ties the sheet to the file. The chain does not prove who wrote it: whoever may
write the file can compute a new chain, but not one with the mark that is already printed. Each row
can also be checked alone, which recovery relies on.

**What a crash leaves.** A new journal is made under another name and renamed, so there is none or a
whole one. After a crash the newest entries may stand only in the log beside the file. SQLite would
merge that log and delete it, and would silently drop everything from its first bad checksum on. So
`leftover` reads the log first, by `write_ahead_log`. There are three cases:

- every commit in it can be read: it is merged, and nothing is lost;
- the last transaction is damaged: the game opens, the scorer is told that the newest call may be
  missing, and a copy of the log is kept;
- there are confirmed entries behind the damage, or log and file are not of one game: nothing is
  opened, both stay as they are, and the message names `callout recover`.

**Recovery** asks SQLite for the rows from both ends of each table, and searches the raw bytes of
file and log for rows that their hash proves. The file itself is never written to.

The file is locked while it is open, so that two programs cannot keep one game.
"""
