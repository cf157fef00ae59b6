"""Pages in a browser: the score for the hall, and the book for whoever sits beside the scorer.

A small web server runs in a process of its own, so that three hundred telephones cannot slow the
table. The table tells it the game after every change; the server passes it to every open page. What
the partner does on a page comes back as typed words and takes the path of every other call.

A page is opened by an address that holds a random token: one reads the hall's page, others the
partner's and the one after the game. A game that is started again within a day keeps its first two
(`promised`), so that open pages and printed codes still lead to it. Without `--share` only this
machine is listened to.

A league's answers are pages, too (`league_app`): HTML without a script, for this machine alone.
"""
