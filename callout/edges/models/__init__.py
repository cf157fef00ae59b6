"""Recognizers and voices: which there are, where they lie, how they are fetched and verified.

`catalogue` lists each model with the SHA-256 of its files; a model is used only if all of them fit.
`download` and `archives` fetch one and put it in place whole or not at all. `folder`, `openfst` and
`words` know the files of a recognizer's model, for those that read or replace one of them.
"""
